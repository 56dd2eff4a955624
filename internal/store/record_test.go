package store

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

func TestRecordGivesBackEveryField(t *testing.T) {
	ctx, s := context.Background(), stockedStore(t)
	first := swatch(1, wax.Part{Dye: "slate", DoseGPerKg: 0.1}, wax.Part{Dye: "BRACKEN", DoseGPerKg: 2.5})
	first.Wax = "harrow soy"
	second := swatch(2)
	second.State, second.Check, second.Notes = wax.LiquidState, true, nil
	given := photo("Karte é.jpg")
	given.RecordedAt = noon.In(time.FixedZone("", 3*3600))

	recorded, err := s.Record(ctx, given, []wax.Swatch{first, second})
	require.NoError(t, err)

	// sha256 of "bytes of Karte é.jpg", by sha256sum (FIPS 180-4).
	const hash = "1dbca030c484d1d0e65a1f4fa3eec268c2a332a43654cbac87426b0b577873d2"
	ref := wax.PhotoRef{SHA256: hash, Name: "Karte é.jpg", Reader: 3, RecordedAt: noon, Card: 1}
	first.ID, first.Wax, first.Photo = 1, "Harrow Soy", ref
	first.Recipe = wax.Recipe{{Dye: "Bracken", DoseGPerKg: 2.5}, {Dye: "Slate", DoseGPerKg: 0.1}}
	second.ID, second.Photo = 2, ref
	want := []wax.Swatch{first, second}
	assert.Equal(t, want, recorded)

	again := openAt(t, s.Path())
	listed, err := again.Swatches(ctx, Filter{})
	require.NoError(t, err)
	assert.Equal(t, want, listed)
	one, err := again.Swatch(ctx, 2)
	require.NoError(t, err)
	assert.Equal(t, second, one)

	back, err := again.Photo(ctx, hash)
	require.NoError(t, err)
	given.RecordedAt, given.Card = noon, 1
	assert.Equal(t, given, back)
}

// What goes in comes out, for random numbers of every size.
func TestRecordProperty(t *testing.T) {
	ctx, s := context.Background(), stockedStore(t)
	random := rand.New(rand.NewPCG(6, 2))
	number := func() float64 {
		return (random.Float64() - 0.5) * math.Pow(10, float64(random.IntN(23)-20))
	}
	var put []wax.Swatch
	for drop := 1; drop <= 200; drop++ {
		sw := swatch(drop)
		sw.Colour.Lab = spectrum.Lab{L: number(), A: number(), B: number()}
		sw.Card = spectrum.Lab{L: number(), A: number(), B: number()}
		root := [3][3]float64{{number()}, {number(), number()}, {number(), number(), number()}}
		sw.Colour.Cov = [3][3]float64{}
		for i := range 3 {
			for j := range 3 {
				for k := range 3 {
					sw.Colour.Cov[i][j] += root[i][k] * root[j][k]
				}
			}
		}
		sw.AreaPx, sw.AreaShare = random.IntN(1e8), random.Float64()
		sw.Check = random.IntN(2) == 0
		for _, dye := range []string{"Bracken", "Slate"} {
			if random.IntN(2) == 0 {
				sw.Recipe = append(sw.Recipe, wax.Part{Dye: dye, DoseGPerKg: math.SmallestNonzeroFloat64 + 1000*random.Float64()})
			}
		}
		put = append(put, sw)
	}
	got, err := s.Record(ctx, photo("many.jpg"), put)
	require.NoError(t, err)
	require.Len(t, got, len(put))
	for i, sw := range got {
		put[i].ID, put[i].Photo = sw.ID, sw.Photo
		assert.Equal(t, put[i], sw)
	}
}

