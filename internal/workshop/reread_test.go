package workshop

import (
	"context"
	"os"
	"path/filepath"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/photo"
	"setshade/internal/scene"
	"setshade/internal/spectrum"
	"setshade/internal/store"
	"setshade/internal/wax"
)

// stored are all swatches of the bench.
func (b *bench) stored() []wax.Swatch {
	swatches, err := b.Store.Swatches(context.Background(), store.Filter{})
	require.NoError(b.t, err)
	return swatches
}

// olderReader makes the store what a reader that saw all colours darker would have
// left.
func (b *bench) olderReader() {
	ctx := context.Background()
	byPhoto := map[string][]wax.Swatch{}
	for _, s := range b.stored() {
		s.Colour.Lab.L -= 10
		byPhoto[s.Photo.SHA256] = append(byPhoto[s.Photo.SHA256], s)
	}
	for hash, swatches := range byPhoto {
		_, err := b.Store.Replace(ctx, b.Now(), store.Reading{SHA256: hash, Photo: store.Photo{Name: "old", Reader: 1}, Swatches: swatches})
		require.NoError(b.t, err)
	}
}

// twoPhotographs are of one printed card, rendered once for all tests.
var twoPhotographs struct {
	sync.Once
	cards []Card
	strip wax.Strip
}

// rereadBench has two photographs of one printed card, read by an older reader; the
// second is kept back for checking. It also returns what the present reader reads.
func rereadBench(t *testing.T) (*bench, []wax.Swatch) {
	b := newBench(t, scene.NewWax(scene.Soy), 2, 3)
	ctx := context.Background()
	twoPhotographs.Do(func() {
		for _, o := range []scene.Options{daylight, bentTones} {
			card, truth := b.printed(o)
			twoPhotographs.cards, twoPhotographs.strip = append(twoPhotographs.cards, card), truth.Strip
		}
	})
	for _, card := range twoPhotographs.cards {
		_, err := b.Record(ctx, card)
		require.NoError(t, err)
	}
	require.NoError(t, b.Store.SetCheck(ctx, true, 13, 14))
	require.NoError(t, b.Store.RemoveSwatches(ctx, 3))
	now := b.stored()
	b.olderReader()
	return b, now
}

func TestRereadPutsNewNumbersInPlaceOfOld(t *testing.T) {
	b, want := rereadBench(t)
	ctx, before := context.Background(), b.stored()
	require.NotEqual(t, want, before)

	dry, err := b.Reread(ctx, true, nil)
	require.NoError(t, err)
	assert.False(t, dry.Replaced)
	assert.Equal(t, before, b.stored(), "a dry run changes nothing")

	done := 0
	r, err := b.Reread(ctx, false, func(n, of int) { done++; assert.Equal(t, done, n); assert.Equal(t, 2, of) })
	require.NoError(t, err)
	assert.Equal(t, 2, done)
	assert.Equal(t, want, b.stored(), "numbers, doses and marks stay; a removed swatch stays away")
	require.Len(t, r.Photos, 2)
	assert.Equal(t, dry.Photos, r.Photos)
	first := r.Photos[0]
	assert.Equal(t, 1, first.OldReader)
	assert.Equal(t, photo.ReaderVersion, first.Reader)
	assert.Len(t, first.Drops, 11)
	assert.Equal(t, "first photograph", r.Photos[1].Correction.Kind)
	moved := first.MostChanged()
	for i := range moved[1:] {
		assert.GreaterOrEqual(t, moved[i].DE00(), moved[i+1].DE00())
	}
	assert.Equal(t, moved[0].DE00(), first.WorstDE00())
	assert.Equal(t, moved[5].DE00(), first.MedianDE00())
}

// A store without an anchor, such as one of an earlier version, gets the oldest
// photograph of the print.
func TestRereadFindsTheAnchor(t *testing.T) {
	b, want := rereadBench(t)
	ctx := context.Background()
	anchors, err := b.Store.Strips(ctx)
	require.NoError(t, err)
	require.NoError(t, b.Store.ForgetStrip(ctx, "A5 print 1", store.Anchor))
	_, err = b.Reread(ctx, false, nil)
	require.NoError(t, err)
	assert.Equal(t, want, b.stored())
	again, err := b.Store.Strips(ctx)
	require.NoError(t, err)
	assert.Equal(t, anchors, again)
}

// A measured strip makes all photographs absolute.
func TestRereadToAMeasuredStrip(t *testing.T) {
	b, _ := rereadBench(t)
	ctx := context.Background()
	strips, err := b.Store.Strips(ctx)
	require.NoError(t, err)
	reference := store.KeptStrip{Print: "A5 print 1", Kind: store.Reference, Name: "strip.csv", KeptAt: noon, Patches: twoPhotographs.strip}
	require.NoError(t, b.Store.SaveStrip(ctx, reference))
	r, err := b.Reread(ctx, false, nil)
	require.NoError(t, err)
	for _, p := range r.Photos {
		require.NoError(t, p.Refusal)
		assert.Equal(t, "measured strip", p.Correction.Kind)
	}
	after, err := b.Store.Strips(ctx)
	require.NoError(t, err)
	require.Len(t, after, 2)
	for i, lab := range after[0].Patches { // the anchor, now absolute too
		assert.Less(t, spectrum.DE00(lab, twoPhotographs.strip[i]), 1.0, "patch %d", i+1)
	}
	assert.Equal(t, strips[0].SHA256, after[0].SHA256)
}

// A photograph that cannot be read any more keeps its old numbers, and does not keep
// the others back.
func TestRereadKeepsTheOldNumbersOfTheRefused(t *testing.T) {
	b, want := rereadBench(t)
	ctx, before := context.Background(), b.stored()
	file := filepath.Join(filepath.Dir(b.Store.Path()), "photos", filepath.Base(b.Store.Path()), before[20].Photo.SHA256)
	require.NoError(t, os.WriteFile(file, []byte("not a photograph"), 0o600))
	r, err := b.Reread(ctx, false, nil)
	require.NoError(t, err)
	require.ErrorIs(t, r.Photos[1].Refusal, store.ErrLost)
	assert.NoError(t, r.Photos[0].Refusal)
	now := b.stored()
	assert.Equal(t, want[:11], now[:11])
	assert.Equal(t, before[11:], now[11:])
}

func TestRereadThatIsStoppedChangesNothing(t *testing.T) {
	b, _ := rereadBench(t)
	before := b.stored()
	ctx, stop := context.WithCancel(context.Background())
	_, err := b.Reread(ctx, false, func(int, int) { stop() })
	require.ErrorIs(t, err, context.Canceled)
	assert.Equal(t, before, b.stored())
}

func TestRereadOfAnEmptyStore(t *testing.T) {
	r, err := openWorkshop(t).Reread(context.Background(), false, nil)
	require.NoError(t, err)
	assert.Empty(t, r.Photos)
}

// The doubt of old readings must follow the reader: what the present one reads is never
// doubted, and once the reader tells mirrored light from wax, all before it are.
func TestOldReadersAreDoubted(t *testing.T) {
	assert.Zero(t, wax.PhotoRef{Reader: photo.ReaderVersion}.DoubtL())
	assert.Zero(t, wax.PhotoRef{}.DoubtL(), "an instrument")
	assert.Equal(t, 3.0, wax.PhotoRef{Reader: 4}.DoubtL())
	assert.Equal(t, min(6, photo.ReaderVersion), wax.FirstModelReader, "reader 6 is the first that models mirrored light: then all up to 5 are doubted")
}
