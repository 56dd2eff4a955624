// Package durable writes files that are promised: each stands under its name with all of
// its bytes on the disk, or not at all, whenever the power goes or the program is killed.
package durable

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"runtime"
	"strconv"
	"sync/atomic"
	"syscall"
)

// parts counts those of this process.
var parts atomic.Int64

// Part names what will be renamed to a path once it is whole: it stands beside it and
// bears the number of this process. What a process that has ended left there is removed.
func Part(path string) string {
	Clear(path)
	folder, name := filepath.Split(path)
	return filepath.Join(folder, fmt.Sprintf(".%s.%d-%d.part", name, os.Getpid(), parts.Add(1)))
}

// Clear removes the parts of a path that processes left which have ended.
func Clear(path string) {
	folder, name := filepath.Split(path)
	left, _ := os.ReadDir(filepath.Clean(folder)) // one that cannot be read is told when it is written
	part := regexp.MustCompile(`^\.` + regexp.QuoteMeta(name) + `\.(\d+)-\d+\.part$`)
	for _, entry := range left {
		if m := part.FindStringSubmatch(entry.Name()); m != nil {
			if pid, err := strconv.Atoi(m[1]); err != nil || !runs(pid) {
				os.RemoveAll(filepath.Join(folder, entry.Name()))
			}
		}
	}
}

// runs reports whether there is a process of a number; one that is not ours counts.
func runs(pid int) bool {
	process, err := os.FindProcess(pid)
	if err != nil || runtime.GOOS == "windows" {
		return err == nil
	}
	err = process.Signal(syscall.Signal(0))
	return err == nil || errors.Is(err, os.ErrPermission)
}

// TemporaryFolder makes a folder for this user's eyes only, in the system's place for
// temporary files, and removes those of its kind that a killed process left.
func TemporaryFolder(kind string) (string, error) {
	folder := Part(filepath.Join(os.TempDir(), "setshade-"+kind))
	return folder, os.Mkdir(folder, 0o700)
}

// ErrNotAFile is something else under a name, such as a folder, a pipe or a device.
var ErrNotAFile = errors.New("it is not a file")

// Read reads a whole file. A pipe would wait for ever and a device never end: what is no
// file is refused before it is opened.
func Read(path string) ([]byte, error) {
	info, err := os.Stat(path)
	if err == nil && !info.Mode().IsRegular() {
		return nil, ErrNotAFile
	}
	return os.ReadFile(path)
}

// WriteNew writes a file that is not there yet, and flushes its bytes; its name is on
// the disk once FlushFolder was called for its folder.
func WriteNew(path string, content []byte) error {
	file, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return err
	}
	_, err = file.Write(content)
	return errors.Join(err, file.Sync(), file.Close())
}

// Rename gives a part its name, and makes the name outlive a power cut. A file of that
// name is replaced; a folder of that name is refused unless it is empty.
func Rename(part, path string) error {
	if err := os.Rename(part, path); err != nil {
		return err
	}
	return FlushFolder(filepath.Dir(path))
}

// FlushFolder makes the names in a folder outlive a power cut. Windows cannot
// flush a folder, and keeps names in its own journal.
func FlushFolder(path string) error {
	if runtime.GOOS == "windows" {
		return nil
	}
	folder, err := os.Open(path)
	if err != nil {
		return err
	}
	return errors.Join(folder.Sync(), folder.Close())
}
