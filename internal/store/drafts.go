package store

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"

	"setshade/internal/durable"
)

// Drafts are photographs that were looked at and are not recorded yet, each with a text
// that says what was told of it so far. They lie in files beside the photographs, and are
// in no copy of the store. Each has an id of letters and digits that the caller gives.
type Drafts string

// mostDrafts bounds the room that drafts take: the oldest makes room.
const mostDrafts = 50

// Drafts is where those of the store are.
func (s *Store) Drafts() Drafts {
	return Drafts(filepath.Join(filepath.Dir(s.path), "drafts", filepath.Base(s.path)))
}

var draftID = regexp.MustCompile(`^[A-Z0-9]{16,64}$`)

func (d Drafts) file(id, kind string) string { return filepath.Join(string(d), id+kind) }

// Put keeps a draft's text in place of that of before, and its photograph, nil for the
// one that is there.
func (d Drafts) Put(id string, text, photo []byte) error {
	if err := os.MkdirAll(string(d), 0o700); err != nil {
		return err
	}
	if photo != nil {
		if ids, err := d.List(); err == nil && len(ids) >= mostDrafts {
			d.Remove(ids[len(ids)-1])
		}
		if err := os.WriteFile(d.file(id, ".photo"), photo, 0o600); err != nil {
			return err
		}
	}
	// A draft is there once it has a text.
	part := d.file(id, ".new")
	if err := os.WriteFile(part, text, 0o600); err != nil {
		return err
	}
	return durable.Rename(part, d.file(id, ".text"))
}

// Get returns a draft; it fails with ErrNotFound when it was recorded or is not kept any
// more.
func (d Drafts) Get(id string) (text, photo []byte, err error) {
	if draftID.MatchString(id) {
		if text, err = os.ReadFile(d.file(id, ".text")); err == nil {
			photo, err = os.ReadFile(d.file(id, ".photo"))
		}
	}
	if !draftID.MatchString(id) || errors.Is(err, fs.ErrNotExist) {
		return nil, nil, refuse(ErrNotFound, "that photograph is not kept any more; choose it again under Record")
	}
	return text, photo, err
}

// List returns the ids of the drafts, the one told of last first.
func (d Drafts) List() ([]string, error) {
	files, err := filepath.Glob(d.file("*", ".text"))
	at := map[string]int64{}
	var ids []string
	for _, file := range files {
		if info, err := os.Stat(file); err == nil {
			id := filepath.Base(file[:len(file)-len(".text")])
			ids, at[id] = append(ids, id), info.ModTime().UnixNano()
		}
	}
	slices.SortFunc(ids, func(a, b string) int { return int(at[b] - at[a]) })
	return ids, err
}

// Remove lets a draft go; one that is gone is no error.
func (d Drafts) Remove(id string) error {
	return errors.Join(ignoreAbsent(os.Remove(d.file(id, ".text"))), ignoreAbsent(os.Remove(d.file(id, ".photo"))))
}

func ignoreAbsent(err error) error {
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	return err
}