func TestRecordIsAllOrNothing(t *testing.T) {
	ctx, s := context.Background(), stockedStore(t)
	good := swatch(1, wax.Part{Dye: "Slate", DoseGPerKg: 1})
	for _, tt := range []struct {
		name  string
		spoil func(*wax.Swatch)
		kind  error
		says  string
	}{
		{"unknown dye", func(sw *wax.Swatch) { sw.Recipe = wax.Recipe{{Dye: "Fern", DoseGPerKg: 1}} }, ErrNotFound, "the store has Bracken and Slate"},
		{"unknown wax", func(sw *wax.Swatch) { sw.Wax = "Tallow" }, ErrNotFound, "the store has Harrow Soy"},
		{"dye twice", func(sw *wax.Swatch) {
			sw.Recipe = wax.Recipe{{Dye: "Slate", DoseGPerKg: 1}, {Dye: "slate", DoseGPerKg: 2}}
		}, ErrInvalid, "twice"},
		{"negative dose", func(sw *wax.Swatch) { sw.Recipe = wax.Recipe{{Dye: "Slate", DoseGPerKg: -1}} }, ErrInvalid, "above 0"},
		{"NaN dose", func(sw *wax.Swatch) { sw.Recipe = wax.Recipe{{Dye: "Slate", DoseGPerKg: math.NaN()}} }, ErrInvalid, "NaN"},
		{"NaN colour", func(sw *wax.Swatch) { sw.Colour.Lab.A = math.NaN() }, ErrInvalid, "drop 2 of card.jpg has a colour"},
		{"infinite card", func(sw *wax.Swatch) { sw.Card.L = math.Inf(-1) }, ErrInvalid, "card colour"},
		{"NaN covariance", func(sw *wax.Swatch) { sw.Colour.Cov[0][0] = math.NaN() }, ErrInvalid, "error of its colour"},
		{"negative variance", func(sw *wax.Swatch) { sw.Colour.Cov[2][2] = -1 }, ErrInvalid, "error of its colour"},
		{"lopsided covariance", func(sw *wax.Swatch) { sw.Colour.Cov[0][1] = 0 }, ErrInvalid, "error of its colour"},
		{"no state", func(sw *wax.Swatch) { sw.State = "" }, ErrInvalid, "neither liquid nor set"},
		{"drop 0", func(sw *wax.Swatch) { sw.Drop = 0 }, ErrInvalid, "from 1"},
		{"drop twice", func(sw *wax.Swatch) { sw.Drop = 1 }, ErrInvalid, "drop 1 of card.jpg is given twice"},
		{"area", func(sw *wax.Swatch) { sw.AreaShare = math.NaN() }, ErrInvalid, "area"},
		{"note", func(sw *wax.Swatch) { sw.Notes = []string{"\xff"} }, ErrInvalid, "note"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			bad := swatch(2)
			tt.spoil(&bad)
			_, err := s.Record(ctx, photo("card.jpg"), []wax.Swatch{good, bad})
			require.ErrorIs(t, err, tt.kind)
			assert.Contains(t, err.Error(), tt.says)
			assert.NotContains(t, err.Error(), "\n")
			for _, table := range []string{"photos", "swatches", "swatch_parts"} {
				assert.Zero(t, count(t, s, table), table)
			}
			assert.NoDirExists(t, string(s.photos))
		})
	}
}

func TestRecordRefusesAnEmptyPhotoAndNoDrops(t *testing.T) {
	ctx, s := context.Background(), stockedStore(t)
	empty := photo("card.jpg")
	empty.Bytes = nil
	_, err := s.Record(ctx, empty, []wax.Swatch{swatch(1)})
	assert.ErrorIs(t, err, ErrInvalid)
	_, err = s.Record(ctx, photo("card.jpg"), nil)
	assert.ErrorIs(t, err, ErrInvalid)
	garbled := photo("card.jpg")
	garbled.PlanText = "wax: \xe9"
	_, err = s.Record(ctx, garbled, []wax.Swatch{swatch(1)})
	assert.ErrorIs(t, err, ErrInvalid)
	assert.PanicsWithValue(t, "store: Photo.RecordedAt is not set", func() {
		s.Record(ctx, Photo{Name: "card.jpg", Bytes: []byte{1}}, []wax.Swatch{swatch(1)})
	})
}

func TestRecordRefusesTheSamePhotoTwice(t *testing.T) {
	ctx, s := context.Background(), stockedStore(t)
	recordCard(t, s, "other.jpg", 11)
	ids := recordCard(t, s, "card.jpg", 9)
	again := photo("card.jpg")
	again.Name = "copy of card.jpg"
	_, err := s.Record(ctx, again, []wax.Swatch{swatch(1)})
	require.ErrorIs(t, err, ErrExists)
	assert.EqualError(t, err, "the photograph copy of card.jpg is already recorded as swatches 12 to 20; remove them to record it again")
	assert.FileExists(t, s.photos.file(hashOf(again.Bytes)), "the first recording keeps its file")

	require.NoError(t, s.RemoveSwatches(ctx, ids...))
	recorded, err := s.Record(ctx, again, []wax.Swatch{swatch(1)})
	require.NoError(t, err)
	assert.EqualValues(t, 21, recorded[0].ID, "numbers are never given again")
}

func TestNumbered(t *testing.T) {
	assert.Equal(t, "swatch 4", numbered([]int64{4}))
	assert.Equal(t, "swatches 4 and 6", numbered([]int64{4, 6}))
	assert.Equal(t, "swatches 3, 5 and 7 to 9", numbered([]int64{3, 5, 7, 8, 9}))
}

