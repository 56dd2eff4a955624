package store

import (
	"context"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// addedOf is a reading of the swatches of a photograph, moved by so much L*.
func addedOf(p Photo, move float64, swatches ...wax.Swatch) Reading {
	r := Reading{SHA256: hashOf(p.Bytes), Photo: p}
	for _, sw := range swatches {
		sw.Colour.Lab.L += move
		r.Swatches = append(r.Swatches, sw)
	}
	return r
}

// A card that is photographed liquid, then set in two lights, is one card with one
// swatch for each drop and state, and goes with the last of them.
func TestOneSwatchADropAndState(t *testing.T) {
	ctx, s := context.Background(), stockedStore(t)
	slate := wax.Part{Dye: "Slate", DoseGPerKg: 1}
	first, liquid, second := photo("set.jpg"), photo("liquid.jpg"), photo("overcast.jpg")
	recorded, err := s.Record(ctx, first, []wax.Swatch{swatch(1, slate), swatch(2)})
	require.NoError(t, err)
	card := recorded[0].Photo.Card

	liquid.Card = card
	hot := swatch(1, slate)
	hot.State = wax.LiquidState
	wet, err := s.Record(ctx, liquid, []wax.Swatch{hot})
	require.NoError(t, err)
	assert.Equal(t, card, wet[0].Photo.Card)

	second.With, second.Light, second.Reader = hashOf(first.Bytes), "overcast", 9
	first.Light = "window"
	got, err := s.Add(ctx, second, addedOf(first, 1.5, recorded...))
	require.NoError(t, err)
	require.Equal(t, []int64{1, 2}, idsOf(got))
	assert.Equal(t, recorded[0].Colour.Lab.L+1.5, got[0].Colour.Lab.L)
	assert.Equal(t, recorded[0].Recipe, got[0].Recipe)

	photos, err := s.PhotosOf(ctx, card)
	require.NoError(t, err)
	require.Len(t, photos, 3)
	assert.Equal(t, []string{"window", "", "overcast"}, []string{photos[0].Light, photos[1].Light, photos[2].Light})
	assert.Equal(t, []string{"", "", hashOf(first.Bytes)}, []string{photos[0].With, photos[1].With, photos[2].With})
	found, err := s.Check(ctx, func([]byte) error { return nil })
	require.NoError(t, err)
	assert.Empty(t, found.Problems)

	_, err = s.Add(ctx, second, addedOf(first, 0, recorded...))
	require.ErrorIs(t, err, ErrExists)
	assert.ErrorContains(t, err, "overcast.jpg is already recorded as swatches 1 to 2")
	third := photo("again.jpg")
	third.Card = card
	_, err = s.Record(ctx, third, []wax.Swatch{swatch(2)})
	require.ErrorIs(t, err, ErrExists)
	assert.ErrorContains(t, err, "already recorded in that state as swatch 2")
	third.With = hashOf([]byte("nothing"))
	_, err = s.Add(ctx, third, addedOf(first, 0, recorded...))
	require.ErrorIs(t, err, ErrNotFound)
	assert.Equal(t, 3, count(t, s, "photos"), "refused ones leave nothing")

	require.NoError(t, s.RemoveSwatches(ctx, 1, 2))
	assert.Equal(t, []int{1, 1}, []int{count(t, s, "photos"), count(t, s, "cards")}, "the liquid one stays")
	require.NoError(t, s.RemoveSwatches(ctx, wet[0].ID))
	assert.Equal(t, []int{0, 0}, []int{count(t, s, "photos"), count(t, s, "cards")})
	found, err = s.Check(ctx, func([]byte) error { return nil })
	require.NoError(t, err)
	assert.Empty(t, found.Strays, "their files are gone too")
}

func TestCheckFindsCardsThatCannotBe(t *testing.T) {
	ctx, s := context.Background(), ladderStore(t)
	_, err := s.db.ExecContext(ctx, "INSERT INTO cards (id) VALUES (77); UPDATE photos SET card_id = 1")
	require.NoError(t, err)
	found, err := s.Check(ctx, func([]byte) error { return nil })
	require.NoError(t, err)
	require.Len(t, found.Problems, 3)
	assert.Equal(t, "card 2 has no photograph", found.Problems[0])
	assert.Equal(t, "card 77 has no photograph", found.Problems[1])
	assert.Contains(t, found.Problems[2], "more than one swatch in one state")
}

// A lost photograph that was read together with another is named by its swatches.
func TestALostPhotographOfAPair(t *testing.T) {
	ctx, s := context.Background(), stockedStore(t)
	first, second := photo("a.jpg"), photo("b.jpg")
	recorded, err := s.Record(ctx, first, []wax.Swatch{swatch(1), swatch(2)})
	require.NoError(t, err)
	second.With = hashOf(first.Bytes)
	_, err = s.Add(ctx, second, addedOf(first, 0, recorded...))
	require.NoError(t, err)
	require.NoError(t, s.photos.remove(hashOf(second.Bytes)))
	found, err := s.Check(ctx, func([]byte) error { return nil })
	require.NoError(t, err)
	require.Len(t, found.Lost, 1)
	assert.Equal(t, []int64{1, 2}, found.Lost[0].SwatchIDs)
	assert.Equal(t, "b.jpg", found.Lost[0].Name)
}

// What reading again put in place of the old can be brought back, and undone again;
// what was recorded since stays.
func TestBringBack(t *testing.T) {
	ctx, s := context.Background(), stockedStore(t)
	_, err := s.BringBack(ctx, noon)
	require.ErrorIs(t, err, ErrNotFound)

	old := printedPhoto("a.jpg")
	old.Anchor = wax.Strip{{L: 20}, nanLab}
	recorded, err := s.Record(ctx, old, []wax.Swatch{halved(1), swatch(2), swatch(3)})
	require.NoError(t, err)
	require.NoError(t, s.SaveLearned(ctx, "Harrow Soy", []byte(`{"old":1}`), noon))
	before, err := s.Contents(ctx)
	require.NoError(t, err)

	fresh := old
	fresh.Reader, fresh.Anchor = 9, wax.Strip{{L: 22}}
	at := noon.Add(time.Hour)
	_, err = s.Replace(ctx, at, addedOf(fresh, 3, recorded...))
	require.NoError(t, err)
	require.NoError(t, s.SaveLearned(ctx, "Harrow Soy", []byte(`{"new":1}`), at))
	renewed, err := s.Contents(ctx)
	require.NoError(t, err)
	assert.Equal(t, recorded[0].Colour.Lab.L+3, renewed.Swatches[0].Colour.Lab.L)

	since, err := s.BringBack(ctx, at)
	require.NoError(t, err)
	assert.True(t, since.Equal(at))
	got, err := s.Contents(ctx)
	require.NoError(t, err)
	assert.Equal(t, before.Swatches, got.Swatches)
	assert.Equal(t, before.Learned, got.Learned)
	assert.Equal(t, before.Strips[0].Patches[0], got.Strips[0].Patches[0])
	assert.Equal(t, 1, got.Strips[0].Patches.Sound())

	_, err = s.BringBack(ctx, at)
	require.NoError(t, err)
	got, err = s.Contents(ctx)
	require.NoError(t, err)
	assert.Equal(t, renewed.Swatches, got.Swatches)
	assert.Equal(t, renewed.Learned, got.Learned)

	later := photo("b.jpg")
	later.RecordedAt = at.Add(time.Minute)
	_, err = s.Record(ctx, later, []wax.Swatch{swatch(1)})
	require.NoError(t, err)
	require.NoError(t, s.RemoveSwatches(ctx, 2))
	_, err = s.BringBack(ctx, at)
	require.NoError(t, err)
	got, err = s.Contents(ctx)
	require.NoError(t, err)
	assert.Equal(t, []int64{1, 3, 4}, idsOf(got.Swatches))
	assert.Equal(t, []spectrum.Measured{before.Swatches[0].Colour, before.Swatches[2].Colour}, []spectrum.Measured{got.Swatches[0].Colour, got.Swatches[1].Colour})
}
