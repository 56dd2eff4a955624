package durable

import (
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What a process left that is gone is cleared, by its kind of name alone.
func TestPartClearsWhatTheDeadLeft(t *testing.T) {
	folder := t.TempDir()
	child := exec.Command(os.Args[0], "-test.run=^$")
	require.NoError(t, child.Run())
	dead := child.Process.Pid
	path := filepath.Join(folder, "sheet.pdf")
	leave := func(name string) string {
		left := filepath.Join(folder, name)
		require.NoError(t, os.MkdirAll(filepath.Join(left, "within"), 0o700))
		return left
	}
	part := func(name string, pid int) string { return leave("." + name + "." + strconv.Itoa(pid) + "-3.part") }
	gone, alive := part("sheet.pdf", dead), part("sheet.pdf", os.Getpid())
	others := []string{part("other.pdf", dead), leave("sheet.pdf.part"), leave("sheetXpdf")}
	mine := Part(path)
	assert.NoFileExists(t, mine)
	assert.NotEqual(t, mine, Part(path), "two in one process")
	assert.NoDirExists(t, gone)
	for _, left := range append(others, alive) {
		assert.DirExists(t, left)
	}
}

// A part gets its name, in place of an older file, and never in place of a folder that
// holds something.
func TestRename(t *testing.T) {
	folder := t.TempDir()
	path, part := filepath.Join(folder, "a"), filepath.Join(folder, "part")
	for _, content := range []string{"first", "second"} {
		require.NoError(t, WriteNew(part, []byte(content)))
		require.ErrorIs(t, WriteNew(part, nil), os.ErrExist)
		require.NoError(t, Rename(part, path))
		there, err := os.ReadFile(path)
		require.NoError(t, err)
		assert.Equal(t, content, string(there))
	}
	if runtime.GOOS == "windows" {
		return
	}
	full := filepath.Join(folder, "full")
	require.NoError(t, os.MkdirAll(filepath.Join(full, "within"), 0o700))
	require.NoError(t, os.Mkdir(part, 0o700))
	require.ErrorIs(t, Rename(part, full), os.ErrExist)
}
