package store

import (
	"errors"
	"os"
	"path/filepath"

	"setshade/internal/durable"
)

// begunCopy is a copy of a store that does not have its name yet.
type begunCopy struct {
	// to is its name, part where its database is written.
	to, part string
	photos   photoFolder
	// folder is where all folders of photographs are, and made says that there was
	// none before.
	folder string
	made   bool
}

// beginCopy makes an empty part, and clears away what a copy that was killed left. It
// fails with ErrExists where something has the name, and with ErrReadOnly where nothing
// can be written.
func beginCopy(to string) (*begunCopy, error) {
	to, err := filepath.Abs(to)
	if err != nil {
		return nil, because(ErrReadOnly, err, "the place of the copy cannot be found")
	}
	if err := os.MkdirAll(filepath.Dir(to), 0o700); err != nil {
		return nil, because(ErrReadOnly, err, "the folder %s for the copy cannot be made; choose another place", filepath.Dir(to))
	}
	for _, path := range []string{to, string(photoFolderOf(to))} {
		if isThere(path) {
			return nil, refuseTaken(path)
		}
		durable.Clear(path)
	}
	c := begunCopy{to: to, part: durable.Part(to)}
	c.photos = photoFolderOf(c.part)
	c.folder = filepath.Dir(string(c.photos))
	c.made = !isThere(c.folder)
	file, err := os.OpenFile(c.part, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return nil, c.unwritten(err)
	}
	return &c, file.Close()
}

func refuseTaken(path string) error {
	return refuse(ErrExists, "there is already something called %s; give the copy another name", path)
}

// name gives the copy its name, the photographs first: what has the name has all of it.
// Of two that copy to one name at once the later one finds it taken.
func (c *begunCopy) name() error {
	photos := photoFolderOf(c.to)
	err := os.Rename(string(c.photos), string(photos))
	if err == nil {
		c.photos = photos
		err = durable.FlushFolder(c.folder)
	}
	if errors.Is(err, os.ErrExist) || isThere(c.to) {
		return refuseTaken(c.to)
	}
	if err != nil && !errors.Is(err, os.ErrNotExist) { // as without any photograph
		return c.unwritten(err)
	}
	return c.unwritten(durable.Rename(c.part, c.to))
}

// discard leaves nothing of the copy.
func (c *begunCopy) discard() {
	os.RemoveAll(string(c.photos))
	if c.made {
		os.Remove(c.folder)
	}
	os.Remove(c.part)
}

func (c *begunCopy) unwritten(err error) error {
	if err == nil {
		return nil
	}
	return because(ErrReadOnly, err, "the copy %s cannot be written; choose another place", c.to)
}
