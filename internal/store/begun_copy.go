package store

import (
	"errors"
	"os"
	"path/filepath"
)

// begunCopy is a copy of a store that does not have its name yet. While its part is
// there, nobody else copies to that name.
type begunCopy struct {
	// to is its name, part where its database is written.
	to, part string
	photos   photoFolder
	// folder is where all folders of photographs are, and made says that there was
	// none before.
	folder string
	made   bool
}

// beginCopy makes an empty part. It fails with ErrExists where there is one, and with
// ErrReadOnly where nothing can be written.
func beginCopy(to string) (*begunCopy, error) {
	to, err := filepath.Abs(to)
	if err != nil {
		return nil, because(ErrReadOnly, err, "the place of the copy cannot be found")
	}
	if err := os.MkdirAll(filepath.Dir(to), 0o700); err != nil {
		return nil, because(ErrReadOnly, err, "the folder %s for the copy cannot be made; choose another place", filepath.Dir(to))
	}
	c := begunCopy{to: to, part: to + ".part"}
	c.photos = photoFolderOf(c.part)
	c.folder = filepath.Dir(string(c.photos))
	c.made = !isThere(c.folder)
	file, err := os.OpenFile(c.part, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if errors.Is(err, os.ErrExist) {
		return nil, refuse(ErrExists, "a copy to %s is under way or was stopped; remove %s first, or give the copy another name", to, c.part)
	}
	if err != nil {
		return nil, c.unwritten(err)
	}
	return &c, file.Close()
}

// refuseTaken refuses a name that something has, and clears away the photographs of a
// copy that was stopped.
func (c *begunCopy) refuseTaken() error {
	for _, path := range []string{c.to, string(photoFolderOf(c.to))} {
		if isThere(path) {
			return refuse(ErrExists, "there is already something called %s; give the copy another name", path)
		}
	}
	return c.unwritten(os.RemoveAll(string(c.photos)))
}

// name gives the copy its name, the photographs first: what has the name has all of it.
func (c *begunCopy) name() error {
	photos := photoFolderOf(c.to)
	err := os.Rename(string(c.photos), string(photos))
	if err == nil {
		c.photos = photos
		err = flushFolder(c.folder)
	}
	if err != nil && !errors.Is(err, os.ErrNotExist) { // as without any photograph
		return c.unwritten(err)
	}
	if err := os.Rename(c.part, c.to); err != nil {
		return c.unwritten(err)
	}
	c.part = c.to
	return c.unwritten(flushFolder(filepath.Dir(c.to)))
}

// discard leaves nothing of the copy.
func (c *begunCopy) discard() {
	os.RemoveAll(string(c.photos))
	if c.made {
		os.Remove(c.folder)
	}
	os.Remove(c.part) // last: it keeps others from the name
}

func (c *begunCopy) unwritten(err error) error {
	if err == nil {
		return nil
	}
	return because(ErrReadOnly, err, "the copy %s cannot be written; choose another place", c.to)
}
