package store

import (
	"context"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// printedPhoto is a photograph of a printed card, with all that a reader tells.
func printedPhoto(name string) Photo {
	p := photo(name)
	p.Correction = wax.Correction{Kind: "first photograph", Model: "tone curve", Patches: 13, MedianDE00: 0.4, WorstDE00: 1.2, HeldOutDE00: 0.6}
	p.Quality = wax.Quality{LightRatio: 1.4, TintShift: 0.03, Noise: 0.011, EdgePx: 2.5}
	p.Print = "A5 1"
	p.Patches = wax.Strip{{L: 20.5, A: 0.1, B: -0.2}, {L: 60, A: 1, B: 2}}
	p.Chart = wax.Strip{{L: 37.54, A: 14.37, B: 14.92}}
	return p
}

// halved is a drop on the black bar.
func halved(drop int, parts ...wax.Part) wax.Swatch {
	sw := swatch(drop, parts...)
	sw.OverBlack = &spectrum.Measured{Lab: spectrum.Lab{L: 60.5, A: -9, B: 21}, Cov: sw.Colour.Cov}
	sw.Bar = &spectrum.Lab{L: 23.25, A: 0.5, B: -0.5}
	sw.DiameterMM, sw.MassG = 14.75, 0.45
	return sw
}

func TestReadingGoesRound(t *testing.T) {
	ctx, s := context.Background(), stockedStore(t)
	given := printedPhoto("a.jpg")
	piece := swatch(2)
	piece.Thick = true
	recorded, err := s.Record(ctx, given, []wax.Swatch{halved(1), piece, swatch(3)})
	require.NoError(t, err)

	listed, err := openAt(t, s.Path()).Swatches(ctx, Filter{})
	require.NoError(t, err)
	assert.Equal(t, recorded, listed)
	want := halved(1)
	want.ID, want.Photo = 1, wax.PhotoRef{
		SHA256: hashOf(given.Bytes), Name: "a.jpg", Reader: 3, RecordedAt: noon, Card: 1, Correction: given.Correction, Quality: given.Quality,
	}
	assert.Equal(t, want, listed[0])
	assert.True(t, listed[1].Thick)
	assert.Nil(t, listed[2].OverBlack)
	assert.Nil(t, listed[2].Bar)

	back, err := s.Photo(ctx, hashOf(given.Bytes))
	require.NoError(t, err)
	given.Card = 1
	assert.Equal(t, given, back)
}

func TestReadingsThatCannotBe(t *testing.T) {
	ctx, s := context.Background(), stockedStore(t)
	nan := math.NaN()
	for problem, spoil := range map[string]func(*Photo, *wax.Swatch){
		"colour over the black bar": func(_ *Photo, sw *wax.Swatch) { sw.OverBlack.Lab.L = nan },
		"black bar whose colour":    func(_ *Photo, sw *wax.Swatch) { sw.Bar.B = nan },
		"diameter that cannot be":   func(_ *Photo, sw *wax.Swatch) { sw.DiameterMM = -1 },
		"mass that cannot be":       func(_ *Photo, sw *wax.Swatch) { sw.MassG = math.NaN() },
		"thick piece with a mass":   func(_ *Photo, sw *wax.Swatch) { sw.Thick, sw.MassG = true, 0.45 },
		"thick piece and liquid":    func(_ *Photo, sw *wax.Swatch) { sw.Thick, sw.State = true, wax.LiquidState },
		"figure that is not a number": func(p *Photo, _ *wax.Swatch) {
			p.Quality.Noise = nan
		},
	} {
		p, sw := printedPhoto("a.jpg"), halved(1)
		spoil(&p, &sw)
		_, err := s.Record(ctx, p, []wax.Swatch{sw})
		require.ErrorIs(t, err, ErrInvalid, problem)
		assert.ErrorContains(t, err, problem)
	}
	assert.Equal(t, 0, count(t, s, "photos"))
}

// The first photograph of a print is its anchor; a patch that was not read stays
// so.
func TestFirstAnchorStays(t *testing.T) {
	ctx, s := context.Background(), stockedStore(t)
	first, later := printedPhoto("a.jpg"), printedPhoto("b.jpg")
	first.Anchor = wax.Strip{{L: 20, A: 0, B: 1}, {L: nanLab.L, A: nanLab.A, B: nanLab.B}}
	later.Anchor = wax.Strip{{L: 30}}
	for _, p := range []Photo{first, later} {
		_, err := s.Record(ctx, p, []wax.Swatch{swatch(1)})
		require.NoError(t, err)
	}
	strips, err := s.Strips(ctx)
	require.NoError(t, err)
	require.Len(t, strips, 1)
	got := strips[0]
	assert.Equal(t, 1, got.Patches.Sound())
	assert.Equal(t, first.Anchor[0], got.Patches[0])
	got.Patches = nil
	assert.Equal(t, KeptStrip{Print: "A5 1", Kind: Anchor, Name: "a.jpg", SHA256: hashOf(first.Bytes), KeptAt: noon}, got)

	reference := KeptStrip{Print: "A5 1", Kind: Reference, Patches: wax.Strip{{L: 21}}, Name: "strip.csv", KeptAt: noon}
	require.NoError(t, s.SaveStrip(ctx, reference))
	reference.Patches[0].L = 22
	require.NoError(t, s.SaveStrip(ctx, reference))
	strips, err = s.Strips(ctx)
	require.NoError(t, err)
	require.Len(t, strips, 2)
	assert.Equal(t, reference, strips[1])

	require.NoError(t, s.RemoveSwatches(ctx, 1))
	require.NoError(t, s.ForgetStrip(ctx, "A5 1", Reference))
	strips, err = s.Strips(ctx)
	require.NoError(t, err)
	assert.Len(t, strips, 1, "an anchor outlives its photograph")
	require.NoError(t, s.ForgetStrip(ctx, "A5 1", Anchor))
	err = s.ForgetStrip(ctx, "A5 1", Anchor)
	require.ErrorIs(t, err, ErrNotFound)
	assert.EqualError(t, err, "there is no anchor of the printed card A5 1 in the store; nothing was changed")
}

var nanLab = spectrum.Lab{L: math.NaN(), A: math.NaN(), B: math.NaN()}

// A new reading changes what was measured and nothing else.
func TestReplaceKeepsWhatTheMakerSaid(t *testing.T) {
	ctx, s := context.Background(), stockedStore(t)
	slate := wax.Part{Dye: "Slate", DoseGPerKg: 1}
	old := printedPhoto("a.jpg")
	recorded, err := s.Record(ctx, old, []wax.Swatch{swatch(1, slate), swatch(2), swatch(3)})
	require.NoError(t, err)
	require.NoError(t, s.SetCheck(ctx, true, 1))
	require.NoError(t, s.RemoveSwatches(ctx, 2))
	hash := hashOf(old.Bytes)

	p := printedPhoto("a.jpg")
	p.Reader, p.Correction.Kind, p.Quality.Noise, p.Patches, p.Anchor = 9, "measured strip", 0.5, wax.Strip{{L: 1}}, wax.Strip{{L: 2}}
	fresh := halved(1)
	fresh.ID, fresh.Colour.Lab = recorded[0].ID, spectrum.Lab{L: 1, A: 2, B: 3}
	left, err := s.Replace(ctx, noon, Reading{hash, p, []wax.Swatch{fresh}})
	require.NoError(t, err)
	assert.Empty(t, left)

	got, err := s.Swatch(ctx, 1)
	require.NoError(t, err)
	want := recorded[0]
	want.Check, want.Colour, want.OverBlack, want.Bar, want.DiameterMM = true, fresh.Colour, fresh.OverBlack, fresh.Bar, fresh.DiameterMM
	want.Photo.Reader, want.Photo.Correction, want.Photo.Quality = 9, p.Correction, p.Quality
	assert.Equal(t, want, got)
	back, err := s.Photo(ctx, hash)
	require.NoError(t, err)
	assert.Equal(t, old.PlanText, back.PlanText)
	assert.Equal(t, old.Chart, back.Chart)
	assert.Equal(t, p.Patches, back.Patches)
	strips, err := s.Strips(ctx)
	require.NoError(t, err)
	require.Len(t, strips, 1)
	assert.Equal(t, p.Anchor, strips[0].Patches)

	// Swatch 2 is gone: nothing of the reading is taken.
	lost := swatch(2)
	lost.ID, p.Reader = 2, 10
	left, err = s.Replace(ctx, noon, Reading{hash, p, []wax.Swatch{fresh, lost}}, Reading{"none", p, []wax.Swatch{fresh}})
	require.NoError(t, err)
	require.ErrorIs(t, left["none"], ErrNotFound)
	require.ErrorIs(t, left[hash], ErrNotFound)
	assert.EqualError(t, left[hash], "swatch 2 is no longer in the store; its numbers were not replaced")
	back, err = s.Photo(ctx, hash)
	require.NoError(t, err)
	assert.Equal(t, 9, back.Reader)
}

// Readings that hang together change together: one that cannot be written keeps
// the others' old numbers too.
func TestReplaceIsAllOrNothing(t *testing.T) {
	ctx, s := context.Background(), ladderStore(t)
	before, err := s.Contents(ctx)
	require.NoError(t, err)
	_, err = s.db.ExecContext(ctx, "CREATE TRIGGER full BEFORE UPDATE ON photos WHEN old.name = 'b.jpg' BEGIN SELECT RAISE(ABORT, 'no room'); END")
	require.NoError(t, err)
	var readings []Reading
	for _, p := range before.Photos {
		drops, err := s.Swatches(ctx, Filter{})
		require.NoError(t, err)
		drops = slices.DeleteFunc(drops, func(sw wax.Swatch) bool { return sw.Photo.SHA256 != p.SHA256 })
		p.Reader = 99
		readings = append(readings, Reading{p.SHA256, p.Photo, drops})
	}
	_, err = s.Replace(ctx, noon, readings...)
	require.ErrorContains(t, err, "no room")
	after, err := s.Contents(ctx)
	require.NoError(t, err)
	assert.Equal(t, before, after)
}

func TestPhotosInOrder(t *testing.T) {
	ctx, s := context.Background(), ladderStore(t)
	photos, err := s.Photos(ctx)
	require.NoError(t, err)
	var hashes []string
	for _, p := range photos {
		hashes = append(hashes, p.SHA256)
	}
	assert.Equal(t, []string{hashOf(photo("a.jpg").Bytes), hashOf(photo("b.jpg").Bytes)}, hashes)
}

// A store of version 3 keeps its swatches, whose photographs then have no known
// correction.
func TestMigrateReadings(t *testing.T) {
	ctx, s := context.Background(), unmigrated(t)
	require.NoError(t, s.migrate(ctx, migrations()[:3]))
	stock(t, s)
	_, err := s.db.ExecContext(ctx, `
		INSERT INTO photos (id, sha256, name, byte_count, plan_text, reader, recorded_at)
			VALUES (4, ?, 'old.jpg', 3, 'wax Harrow Soy', 1, '2025-03-04T12:30:45.123456789Z');
		INSERT INTO swatches (id, wax_id, photo_id, drop_number, state, kept_for_check, lab_l, lab_a, lab_b,
			cov_ll, cov_la, cov_lb, cov_aa, cov_ab, cov_bb, card_l, card_a, card_b, area_px, area_share, notes)
			VALUES (7, 1, 4, 2, 'set', 1, 50, 1, 2, 0.1, 0, 0, 0.2, 0, 0.3, 95, 0, 1, 900, 0.02, '["wet"]')`, hashOf([]byte("old")))
	require.NoError(t, err)

	require.NoError(t, s.migrate(ctx, migrations()))
	got, err := s.Swatch(ctx, 7)
	require.NoError(t, err)
	assert.Equal(t, wax.Swatch{
		ID: 7, Wax: "Harrow Soy", State: wax.SetState, Check: true, Drop: 2,
		Colour: spectrum.Measured{Lab: spectrum.Lab{L: 50, A: 1, B: 2}, Cov: [3][3]float64{{0.1}, {0, 0.2}, {0, 0, 0.3}}},
		Card:   spectrum.Lab{L: 95, B: 1}, AreaPx: 900, AreaShare: 0.02, Notes: []string{"wet"},
		Photo: wax.PhotoRef{SHA256: hashOf([]byte("old")), Name: "old.jpg", Reader: 1, RecordedAt: noon, Card: 4},
	}, got)
	assert.False(t, got.Photo.Correction.IsKnown())
	_, err = s.Record(ctx, printedPhoto("a.jpg"), []wax.Swatch{halved(1)})
	require.NoError(t, err)
}
