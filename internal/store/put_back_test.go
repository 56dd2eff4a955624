package store

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/wax"
)

// However a photograph was lost, its bytes put it back, and what stood in its place is
// kept.
func TestPutBack(t *testing.T) {
	original := photo("b.jpg").Bytes
	hash := hashOf(original)
	for name, c := range map[string]struct {
		lose  func(file string) error
		aside string
	}{
		"gone":        {os.Remove, ""},
		"folder gone": {func(file string) error { return os.RemoveAll(filepath.Dir(file)) }, ""},
		"changed":     {func(file string) error { return os.WriteFile(file, []byte("other"), 0o600) }, "other"},
		"cut short":   {func(file string) error { return os.Truncate(file, 3) }, "byt"},
		"a folder": {func(file string) error {
			return errors.Join(os.Remove(file), os.MkdirAll(filepath.Join(file, "full"), 0o700))
		}, "folder"},
	} {
		t.Run(name, func(t *testing.T) {
			ctx, s := context.Background(), ladderStore(t)
			want, err := s.Contents(ctx)
			require.NoError(t, err)
			require.NoError(t, c.lose(s.photos.file(hash)))

			back, err := s.PutBack(ctx, original)
			require.NoError(t, err)
			require.NotNil(t, back)
			assert.Equal(t, []any{"b.jpg", hash, "swatches 4 to 6 of 4 March 2025"}, []any{back.Name, back.SHA256, back.Of()})
			got, err := s.Photo(ctx, hash)
			require.NoError(t, err)
			assert.Equal(t, original, got.Bytes)
			now, err := s.Contents(ctx)
			require.NoError(t, err)
			assert.Equal(t, want, now, "nothing else changed")
			found, err := s.Check(ctx, modelIsFine)
			require.NoError(t, err)
			if name != "folder gone" { // and with it the other photograph
				assert.Empty(t, found.Problems)
			}
			switch c.aside {
			case "":
				assert.Empty(t, back.Aside)
				assert.Empty(t, found.Strays)
			case "folder":
				assert.DirExists(t, filepath.Join(back.Aside, "full"))
			default:
				assert.Equal(t, []string{back.Aside}, found.Strays)
				kept, err := os.ReadFile(back.Aside)
				require.NoError(t, err)
				assert.Equal(t, c.aside, string(kept))
			}
		})
	}
}

// What is set aside the second time does not take the place of the first.
func TestPutBackTwice(t *testing.T) {
	ctx, s := context.Background(), ladderStore(t)
	original := photo("b.jpg").Bytes
	var strays []string
	for _, other := range []string{"one", "two", "three"} {
		require.NoError(t, os.WriteFile(s.photos.file(hashOf(original)), []byte(other), 0o600))
		back, err := s.PutBack(ctx, original)
		require.NoError(t, err)
		kept, err := os.ReadFile(back.Aside)
		require.NoError(t, err)
		assert.Equal(t, other, string(kept))
		strays = append(strays, back.Aside)
	}
	found, err := s.Check(ctx, modelIsFine)
	require.NoError(t, err)
	assert.Empty(t, found.Problems)
	assert.Equal(t, strays, found.Strays)
}

func TestPutBackOfNothingLost(t *testing.T) {
	ctx, s := context.Background(), ladderStore(t)
	for name, content := range map[string][]byte{
		"whole": photo("b.jpg").Bytes, "not recorded": []byte("bytes of c.jpg"), "empty": nil,
	} {
		back, err := s.PutBack(ctx, content)
		require.NoError(t, err, name)
		assert.Nil(t, back, name)
	}
	found, err := s.Check(ctx, modelIsFine)
	require.NoError(t, err)
	assert.Empty(t, found.Strays)
}

// A photograph that an import was without has its number of bytes once it is back.
func TestPutBackAfterRestore(t *testing.T) {
	ctx, from := context.Background(), ladderStore(t)
	contents, err := from.Contents(ctx)
	require.NoError(t, err)
	s := emptyStore(t)
	lost, err := s.Restore(ctx, contents, func(string) ([]byte, error) { return nil, errors.New("gone") })
	require.NoError(t, err)
	require.Len(t, lost, 2)
	bytes := 0
	for _, name := range []string{"a.jpg", "b.jpg"} {
		back, err := s.PutBack(ctx, photo(name).Bytes)
		require.NoError(t, err)
		assert.Equal(t, name, back.Name)
		bytes += len(photo(name).Bytes)
	}
	found, err := s.Check(ctx, modelIsFine)
	require.NoError(t, err)
	assert.Empty(t, found.Problems)
	var counted int
	require.NoError(t, s.db.QueryRow("SELECT sum(byte_count) FROM photos").Scan(&counted))
	assert.Equal(t, bytes, counted)
}

