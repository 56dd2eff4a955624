package workshop

import (
	"context"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/card"
	"setshade/internal/plan"
	"setshade/internal/scene"
	"setshade/internal/store"
)

// hasNote reports whether a note has the words in it.
func hasNote(notes []string, words string) bool {
	return slices.ContainsFunc(notes, func(n string) bool { return strings.Contains(n, words) })
}

// One photograph that is unfit is recorded and not passed on to others; the first that
// is fit becomes the anchor, and the maker may choose another.
func TestTheAnchorIsAFitPhotograph(t *testing.T) {
	ctx := context.Background()
	b := newBench(t, scene.NewWax(scene.Soy), 5, 3)
	uneven, _ := b.printed(scene.Options{Kelvin: 6500, LightRatio: 2})
	r, err := b.Record(ctx, uneven)
	require.NoError(t, err)
	assert.True(t, hasNote(r.Notes, "not kept as the anchor that later photographs of this print are brought to, because the light on the card is uneven, 1:"), r.Notes)
	anchors, err := b.Anchors(ctx)
	require.NoError(t, err)
	assert.Empty(t, anchors)

	fit, _ := b.printed(scene.Options{Kelvin: 6500, LightRatio: 1.35})
	sight, err := b.Look(ctx, fit.PhotoName, fit.Photo, plan.Plan{State: "set", Card: plan.UsualCard}, Chart{})
	require.NoError(t, err)
	assert.True(t, hasNote(sight.Notes, "the first photograph of a printed card"), "told before it is kept")
	assert.NotEmpty(t, sight.Print)
	_, err = b.Record(ctx, fit)
	require.NoError(t, err)
	better, _ := b.printed(scene.Options{Kelvin: 6500, LightRatio: 1.05})
	r, err = b.Record(ctx, better)
	require.NoError(t, err)
	assert.Equal(t, "first photograph", r.Correction.Kind)
	assert.Equal(t, fit.PhotoName, b.anchorName())

	// Forgotten, the best of the store is taken, not the first.
	require.NoError(t, b.ForgetAnchor(ctx, card.Layout(card.A5)))
	_, err = b.Reread(ctx, false, nil)
	require.NoError(t, err)
	assert.Equal(t, better.PhotoName, b.anchorName())

	// Or another, as the maker likes.
	_, notes, err := b.ChooseAnchor(ctx, "pictures/"+uneven.PhotoName)
	require.NoError(t, err)
	assert.True(t, hasNote(notes, "uneven"))
	assert.Equal(t, uneven.PhotoName, b.anchorName())
	_, notes, err = b.ChooseAnchor(ctx, "swatch 13")
	require.NoError(t, err)
	assert.Empty(t, notes)
	assert.Equal(t, fit.PhotoName, b.anchorName())
	_, _, err = b.ChooseAnchor(ctx, "99")
	assert.ErrorContains(t, err, `no photograph was recorded as "99"`)
	plain, _ := b.photograph(false, nil, b.one(0, 1))
	_, err = b.Record(ctx, plain)
	require.NoError(t, err)
	_, _, err = b.ChooseAnchor(ctx, plain.PhotoName)
	assert.ErrorContains(t, err, "shows no printed card")
}

// anchorName is the photograph of the only anchor.
func (b *bench) anchorName() string {
	anchors, err := b.Anchors(context.Background())
	require.NoError(b.t, err)
	require.Len(b.t, anchors, 1)
	return anchors[0].Name
}

// A measured strip that is not the card's, here in the wrong order, bends no colours.
// While there is one, no photograph is announced as the anchor.
func TestAStripThatMisfitsIsNotUsed(t *testing.T) {
	ctx := context.Background()
	b := newBench(t, scene.NewWax(scene.Soy), 2, 3)
	shot, truth := b.printed(daylight)
	alone, err := b.Read(ctx, shot)
	require.NoError(t, err)
	require.True(t, hasNote(alone.Notes, "the first photograph of a printed card"))
	reference := store.KeptStrip{Print: alone.Print, Kind: store.Reference, Name: "strip.csv", KeptAt: noon, Patches: truth.Strip}
	require.NoError(t, b.Store.SaveStrip(ctx, reference))
	right, err := b.Read(ctx, shot)
	require.NoError(t, err)
	assert.Equal(t, "measured strip", right.Correction.Kind)
	assert.False(t, hasNote(right.Notes, "anchor") || hasNote(right.Notes, "first photograph"), right.Notes)

	reference.Patches = slices.Clone(truth.Strip)
	slices.Reverse(reference.Patches)
	require.NoError(t, b.Store.SaveStrip(ctx, reference))
	wrong, err := b.Read(ctx, shot)
	require.NoError(t, err)
	assert.Equal(t, "card white", wrong.Correction.Kind)
	assert.True(t, hasNote(wrong.Notes, "the patches are not those of the measured strip: "), wrong.Notes)
	for i, s := range wrong.Swatches {
		assert.Equal(t, alone.Swatches[i].Colour, s.Colour)
	}
}
