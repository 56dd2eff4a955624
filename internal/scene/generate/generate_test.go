package main

import (
	"bytes"
	"io/fs"
	"os"
	"runtime"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/plan"
	"setshade/internal/scene"
	"setshade/internal/spectrum"
	"setshade/swatches"
)

var shelf = &scene.Shelf{Wax: scene.NewWax(scene.Soy), Dyes: dyes}

// Rendering again gives the files of the project, byte for byte. Two of the
// photographs stand for all, and every plan is checked. Processors that fuse a
// multiplication with an addition may differ in the last bit, so the photographs
// are compared on amd64 only.
func TestSwatchesAreWhatIsRendered(t *testing.T) {
	truth, err := os.ReadFile("../../../swatches/truth.csv")
	require.NoError(t, err)
	for _, c := range cards() {
		written, err := swatches.Files.ReadFile(c.name + ".plan")
		require.NoError(t, err)
		assert.Equal(t, string(written), c.plan(), "run go generate ./swatches")
		if runtime.GOARCH != "amd64" || c.name != "overdyed" && c.name != "slate-hill-liquid" {
			continue
		}
		picture, rows, err := c.render(shelf)
		require.NoError(t, err)
		written, err = swatches.Files.ReadFile(c.name + ".jpg")
		require.NoError(t, err)
		assert.True(t, bytes.Equal(written, picture), "%s.jpg: run go generate ./swatches", c.name)
		assert.Contains(t, string(truth), rows)
	}
}

// Nothing else lies among the swatches, and they stay small.
func TestSwatchesAreComplete(t *testing.T) {
	names, err := fs.Glob(swatches.Files, "*")
	require.NoError(t, err)
	assert.Len(t, names, 2*len(cards()))
	total := int64(0)
	for _, name := range names {
		info, err := fs.Stat(swatches.Files, name)
		require.NoError(t, err)
		total += info.Size()
	}
	assert.Less(t, total, int64(4<<20))
}

// The plans say in words what was rendered.
func TestPlansResolveToTheRecipes(t *testing.T) {
	for _, c := range cards() {
		parsed, err := plan.Parse(c.plan())
		require.NoError(t, err, c.name)
		assert.Equal(t, swatches.Wax().Name, parsed.Wax)
		assert.Equal(t, c.state, parsed.State)
		drops, err := parsed.Resolve(swatches.Dyes())
		require.NoError(t, err, c.name)
		i := 0
		for y, row := range c.rows {
			assert.Equal(t, parsed.Rows[y], len(row))
			for _, d := range row {
				assert.Equal(t, d.check, drops[i].Check)
				assert.Empty(t, drops[i].Notes)
				require.Len(t, drops[i].Recipe, len(d.recipe()))
				for _, part := range d.recipe() {
					assert.InEpsilon(t, part.DoseGPerKg, drops[i].Recipe.Dose(part.Dye), 1e-12)
				}
				i++
			}
		}
	}
}

// Every drop lies inside sRGB at both ends, so that a camera can hold it.
func TestNoDropClips(t *testing.T) {
	card := spectrum.D65.Lab(scene.WhiteCard())
	r, g, b := card.Linear()
	exposure := 0.9 / max(r, g, b)
	for _, c := range cards() {
		for _, row := range c.rows {
			for _, d := range row {
				seen := shelf.Reflectance(d.recipe(), c.state, scene.DropThicknessMM(c.state), scene.WhiteCard())
				r, g, b := spectrum.D65.Lab(seen).Linear()
				assert.LessOrEqual(t, max(r, g, b)*exposure, 0.97, "%s: %s", c.name, d)
				// The far side of the card has less light.
				assert.GreaterOrEqual(t, min(r, g, b)*exposure/c.view.LightRatio, 0.005, "%s: %s", c.name, d)
			}
		}
	}
}

func TestShelfIsSound(t *testing.T) {
	require.NoError(t, swatches.Wax().Validate())
	require.NoError(t, swatches.Mould().Validate())
	assert.Equal(t, scene.Soy.RefractiveIndex, swatches.Wax().RefractiveIndex)
	for i, d := range swatches.Dyes() {
		require.NoError(t, d.Validate())
		assert.True(t, d.Form.Dissolves())
		assert.Equal(t, dyes[i].Name, d.Name)
	}
	for _, c := range cards() {
		assert.Equal(t, strings.ToLower(c.name), c.name)
	}
}

// The over-dyed batch is the drop on its photograph, its target the shade that
// the intended recipe would have had, and undyed wax alone comes close to it and
// not quite there.
func TestRescueStory(t *testing.T) {
	story := swatches.Rescue()
	require.NoError(t, story.Batch.Validate())
	for _, c := range cards() {
		if c.name+".jpg" == story.Photo {
			assert.Equal(t, story.Batch.Recipe, c.rows[0][1].recipe())
		}
	}
	shade := func(factor float64) spectrum.Lab {
		return spectrum.D65.Lab(shelf.ThickReflectance(story.Batch.Recipe.Scaled(factor)))
	}
	intended := spectrum.D65.Lab(shelf.ThickReflectance(story.Intended))
	assert.Less(t, spectrum.DE00(intended, story.Target), 0.1)
	assert.Greater(t, spectrum.DE00(shade(1), story.Target), 8.0)
	best := 100.0
	for factor := 0.1; factor < 1; factor += 0.005 {
		best = min(best, spectrum.DE00(shade(factor), story.Target))
	}
	t.Logf("target %+v %s, best by dilution dE00 %.2f", intended, intended.Hex(), best)
	assert.Less(t, best, 2.0)
	assert.Greater(t, best, 0.2)
}
