package workshop

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/card"
	"setshade/internal/photo"
	"setshade/internal/spectrum"
	"setshade/internal/store"
	"setshade/internal/wax"
)

// Prints are listed in order of paper and number, each with what its strip is taken to
// be and with its photographs.
func TestPrintsAreListed(t *testing.T) {
	ctx, w := context.Background(), openWorkshop(t)
	require.NoError(t, w.Store.Waxes.Add(ctx, wax.Wax{Name: "Harrow Soy", RefractiveIndex: 1.44, DensityGPerML: 0.9}))
	none, err := w.Prints(ctx)
	require.NoError(t, err)
	assert.Empty(t, none)

	strip := make(wax.Strip, len(card.Layout(card.A5).Strip))
	for i := range strip {
		strip[i] = spectrum.Lab{L: float64(20 + 5*i)}
	}
	record := func(name, print string, anchor wax.Strip, reader int) {
		_, err := w.Store.Record(ctx, store.Photo{Name: name, Bytes: []byte(name), RecordedAt: noon, Reader: reader, Print: print, Anchor: anchor},
			[]wax.Swatch{{Wax: "Harrow Soy", State: wax.SetState, Drop: 1, AreaPx: 900, AreaShare: 0.5, Card: spectrum.Lab{L: 95}, Colour: spectrum.Measured{Lab: spectrum.Lab{L: 90}, Cov: [3][3]float64{{0.01}, {0, 0.01}, {0, 0, 0.01}}}}})
		require.NoError(t, err)
	}
	tenth := card.LayoutOfPrint(card.A5, 10)
	record("tenth.jpg", tenth.Print(), strip, photo.ReaderVersion)
	record("second.jpg", "A5 print 2", nil, photo.ReaderVersion-1)
	record("tenth-again.jpg", tenth.Print(), nil, photo.ReaderVersion)
	record("plain.jpg", "", nil, photo.ReaderVersion)
	require.NoError(t, w.SaveReference(ctx, card.Layout(card.HalfLetter), "strip.csv", strip))

	prints, err := w.Prints(ctx)
	require.NoError(t, err)
	require.Len(t, prints, 3)
	second, last := prints[0], prints[2]
	assert.Equal(t, "A5 print 2", second.Print())
	assert.Nil(t, second.Anchor)
	require.Len(t, second.Photographs, 1)
	assert.True(t, second.Photographs[0].IsOld())
	assert.Equal(t, 900, second.Photographs[0].DropAreaPx())
	assert.False(t, second.Photographs[0].IsAnchor)

	assert.Equal(t, tenth, prints[1].Geometry)
	require.NotNil(t, prints[1].Anchor)
	assert.Equal(t, strip, prints[1].Anchor.Patches)
	require.Len(t, prints[1].Photographs, 2)
	assert.True(t, prints[1].Photographs[0].IsAnchor)
	assert.False(t, prints[1].Photographs[1].IsAnchor || prints[1].Photographs[1].IsOld())

	assert.Equal(t, "half-letter print 1", last.Print())
	assert.Equal(t, "strip.csv", last.Reference.Name)
	assert.Empty(t, last.Photographs)
}
