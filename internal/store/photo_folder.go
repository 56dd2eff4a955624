package store

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"

	"setshade/internal/durable"
)

// photoFolder holds photographs, each in a file named by its hash. Only the
// holder of the store's write lock may change it.
type photoFolder string

// incoming is the file a photograph is written to before it has its name. One
// name is enough, since there is one writer; what a killed program left there
// is removed by the next.
const incoming = "incoming"

func photoFolderOf(storePath string) photoFolder {
	return photoFolder(filepath.Join(filepath.Dir(storePath), "photos", filepath.Base(storePath)))
}

func (f photoFolder) file(hash string) string { return filepath.Join(string(f), hash) }

func (f photoFolder) read(hash string) ([]byte, error) { return durable.Read(f.file(hash)) }

// refuseOrphans refuses a store that is an empty file though it has photographs:
// what was in it is lost, not yet to come.
func (f photoFolder) refuseOrphans(path string) error {
	files, err := os.ReadDir(string(f))
	if err != nil || !slices.ContainsFunc(files, func(e os.DirEntry) bool { return isHash(e.Name()) }) {
		return nil
	}
	return refuse(ErrDamaged, "the store %s is an empty file, but its photographs are in %s; put back a copy of it, or begin another store", path, f)
}

// put writes a photograph so that its name appears with all of its bytes on the
// disk, or not at all.
func (f photoFolder) put(hash string, content []byte) error {
	return f.putOnce(hash, content, func() error { return nil })
}

// putBack is put where something else may have the name of the photograph. That is
// kept under another name, which is returned; "" for nothing.
func (f photoFolder) putBack(hash string, content []byte) (aside string, err error) {
	err = f.putOnce(hash, content, func() (err error) {
		aside, err = f.setAside(hash)
		return err
	})
	return aside, err
}

// putOnce is put that calls ready once all bytes are on the disk, before they get
// their name.
func (f photoFolder) putOnce(hash string, content []byte, ready func() error) error {
	if err := f.make(); err != nil {
		return err
	}
	err := f.remove(incoming)
	if err == nil {
		err = durable.WriteNew(f.file(incoming), content)
	}
	if err == nil {
		err = ready()
	}
	if err == nil {
		err = durable.Rename(f.file(incoming), f.file(hash))
	}
	if err != nil {
		// On a full disk the piece that was written takes the last room.
		return errors.Join(err, f.remove(incoming))
	}
	return nil
}

// setAside renames what has the name of a photograph, and returns its new path; ""
// where there is nothing.
func (f photoFolder) setAside(hash string) (string, error) {
	aside := f.file(hash + ".changed")
	for n := 2; isThere(aside); n++ {
		aside = f.file(fmt.Sprintf("%s.changed-%d", hash, n))
	}
	err := os.Rename(f.file(hash), aside)
	if errors.Is(err, os.ErrNotExist) {
		return "", nil
	}
	return aside, err
}

func isThere(path string) bool {
	_, err := os.Lstat(path)
	return err == nil
}

// remove deletes a photograph; one that is not there is no error.
func (f photoFolder) remove(hash string) error {
	if err := os.Remove(f.file(hash)); err != nil && !errors.Is(err, os.ErrNotExist) {
		return err
	}
	return nil
}

// make makes the folder and the one it is in, and flushes their names.
func (f photoFolder) make() error {
	for _, folder := range []string{filepath.Dir(string(f)), string(f)} {
		err := os.Mkdir(folder, 0o700)
		if errors.Is(err, os.ErrExist) {
			continue
		}
		if err != nil {
			return err
		}
		if err := durable.FlushFolder(filepath.Dir(folder)); err != nil {
			return err
		}
	}
	return nil
}
