package store

import (
	"context"
	"encoding/json"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/wax"
)

// fullStore has something of all that a store keeps.
func fullStore(t testing.TB) *Store {
	ctx, s := context.Background(), ladderStore(t)
	require.NoError(t, s.Moulds.Add(ctx, melt()))
	swatches, err := s.Swatches(ctx, Filter{})
	require.NoError(t, err)
	for _, name := range []string{"Harrow Soy", "Harrow Coco"} {
		numbers := make([]float64, 300)
		for i := range numbers {
			numbers[i] = float64(i) / 7
		}
		model, err := json.Marshal(numbers)
		require.NoError(t, err)
		require.NoError(t, s.SaveLearned(ctx, name, model, noon))
	}
	_, err = s.LogBatch(ctx, poured())
	require.NoError(t, err)
	_, err = s.KeepStock(ctx, aside())
	require.NoError(t, err)
	require.NoError(t, s.SaveStrip(ctx, KeptStrip{Print: "A5 print 1", Kind: Reference, Patches: wax.Strip{swatches[0].Card, swatches[1].Card}, Name: "strip.csv", KeptAt: noon}))
	readings := []Reading{{SHA256: swatches[0].Photo.SHA256, Photo: photo("a.jpg"), Swatches: swatches[:3]}}
	_, err = s.Replace(ctx, noon, readings...)
	require.NoError(t, err)
	return s
}

// flips is how many are tried: SETSHADE_TEST_FLIPS, else a few.
func flips(t *testing.T) int {
	if many, err := strconv.Atoi(os.Getenv("SETSHADE_TEST_FLIPS")); err == nil {
		return many
	}
	if testing.Short() {
		return 20
	}
	return 200
}

// A single bit that turns over anywhere in the file either changes nothing that the
// store answers, or is seen: when the store is opened, or by a check, and by a backup as
// strictly.
func TestNoFlipThatChangesAnAnswerIsUnseen(t *testing.T) {
	ctx, s := context.Background(), fullStore(t)
	want, err := s.Contents(ctx)
	require.NoError(t, err)
	path := s.Path()
	require.NoError(t, s.Close())
	whole, err := os.ReadFile(path)
	require.NoError(t, err)
	random := rand.New(rand.NewPCG(19, 1))
	changed, opened := 0, 0
	for i := range flips(t) {
		at := random.IntN(len(whole))
		for whole[at] == 0 && i%10 > 0 { // most of a small file is empty pages
			at = random.IntN(len(whole))
		}
		bad := append([]byte(nil), whole...)
		bit := byte(1) << random.IntN(8)
		bad[at] ^= bit
		require.NoError(t, os.WriteFile(path, bad, 0o600))
		os.Remove(path + "-wal")
		os.Remove(path + "-shm")
		flipped, err := Open(ctx, path)
		if err != nil {
			continue
		}
		opened++
		found, checked := flipped.Check(ctx, modelIsFine)
		got, err := flipped.Contents(ctx)
		same := err == nil && assert.ObjectsAreEqual(want, got)
		if !same {
			changed++
			assert.True(t, checked != nil || len(found.Problems) > 0, "bit %#x of byte %d: unseen", bit, at)
			if i%5 == 0 {
				copied, err := flipped.Backup(ctx, modelIsFine, filepath.Join(t.TempDir(), "copy.db"))
				assert.True(t, err != nil || len(copied.Problems) > 0, "bit %#x of byte %d: unseen in a copy", bit, at)
			}
		}
		flipped.Close()
	}
	t.Logf("%d flips: %d opened, %d changed what the store answers", flips(t), opened, changed)
	require.NoError(t, os.WriteFile(path, whole, 0o600))
}
