package store

import (
	"context"
	"errors"
	"fmt"
)

// PutBack is a photograph that was lost and whose file is in the store again.
type PutBack struct {
	Lost
	// Aside is where that is now which stood in place of the photograph; "" for nothing.
	Aside string
}

// PutBack files the bytes of a photograph that the store has lost, and changes nothing
// else: its row and its swatches are there, and what it is known by is its hash. A
// changed file is not written over but set aside, since it may be all that is left of
// something else. PutBack returns nil for bytes of which nothing is lost: they are not
// recorded, or their file is whole.
func (s *Store) PutBack(ctx context.Context, content []byte) (back *PutBack, err error) {
	hash := hashOf(content)
	if _, err := s.Photo(ctx, hash); !errors.Is(err, ErrLost) {
		return nil, unlessNotFound(err) // as most are: no lock is needed to tell
	}
	err = s.write(ctx, func(tx querier) error {
		// Again, since others may have put it back, or removed it, meanwhile.
		_, why := s.photo(ctx, tx, hash)
		if !errors.Is(why, ErrLost) {
			return unlessNotFound(why)
		}
		contents, err := s.contents(ctx, tx)
		if err != nil {
			return err
		}
		back = &PutBack{Lost: contents.Lost(map[string]error{hash: why})[0]}
		// A photograph that Restore was without has no number of bytes yet.
		const count = "UPDATE photos SET byte_count = ? WHERE sha256 = ? AND byte_count <> ?"
		if _, err := tx.ExecContext(ctx, count, len(content), hash, len(content)); err != nil {
			return err
		}
		if back.Aside, err = s.photos.putBack(hash, content); err != nil {
			return fmt.Errorf("the photograph %s could not be put back into the store; see that its disk has room and can be written (%w)", back.Name, err)
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	return back, nil
}

// LostNamed returns the photographs of a name that the store has lost, in the order in
// which they were recorded.
func (s *Store) LostNamed(ctx context.Context, name string) ([]Lost, error) {
	hashes, err := readColumn[string](ctx, s.db, "SELECT sha256 FROM photos WHERE name = ?", name)
	if err != nil {
		return nil, explain(s.path, err)
	}
	why := map[string]error{}
	for _, hash := range hashes {
		if _, err := s.Photo(ctx, hash); errors.Is(err, ErrLost) {
			why[hash] = err
		}
	}
	if len(why) == 0 {
		return nil, nil
	}
	contents, err := s.Contents(ctx)
	return contents.Lost(why), err
}

func unlessNotFound(err error) error {
	if errors.Is(err, ErrNotFound) {
		return nil
	}
	return err
}
