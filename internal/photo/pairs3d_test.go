package photo_test

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/photo"
	"setshade/internal/rank"
	"setshade/internal/wax"
)

// owedOfPairs are the median and the 95 % quantile of dE00 owed to two photographs of
// one card in two lights, or one of them under something black.
var owedOfPairs = [2]float64{0.25, 0.5}

// pairsAreOwed makes them binding, once one photograph is read as is owed to it.
const pairsAreOwed = false

// TestPairs3D combines the readings of path-traced photographs of one card and prints
// how far the drops then are from the light that leaves their middles. In truth two
// photographs differ a little in that light (the black sheet takes away diffuse light),
// so a pair is held to the mean of both.
func TestPairs3D(t *testing.T) {
	if testing.Short() {
		t.Skip("reading some sixty photographs takes half a minute")
	}
	truth := truth3D(t)
	read := map[string]photo.Reading{}
	reading := func(name string, light wax.Light) (photo.Reading, bool) {
		r, known := read[name]
		if !known {
			data, err := os.ReadFile(filepath.Join(drops3D, name))
			require.NoError(t, err)
			want := expect3D(t, name)
			want.Light = light
			if r, err = photo.Read(data, want); err != nil {
				r = photo.Reading{}
			}
			read[name] = r
		}
		return r, len(r.Drops) > 0
	}
	groups := map[string]*group3D{}
	for name := range truth {
		card, ending, _ := strings.Cut(name, "--window-eye")
		if ending != ".jpg" {
			continue
		}
		for kind, other := range map[string]string{"window + overcast": "--overcast-eye.jpg", "window + black": "--window-eye-black.jpg"} {
			drops, there := truth[card+other]
			if !there {
				continue
			}
			key := strings.Split(truth[name][0].group, " window")[0] + " " + kind
			if groups[key] == nil {
				groups[key] = &group3D{}
			}
			var mean []drop3D
			for i, d := range truth[name] {
				o := drops[i]
				d.capLamp.L, d.capLamp.A, d.capLamp.B = (d.capLamp.L+o.capLamp.L)/2, (d.capLamp.A+o.capLamp.A)/2, (d.capLamp.B+o.capLamp.B)/2
				mean = append(mean, d)
			}
			light := wax.OvercastLight
			if strings.HasSuffix(kind, "black") {
				light = wax.BlackLight
			}
			first, ok1 := reading(name, wax.WindowLight)
			second, ok2 := reading(card+other, light)
			if !ok1 || !ok2 {
				groups[key].pictures++
				continue
			}
			both, err := photo.Combine(first, second)
			if err != nil {
				t.Logf("%s with %s: %v", name, other, err)
				groups[key].add(mean, photo.Reading{}, err)
				continue
			}
			first.Drops = slices.Clone(first.Drops)
			for i, colour := range both.Colours {
				first.Drops[i].Colour = colour
			}
			groups[key].add(mean, first, nil)
		}
	}
	t.Logf("owed to every pair: %.2f / %.1f\n%s", owedOfPairs[0], owedOfPairs[1], table3D(groups))
	assert.NotEmpty(t, groups)
	for key, g := range groups {
		if pairsAreOwed && strings.HasPrefix(key, "hider set") {
			assert.Equal(t, g.pictures, g.read, key)
			assert.LessOrEqual(t, rank.Median(g.off), owedOfPairs[0], key)
			assert.LessOrEqual(t, rank.Quantile(g.off, 0.95), owedOfPairs[1], key)
			assert.GreaterOrEqual(t, g.insideShare(), leastInside, key)
		}
	}
}
