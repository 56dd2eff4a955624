package cli_test

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// However the demo is ended, nothing of it is left in the folder for temporary files: at
// once where it is told to end, as a terminal that is closed does, and by the next one
// where it was killed.
func TestAStoppedDemoLeavesNothing(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("Windows has no such signals")
	}
	folder := t.TempDir()
	program := filepath.Join(folder, "setshade")
	build := exec.Command("go", "build", "-o", program, "setshade/cmd/setshade")
	out, err := build.CombinedOutput()
	require.NoError(t, err, "%s", out)
	temporary := filepath.Join(folder, "temporary")
	require.NoError(t, os.Mkdir(temporary, 0o700))
	for _, signal := range []syscall.Signal{syscall.SIGKILL, syscall.SIGTERM, syscall.SIGHUP, os.Interrupt.(syscall.Signal)} {
		demo := exec.Command(program, "demo", "--picture", filepath.Join(folder, "picture.png"))
		demo.Env = append(os.Environ(), "TMPDIR="+temporary)
		require.NoError(t, demo.Start())
		require.Eventually(t, func() bool {
			stores, err := filepath.Glob(filepath.Join(temporary, fmt.Sprintf("*.%d-*", demo.Process.Pid), "demo.db"))
			return err == nil && len(stores) == 1
		}, 20*time.Second, 10*time.Millisecond, "the demo did not begin")
		require.NoError(t, demo.Process.Signal(signal))
		demo.Wait()
		left, err := os.ReadDir(temporary)
		require.NoError(t, err)
		if signal != syscall.SIGKILL {
			assert.Empty(t, left, signal)
		}
		parts, err := filepath.Glob(filepath.Join(folder, ".picture.png.*"))
		require.NoError(t, err)
		assert.LessOrEqual(t, len(parts), 1)
	}
	assert.NoFileExists(t, filepath.Join(folder, "picture.png"))
}