// A photograph that cannot be written leaves no rows.
func TestRecordWithoutRoomForThePhoto(t *testing.T) {
	ctx, s := context.Background(), stockedStore(t)
	inTheWay := string(s.photos)
	require.NoError(t, s.photos.make())
	require.NoError(t, os.Remove(inTheWay))
	require.NoError(t, os.WriteFile(inTheWay, nil, 0o600))
	_, err := s.Record(ctx, photo("card.jpg"), []wax.Swatch{swatch(1)})
	require.ErrorContains(t, err, "nothing was recorded")
	assert.Zero(t, count(t, s, "photos"))
	assert.Zero(t, count(t, s, "swatches"))
}

// What a killed program leaves, a half-written file or a file without a row, is
// taken over by the next recording.
func TestRecordTakesOverWhatACrashLeft(t *testing.T) {
	ctx, s := context.Background(), stockedStore(t)
	card := photo("card.jpg")
	require.NoError(t, s.photos.make())
	require.NoError(t, os.WriteFile(s.photos.file(incoming), []byte(strings.Repeat("half", 1000)), 0o600))
	require.NoError(t, os.WriteFile(s.photos.file(hashOf(card.Bytes)), card.Bytes, 0o600))

	recordCard(t, s, card.Name, 1)
	got, err := s.Photo(ctx, hashOf(card.Bytes))
	require.NoError(t, err)
	assert.Equal(t, card.Bytes, got.Bytes)
	files, err := os.ReadDir(string(s.photos))
	require.NoError(t, err)
	assert.Len(t, files, 1)
}

func TestPhotoTellsDamage(t *testing.T) {
	ctx, s := context.Background(), stockedStore(t)
	recordCard(t, s, "card.jpg", 1)
	hash := hashOf(photo("card.jpg").Bytes)
	_, err := s.Photo(ctx, strings.Repeat("0", 64))
	assert.ErrorIs(t, err, ErrNotFound)

	require.NoError(t, os.WriteFile(s.photos.file(hash), []byte("bytes of card.jpG"), 0o600))
	_, err = s.Photo(ctx, hash)
	require.ErrorIs(t, err, ErrLost)
	assert.ErrorContains(t, err, "has changed since it was recorded")

	require.NoError(t, os.Remove(s.photos.file(hash)))
	_, err = s.Photo(ctx, hash)
	require.ErrorIs(t, err, ErrLost)
	assert.ErrorIs(t, err, os.ErrNotExist)
}

// A photograph that is removed while it is read was not lost.
func TestPhotoThatIsRemovedIsNotLost(t *testing.T) {
	ctx, s := context.Background(), stockedStore(t)
	hash := hashOf(photo("card.jpg").Bytes)
	for range 30 {
		ids := recordCard(t, s, "card.jpg", 1)
		read := make(chan error)
		go func() {
			var err error
			for err == nil {
				_, err = s.Photo(ctx, hash)
			}
			read <- err
		}()
		require.NoError(t, s.RemoveSwatches(ctx, ids...))
		require.ErrorIs(t, <-read, ErrNotFound)
	}
}

// Two stores in one folder keep their photographs apart.
func TestNeighbouringStoresShareNoPhoto(t *testing.T) {
	ctx, s := context.Background(), stockedStore(t)
	other := openAt(t, s.Path()+"2")
	stock(t, other)
	recordCard(t, s, "card.jpg", 1)
	ids := recordCard(t, other, "card.jpg", 1)
	require.NoError(t, other.RemoveSwatches(ctx, ids...))
	_, err := s.Photo(ctx, hashOf(photo("card.jpg").Bytes))
	assert.NoError(t, err)
}

func BenchmarkRecordCardOf12(b *testing.B) {
	s := stockedStore(b)
	for i := 0; b.Loop(); i++ {
		recordCard(b, s, fmt.Sprint(i), 12)
	}
}

func TestLearnedIsKeptAndReplaced(t *testing.T) {
	ctx := context.Background()
	s := openAt(t, filepath.Join(t.TempDir(), "workshop.db"))
	require.NoError(t, s.Waxes.Add(ctx, soy()))
	_, err := s.Learned(ctx, "Harrow Soy")
	require.ErrorIs(t, err, ErrNotFound)
	require.ErrorContains(t, err, "nothing has been learned of Harrow Soy yet")
	for _, model := range []string{`{"version":1}`, `{"version":2}`} {
		require.NoError(t, s.SaveLearned(ctx, "harrow soy", []byte(model), noon))
		kept, err := s.Learned(ctx, "Harrow Soy")
		require.NoError(t, err)
		require.Equal(t, model, string(kept))
	}
	require.ErrorIs(t, s.SaveLearned(ctx, "Beeswax", []byte(`{}`), noon), ErrNotFound)
	require.NoError(t, s.Waxes.Remove(ctx, "Harrow Soy"), "what was learned goes with its wax")
}
