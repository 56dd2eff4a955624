package cli

import (
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A pipe is waited for by nobody, a device ends nothing, and a link leads nowhere out of
// the folder of an export: each is refused in a sentence.
func TestWhatIsNoFileIsRefused(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("Windows has no such pipes")
	}
	b, folder := newBench(t), t.TempDir()
	require.Equal(t, 0, b.run("wax", "add", "Harrow Soy", "--density", "0.9"))
	export := filepath.Join(folder, "export")
	require.Equal(t, 0, b.run("store", "export", export))
	moulds := filepath.Join(export, "moulds.csv")
	away := filepath.Join(folder, "away.csv")
	require.NoError(t, os.Rename(moulds, away))
	refused := func(says string, args ...string) {
		t.Helper()
		done := make(chan int, 1)
		go func() { done <- b.run(args...) }()
		select {
		case code := <-done:
			assert.Equal(t, 1, code, args)
			assert.Contains(t, b.err.String(), says, args)
		case <-time.After(20 * time.Second):
			t.Fatal("it hangs:", args)
		}
	}
	again := []string{"store", "import", export, "--store", filepath.Join(folder, "again.db")}
	require.NoError(t, os.Symlink(away, moulds))
	refused("the file moulds.csv of the export cannot be read", again...)
	require.NoError(t, os.Remove(moulds))
	require.NoError(t, exec.Command("mkfifo", moulds).Run())
	refused("moulds.csv of the export is not a file", again...)
	refused("is not a file; name the file of the photograph", "record", moulds)
}

// A store that was cut to nothing is not taken for a new one.
func TestAnEmptyFileIsNoStore(t *testing.T) {
	b := newBench(t)
	path := filepath.Join(t.TempDir(), "cut.db")
	require.NoError(t, os.WriteFile(path, nil, 0o600))
	for _, args := range [][]string{{"store", "check"}, {"swatch", "list"}, {"store", "backup", path + ".copy"}} {
		require.Equal(t, 1, b.run(append(args, "--store", path)...), args)
		assert.Contains(t, b.err.String(), "is an empty file, with nothing in it; put back a copy of it", args)
	}
}