// What finds no room leaves the changed file in its place and nothing half-written.
func TestPutBackOnAFullDisk(t *testing.T) {
	ctx, folder := context.Background(), smallDisk(t, "1024")
	s, err := Open(ctx, filepath.Join(folder, "store.db"))
	require.NoError(t, err)
	defer s.Close()
	stock(t, s)
	card := photo("a.jpg")
	card.Bytes = append(card.Bytes, make([]byte, 100<<10)...)
	_, err = s.Record(ctx, card, []wax.Swatch{swatch(1)})
	require.NoError(t, err)
	hash := hashOf(card.Bytes)
	require.NoError(t, os.WriteFile(s.photos.file(hash), []byte("other"), 0o600))
	filler := filepath.Join(folder, "filler")
	require.Error(t, os.WriteFile(filler, make([]byte, 2<<20), 0o600))

	_, err = s.PutBack(ctx, card.Bytes)
	require.ErrorContains(t, err, "the photograph a.jpg could not be put back into the store")
	files, err := os.ReadDir(string(s.photos))
	require.NoError(t, err)
	assert.Len(t, files, 1, "the changed file, in its place")
	_, err = s.Photo(ctx, hash)
	require.ErrorContains(t, err, "the photograph a.jpg has changed since it was recorded")

	require.NoError(t, os.Remove(filler))
	back, err := s.PutBack(ctx, card.Bytes)
	require.NoError(t, err)
	require.NotNil(t, back)
	_, err = s.Photo(ctx, hash)
	require.NoError(t, err)
}

// Only what is lost is named, by the name under which it was recorded.
func TestLostNamed(t *testing.T) {
	ctx, s := context.Background(), ladderStore(t)
	lost, err := s.LostNamed(ctx, "b.jpg")
	require.NoError(t, err)
	assert.Empty(t, lost)
	require.NoError(t, os.Remove(s.photos.file(hashOf(photo("b.jpg").Bytes))))
	lost, err = s.LostNamed(ctx, "b.jpg")
	require.NoError(t, err)
	require.Len(t, lost, 1)
	assert.Equal(t, "swatches 4 to 6 of 4 March 2025", lost[0].Of())
	lost, err = s.LostNamed(ctx, "a.jpg")
	require.NoError(t, err)
	assert.Empty(t, lost)
}

// Of several at once one puts the photograph back, and the others find it whole.
func TestPutBackAtOnce(t *testing.T) {
	ctx, s := context.Background(), ladderStore(t)
	original := photo("b.jpg").Bytes
	require.NoError(t, os.WriteFile(s.photos.file(hashOf(original)), []byte("other"), 0o600))
	var wait sync.WaitGroup
	backs := make([]*PutBack, 4)
	for i := range backs {
		other := openAt(t, s.Path())
		wait.Go(func() {
			var err error
			backs[i], err = other.PutBack(ctx, original)
			assert.NoError(t, err)
		})
	}
	wait.Wait()
	did := 0
	for _, back := range backs {
		if back != nil {
			did++
		}
	}
	assert.Equal(t, 1, did)
	found, err := s.Check(ctx, modelIsFine)
	require.NoError(t, err)
	assert.Empty(t, found.Problems)
	assert.Len(t, found.Strays, 1)
}

// A photograph in whose place a link to an endless device stands is lost, and nothing is
// read from there.
func TestPhotographThatIsADeviceIsLost(t *testing.T) {
	ctx, s := context.Background(), ladderStore(t)
	hash := hashOf(photo("a.jpg").Bytes)
	require.NoError(t, os.Remove(s.photos.file(hash)))
	if err := os.Symlink("/dev/zero", s.photos.file(hash)); err != nil {
		t.Skip("no link can be made here:", err)
	}
	_, err := s.Photo(ctx, hash)
	require.ErrorIs(t, err, ErrLost)
	assert.ErrorContains(t, err, "it is not a file")
}
