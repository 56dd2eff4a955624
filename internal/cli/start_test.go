package cli_test

import (
	"os/exec"
	"path/filepath"
	"runtime"
	"testing"

	"github.com/stretchr/testify/require"
)

// BenchmarkStart is a whole process, from start to exit.
func BenchmarkStart(b *testing.B) {
	program := filepath.Join(b.TempDir(), "setshade")
	if runtime.GOOS == "windows" {
		program += ".exe"
	}
	out, err := exec.Command("go", "build", "-o", program, "setshade/cmd/setshade").CombinedOutput()
	require.NoError(b, err, string(out))
	for b.Loop() {
		require.NoError(b, exec.Command(program, "--help").Run())
	}
}
