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
// meanwhile. The copy is read back, every row of it, and checked; it has its name
// only when it is complete and on the disk.
//
// Photographs that this store has lost are returned: the copy has their rows, not
// their files, so that one lost photograph does not keep all others from being
// copied, and a check of the copy names them again. It fails with ErrExists when there
// is something of that name, or another Backup to it is under way; with ErrReadOnly
// when it cannot be written there, and with ErrDamaged when the file of this store or a
// row in it cannot be read.
func (s *Store) Backup(ctx context.Context, to string) (lost []Lost, err error) {
	c, err := beginCopy(to)
	if err != nil {
		return nil, err
	}
	defer func() {
		if err != nil {
			c.discard()
		}
	}()
	if err := c.refuseTaken(); err != nil {
		return nil, err
	}
	if err := s.vacuumInto(ctx, c.part); err != nil {
		return nil, err
	}
	if lost, err = s.copyPhotos(ctx, c.part); err != nil {
		return nil, err
	}
	return lost, c.name()
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

// copyPhotos copies the photographs that the copied database names, reads the
// database through and every photograph back. It returns those that the store has
// lost.
func (s *Store) copyPhotos(ctx context.Context, part string) ([]Lost, error) {
	db, err := sql.Open("sqlite", address(part, usualBusyTimeout, frozen))
	if err != nil {
		return nil, explain(part, err)
	}
	defer db.Close()
	copied := assemble(part, db)
	var found Checkup
	if err := copied.checkFile(ctx, &found); err != nil {
		return nil, err
	}
	if len(found.Problems) > 0 {
		return nil, refuse(ErrDamaged, "the copy of the store is damaged, and so may be the store: %s", found.Problems[0])
	}
	contents, err := copied.Contents(ctx)
	if err != nil && ctx.Err() == nil {
		return nil, because(ErrDamaged, err, "the store %s has a row that cannot be read, and was not copied", s.path)
	}
	if err != nil {
		return nil, err
	}
	why := map[string]error{}
	for _, k := range contents.Photos {
		p, err := s.Photo(ctx, k.SHA256)
		switch {
		case errors.Is(err, ErrLost):
			why[k.SHA256] = err
			continue
		case errors.Is(err, ErrNotFound):
			return nil, fmt.Errorf("the photograph %s was removed while the store was copied; copy it again: %w", k.Name, err)
		case err != nil:
			return nil, err
		}
		if err := copied.photos.put(k.SHA256, p.Bytes); err != nil {
			return nil, because(ErrReadOnly, err, "the photograph %s cannot be copied; see that there is room, or choose another place", k.Name)
		}
		if _, err := copied.Photo(ctx, k.SHA256); err != nil {
			return nil, because(ErrDamaged, err, "what was copied to %s cannot be read back; choose another place", copied.photos)
		}
	}
	return contents.Lost(why), nil
}
