package workshop

import (
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"setshade/internal/calibrate"
	"setshade/internal/durable"
	"setshade/internal/export"
	"setshade/internal/store"
)

// Checkup is what a check of the store found.
type Checkup = store.Checkup

// Lost is a photograph of which all is there but the bytes.
type Lost = store.Lost

// PutBack is a photograph that was lost and is in the store again.
type PutBack = store.PutBack

// PutBack files a photograph again that the store has lost, and reads nothing from it;
// nil where it has not lost one with these bytes.
func (w *Workshop) PutBack(ctx context.Context, photo []byte) (*PutBack, error) {
	return w.Store.PutBack(ctx, photo)
}

// lostNamesakes say which lost photographs of its name a photograph does not put back.
func (w *Workshop) lostNamesakes(ctx context.Context, name string, photo []byte) ([]string, error) {
	lost, err := w.Store.LostNamed(ctx, name)
	var notes []string
	for _, l := range lost {
		if l.SHA256 != fmt.Sprintf("%x", sha256.Sum256(photo)) {
			notes = append(notes, fmt.Sprintf("the store has lost a photograph of this name, that of %s; this file has other bytes and does not put it back: it is read as another card", l.Of()))
		}
	}
	return notes, err
}

// CheckStore reads the whole store and says what is not as it must be.
func (w *Workshop) CheckStore(ctx context.Context) (Checkup, error) {
	return w.Store.Check(ctx, readable)
}

// readable reports that what was learned cannot be read.
func readable(saved []byte) error {
	_, err := calibrate.ReadModel(saved)
	return err
}

// BackUp copies the store to a new file; to a folder that is there, under the
// store's name and the day and time. It returns the path of the copy, and what a check
// of it found.
func (w *Workshop) BackUp(ctx context.Context, to string) (path string, found Checkup, err error) {
	info, err := os.Stat(to)
	switch {
	case err == nil && info.IsDir():
		name := filepath.Base(w.Store.Path())
		ending := filepath.Ext(name)
		to = filepath.Join(to, strings.TrimSuffix(name, ending)+w.Now().Format("-2006-01-02-150405")+ending)
	case to != "" && os.IsPathSeparator(to[len(to)-1]):
		return to, found, fmt.Errorf("there is no folder %s for the copy; make it first, or give the name of a file", to)
	}
	found, err = w.Store.Backup(ctx, readable, to)
	return to, found, err
}

// Export writes everything in the store to a new folder, in open formats. The
// folder has its name only when all of it is there, but for photographs that the
// store has lost. Those are returned, with what is there and is not as it was kept.
func (w *Workshop) Export(ctx context.Context, folder string) (c store.Contents, found Checkup, err error) {
	if _, err := os.Lstat(folder); err == nil {
		return c, found, fmt.Errorf("there is already something called %s; name a folder that is not there yet", folder)
	}
	part := durable.Part(filepath.Clean(folder))
	if err := os.Mkdir(part, 0o700); err != nil {
		return c, found, fmt.Errorf("the folder %s cannot be made; choose another place (%w)", folder, err)
	}
	defer func() {
		if err != nil {
			os.RemoveAll(part)
		}
	}()
	if found.Problems, err = w.Store.Altered(ctx); err != nil {
		return c, found, err
	}
	if c, err = w.Store.Contents(ctx); err != nil {
		return c, found, err
	}
	photo := func(hash string) ([]byte, error) {
		p, err := w.Store.Photo(ctx, hash)
		return p.Bytes, err
	}
	found.Lost, err = export.Write(c, photo, func(name string, content []byte) error {
		if err := writeIn(part, name, content); err != nil {
			return fmt.Errorf("%s cannot be written, see that there is room (%w)", name, err)
		}
		return nil
	})
	if err == nil {
		err = durable.Rename(part, folder)
	}
	if errors.Is(err, store.ErrNotFound) {
		err = fmt.Errorf("a photograph was removed meanwhile; export again (%w)", err)
	}
	if err != nil {
		return c, found, fmt.Errorf("the export to %s was not written: %w", folder, err)
	}
	return c, found, nil
}

// writeIn writes a file of an export so that it and its name are on the disk before a
// stick is pulled out.
func writeIn(part, name string, content []byte) error {
	path := filepath.Join(part, filepath.FromSlash(name))
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return err
	}
	return errors.Join(durable.WriteNew(path, content), durable.FlushFolder(filepath.Dir(path)), durable.FlushFolder(part))
}

// ReadExport reads the tables of an export, before there need be a store to put
// them in. A link that leads out of the folder is not followed.
func ReadExport(folder string) (store.Contents, error) {
	root, err := os.OpenRoot(folder)
	if err != nil {
		return store.Contents{}, fmt.Errorf("%s is not a folder with an export; check its name and place", folder)
	}
	defer root.Close()
	return export.Read(root.FS())
}

// Import fills an empty store with what was read from the export in a folder, without the
// photographs that are not in it as they were recorded. It returns what a check found.
func (w *Workshop) Import(ctx context.Context, folder string, c store.Contents) (found Checkup, err error) {
	root, err := os.OpenRoot(folder)
	if err != nil {
		return found, fmt.Errorf("the folder %s cannot be read any more (%w)", folder, err)
	}
	defer root.Close()
	lost, err := w.Store.Restore(ctx, c, func(hash string) ([]byte, error) { return export.Photo(root.FS(), hash) })
	if err == nil {
		found, err = w.Store.Check(ctx, readable, lost...)
	}
	return found, err
}
