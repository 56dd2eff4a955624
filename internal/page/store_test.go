package page

import (
	"archive/zip"
	"bytes"
	"context"
	"fmt"
	"io"
	"mime"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/store"
	"setshade/internal/workshop"
)

// takeCopy makes a copy on the page, downloads it, and unpacks it.
func (s *site) takeCopy(kind string) string {
	s.t.Helper()
	at := s.post("/store/"+kind, nil).Header.Get("Location")
	s.get(at + "/progress") // until it has ended
	r := s.get(at)
	require.Equal(s.t, 200, r.StatusCode, r.body)
	assert.Contains(s.t, r.body, at+"/copy.zip")
	r = s.get(at + "/copy.zip")
	require.Equal(s.t, 200, r.StatusCode)
	assert.Equal(s.t, "application/zip", r.Header.Get("Content-Type"))
	assert.Equal(s.t, fmt.Sprint(len(r.body)), r.Header.Get("Content-Length"), "its length is told, so that a part is known as one")
	how, name, err := mime.ParseMediaType(r.Header.Get("Content-Disposition"))
	require.NoError(s.t, err)
	assert.Equal(s.t, "attachment", how)
	assert.Regexp(s.t, `^bench-`+kind+`-\d{4}-\d\d-\d\d-\d{6}\.zip$`, name["filename"])
	packed, err := zip.NewReader(strings.NewReader(r.body), int64(len(r.body)))
	require.NoError(s.t, err)
	folder := s.t.TempDir()
	require.NoError(s.t, os.CopyFS(folder, packed))
	return folder
}

func TestABackupCopyIsTaken(t *testing.T) {
	t.Setenv("TMPDIR", t.TempDir())
	s, ctx := newLearnedSite(t), context.Background()
	folder := s.takeCopy("backup")
	found, err := filepath.Glob(filepath.Join(folder, "*.db"))
	require.NoError(t, err)
	require.Len(t, found, 1)
	kept, err := store.Open(ctx, found[0])
	require.NoError(t, err)
	defer kept.Close()
	w := &workshop.Workshop{Store: kept}
	checked, err := w.CheckStore(ctx)
	require.NoError(t, err)
	assert.Empty(t, checked.Problems)
	want, err := s.workshop.Store.Contents(ctx)
	require.NoError(t, err)
	got, err := kept.Contents(ctx)
	require.NoError(t, err)
	assert.Equal(t, want, got)
}

func TestAnExportIsTaken(t *testing.T) {
	t.Setenv("TMPDIR", t.TempDir())
	s, ctx := newLearnedSite(t), context.Background()
	folders, err := filepath.Glob(filepath.Join(s.takeCopy("export"), "*"))
	require.NoError(t, err)
	require.Len(t, folders, 1)
	got, err := workshop.ReadExport(folders[0])
	require.NoError(t, err)
	want, err := s.workshop.Store.Contents(ctx)
	require.NoError(t, err)
	assert.Equal(t, want.Swatches, got.Swatches)
	assert.Len(t, got.Photos, len(want.Photos))
	for _, p := range want.Photos {
		found, err := filepath.Glob(filepath.Join(folders[0], "*", p.SHA256+"*"))
		require.NoError(t, err)
		assert.NotEmpty(t, found, p.Name)
	}
}

// What the store has lost keeps nothing else from being copied, and is told.
func TestACopyTellsOfLostPhotographs(t *testing.T) {
	t.Setenv("TMPDIR", t.TempDir())
	s := newLearnedSite(t)
	var photographs []string
	for _, file := range filesUnder(t, filepath.Dir(s.workshop.Store.Path())) {
		if len(filepath.Base(file)) == 64 {
			photographs = append(photographs, file)
		}
	}
	require.Len(t, photographs, 2)
	require.NoError(t, os.Remove(photographs[0]))
	for _, kind := range []string{"backup", "export"} {
		at := s.post("/store/"+kind, nil).Header.Get("Location")
		s.get(at + "/progress")
		page := s.get(at).body
		assert.Contains(t, page, "Without 1 photograph<", kind)
		assert.Contains(t, page, "without a photograph", kind)
		s.takeCopy(kind)
	}
}

// One copy of a kind is kept, none once the page is closed; and one that cannot be made
// is told, and leaves nothing to download.
func TestCopiesLeaveNothingBehind(t *testing.T) {
	place := t.TempDir()
	t.Setenv("TMPDIR", place)
	left := func() []string {
		found, err := filepath.Glob(filepath.Join(place, "*setshade-*"))
		require.NoError(t, err)
		return found
	}
	t.Run("open", func(t *testing.T) {
		s := newSite(t, nil)
		first := s.post("/store/backup", nil).Header.Get("Location")
		s.get(first + "/progress")
		part := s.request("GET", first+"/copy.zip", "", nil)
		part.Header.Set("Range", "bytes=0-1")
		assert.Equal(t, "PK", s.do(part).body, "a download goes on where it was cut off")
		s.takeCopy("backup")
		assert.Len(t, left(), 1)
		assert.Equal(t, 404, s.get(first+"/copy.zip").StatusCode)

		require.NoError(t, os.RemoveAll(place))
		at := s.post("/store/export", nil).Header.Get("Location")
		s.get(at + "/progress")
		r := s.get(at)
		assert.Equal(t, 422, r.StatusCode)
		assert.Contains(t, r.body, "there is no place to make the copy in")
		assert.Equal(t, 404, s.get(at+"/copy.zip").StatusCode)
		require.NoError(t, os.Mkdir(place, 0o700))
		s.takeCopy("export")
	})
	assert.Empty(t, left())
}

// A copy that is not wanted any more ends where it is.
func TestPackingStops(t *testing.T) {
	ctx, stop := context.WithCancel(context.Background())
	stop()
	folder := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(folder, "a"), bytes.Repeat([]byte("x"), 1<<20), 0o600))
	_, err := zipFolder(ctx, folder, filepath.Join(t.TempDir(), "copy.zip"))
	assert.ErrorIs(t, err, context.Canceled)
	_, err = wanted{ctx, io.Discard}.Write([]byte("x"))
	assert.ErrorIs(t, err, context.Canceled)
}
