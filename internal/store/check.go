package store

import (
	"context"
	"errors"
	"fmt"
	"os"
	"slices"
)

// Checkup is what a check of a store found.
type Checkup struct {
	// Version of the store's tables.
	Version int
	// Of each noun, how many were looked at; Learned are waxes.
	Waxes, Dyes, Moulds                                int
	Photos, Swatches, Batches, Stocks, Strips, Learned int
	// Problems are what is not as it must be, a sentence each; none is well.
	Problems []string
	// Lost are the photographs among the problems.
	Lost []Lost
	// Strays are files in the folder of photographs that no row names, such as
	// one that a killed program left, or what stood in place of a photograph that was
	// put back. They do no harm.
	Strays []string
}

// Damage is what of the problems is more than a lost photograph.
func (c Checkup) Damage() []string {
	return slices.DeleteFunc(slices.Clone(c.Problems), func(problem string) bool {
		return slices.ContainsFunc(c.Lost, func(l Lost) bool { return l.String() == problem })
	})
}

// Check reads the whole store: SQLite's own check of the file, the references
// between rows, every row, and the bytes of every photograph. What was learned
// is given to model, which says whether it can be read. Photographs known to be lost
// are not looked for.
func (s *Store) Check(ctx context.Context, model func([]byte) error, known ...Lost) (Checkup, error) {
	var c Checkup
	why := map[string]error{}
	for _, l := range known {
		why[l.SHA256] = l.Why
	}
	var contents Contents
	err := s.read(ctx, func(q querier) (err error) {
		id, err := identify(ctx, q)
		if err != nil {
			return err
		}
		if c.Version = id.version; id.applicationID != applicationID || id.version != HighestVersion {
			c.Problems = append(c.Problems, fmt.Sprintf("the file bears the mark %#x and version %d", id.applicationID, id.version))
		}
		changed, err := altered(ctx, q)
		if err != nil {
			changed = []string{"the digests cannot be compared: " + err.Error()}
		}
		var unsound []string
		contents, unsound, err = s.unsound(ctx, q)
		c.Problems = slices.Concat(c.Problems, unsound, changed)
		return err
	})
	if err != nil {
		return c, err
	}
	c.Waxes, c.Dyes, c.Moulds = len(contents.Waxes), len(contents.Dyes), len(contents.Moulds)
	c.Photos, c.Swatches, c.Batches = len(contents.Photos), len(contents.Swatches), len(contents.Batches)
	c.Stocks, c.Strips, c.Learned = len(contents.Stocks), len(contents.Strips), len(contents.Learned)
	for _, l := range contents.Learned {
		if err := model(l.Model); err != nil {
			c.Problems = append(c.Problems, fmt.Sprintf("%s: %s", l.Wax, err))
		}
	}
	for _, p := range contents.Photos {
		if why[p.SHA256] != nil {
			continue
		}
		if _, err := s.Photo(ctx, p.SHA256); err != nil && !errors.Is(err, ErrNotFound) { // removed meanwhile
			why[p.SHA256] = err
		}
		if err := ctx.Err(); err != nil {
			return c, err
		}
	}
	c.Lost = contents.Lost(why)
	for _, lost := range c.Lost {
		c.Problems = append(c.Problems, lost.String())
	}
	c.Strays, err = s.strays(ctx)
	if errors.Is(err, ErrLost) {
		c.Problems = append(c.Problems, err.Error())
		err = nil
	}
	return c, err
}

// unsound is what is wrong by itself, without digests: in the file and the references
// between rows, as SQLite checks them (sqlite.org/pragma.html, integrity_check and
// foreign_key_check), and in rows that could not have been kept.
func (s *Store) unsound(ctx context.Context, q querier) (c Contents, problems []string, err error) {
	const check = `SELECT 'the file: ' || integrity_check FROM pragma_integrity_check WHERE integrity_check <> 'ok'
		UNION ALL SELECT 'card ' || id || ' has no photograph' FROM cards WHERE id NOT IN (SELECT card_id FROM photos)
		UNION ALL SELECT 'a row of ' || "table" || ' refers to a row of ' || parent || ' that is not there' FROM pragma_foreign_key_check`
	if problems, err = readColumn[string](ctx, q, check); err != nil {
		return c, nil, err
	}
	several, err := twice(ctx, q, "")
	if err != nil {
		return c, nil, err
	}
	if len(several) > 0 {
		problems = append(problems, "drops of a card have more than one swatch in one state: the first are "+numbered(several))
	}
	if c, err = s.contents(ctx, q); err != nil {
		return c, append(problems, "a row cannot be read: "+err.Error()), ctx.Err()
	}
	problems = slices.Concat(problems, cannotBe("wax", c.Waxes), cannotBe("dye", c.Dyes), cannotBe("mould", c.Moulds))
	for _, sw := range c.Swatches {
		if problem := problemOf(sw); problem != "" {
			problems = append(problems, fmt.Sprintf("swatch %d %s", sw.ID, problem))
		}
	}
	return c, problems, nil
}

func cannotBe[T entry](noun string, entries []T) (problems []string) {
	for _, e := range entries {
		if err := e.Validate(); err != nil {
			problems = append(problems, fmt.Sprintf("a %s cannot be as it is kept: %s", noun, err))
		}
	}
	return problems
}

// strays holds the write lock, so that a photograph that is being recorded is
// not taken for one.
func (s *Store) strays(ctx context.Context) ([]string, error) {
	var strays []string
	err := s.transact(ctx, func(tx querier) error {
		hashes, err := readColumn[string](ctx, tx, "SELECT sha256 FROM photos UNION SELECT photo FROM undo WHERE photo IS NOT NULL ORDER BY 1")
		if err != nil {
			return err
		}
		files, err := os.ReadDir(string(s.photos))
		if errors.Is(err, os.ErrNotExist) && len(hashes) == 0 {
			return nil
		}
		if errors.Is(err, os.ErrNotExist) {
			return refuse(ErrLost, "the folder of photographs %s is not there; it has the name of the store's file, so move and rename it together with that", s.photos)
		}
		if err != nil {
			return because(ErrLost, err, "the folder of photographs %s cannot be read; allow reading it", s.photos)
		}
		for _, f := range files {
			if _, named := slices.BinarySearch(hashes, f.Name()); !named {
				strays = append(strays, s.photos.file(f.Name()))
			}
		}
		return nil
	})
	return strays, err
}
