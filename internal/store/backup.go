package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"os"
)

// Backup copies the store, as it is at one moment, to a new file with its
// photographs beside it: a store like this one. Others may go on writing
// meanwhile. It has its name only when it is complete and on the disk.
//
// What a check of the copy finds is returned, by the same rules as Check: what is wrong
// in the store is wrong in the copy, and does not keep the rest from being copied. Of
// photographs that this store has lost the copy has the rows and not the files. It
// fails with ErrExists when there is something of that name, with ErrReadOnly when it
// cannot be written there, and with ErrDamaged when the file of this store or the row of
// a photograph cannot be read.
func (s *Store) Backup(ctx context.Context, model func([]byte) error, to string) (found Checkup, err error) {
	c, err := beginCopy(to)
	if err != nil {
		return found, err
	}
	defer func() {
		if err != nil {
			c.discard()
		}
	}()
	if err := s.vacuumInto(ctx, c.part); err != nil {
		return found, err
	}
	if found, err = s.finishCopy(ctx, model, c.part); err != nil {
		return found, err
	}
	return found, c.name()
}

// vacuumInto writes the database as it is at one moment to an empty file, and
// flushes it (sqlite.org/lang_vacuum.html).
func (s *Store) vacuumInto(ctx context.Context, part string) error {
	if _, err := s.db.ExecContext(ctx, "VACUUM INTO ?", part); err != nil {
		return explainCopy(s.path, part, err)
	}
	file, err := os.OpenFile(part, os.O_RDWR, 0)
	if err != nil {
		return err
	}
	return errors.Join(file.Sync(), file.Close())
}

// explainCopy is explain where either file may be at fault.
func explainCopy(path, part string, err error) error {
	switch said := explain(path, err); {
	case errors.Is(said, ErrDamaged):
		return said
	case errors.Is(said, ErrReadOnly):
		return because(ErrReadOnly, err, "the copy %s cannot be written; choose another place", part)
	}
	return explain(part, err)
}

// finishCopy copies the photographs that the copied database names, and checks the copy.
func (s *Store) finishCopy(ctx context.Context, model func([]byte) error, part string) (found Checkup, err error) {
	db, err := sql.Open("sqlite", address(part, usualBusyTimeout, readWrite))
	if err != nil {
		return found, explain(part, err)
	}
	defer func() { err = errors.Join(err, db.Close()) }()
	copied := assemble(part, db)
	// A copy has nothing to undo, nor the photographs that would come back.
	if _, err := db.ExecContext(ctx, "DELETE FROM undo"); err != nil {
		return found, explain(part, err)
	}
	photos, err := keptPhotos(ctx, db, "")
	if err != nil && ctx.Err() == nil {
		return found, because(ErrDamaged, err, "the store %s has a row that cannot be read, and was not copied", s.path)
	}
	if err != nil {
		return found, err
	}
	var lost []Lost
	for _, k := range photos {
		p, err := s.Photo(ctx, k.SHA256)
		switch {
		case errors.Is(err, ErrLost):
			lost = append(lost, Lost{KeptPhoto: k, Why: err})
			continue
		case errors.Is(err, ErrNotFound):
			return found, fmt.Errorf("the photograph %s was removed while the store was copied; copy it again: %w", k.Name, err)
		case err != nil:
			return found, err
		}
		if err := copied.photos.put(k.SHA256, p.Bytes); err != nil {
			return found, because(ErrReadOnly, err, "the photograph %s cannot be copied; see that there is room, or choose another place", k.Name)
		}
	}
	found, err = copied.Check(ctx, model, lost...)
	if err == nil && len(found.Lost) > len(lost) {
		return found, refuse(ErrDamaged, "what was copied to %s cannot be read back; choose another place", copied.photos)
	}
	return found, err
}
