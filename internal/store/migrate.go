package store

import (
	"context"
	"database/sql/driver"
	"embed"
	"errors"
	"fmt"
	"io/fs"

	"modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"

	"setshade/internal/plaintext"
)

// Functions of our own in the SQL of migrations.
func init() {
	for name, do := range map[string]func(string) string{"plain": plaintext.Clean, "folded": plaintext.Fold} {
		sqlite.MustRegisterDeterministicScalarFunction(name, 1, func(_ *sqlite.FunctionContext, args []driver.Value) (driver.Value, error) {
			text, ok := args[0].(string)
			if !ok {
				return nil, fmt.Errorf("%s is asked of %T", name, args[0])
			}
			return do(text), nil
		})
	}
}

//go:embed migrations/*.sql
var embedded embed.FS

// migrations returns the SQL that goes one version up each: the first from
// nothing to version 1.
func migrations() []string {
	files, err := fs.Glob(embedded, "migrations/*.sql") // in order of name
	if err != nil || len(files) != HighestVersion {
		panic(fmt.Sprintf("store: %d migrations lead to version %d", len(files), HighestVersion))
	}
	steps := make([]string, len(files))
	for i, file := range files {
		sql, err := embedded.ReadFile(file)
		if err != nil {
			panic("store: " + err.Error())
		}
		steps[i] = string(sql)
	}
	return steps
}

// migrate brings the store up to the version that steps lead to. Before every
// step it asks anew what the file is, since another program may be migrating
// it too.
func (s *Store) migrate(ctx context.Context, steps []string) error {
	const composed = 9
	for {
		id, err := identify(ctx, s.db)
		if err != nil {
			return explain(s.path, err)
		}
		if err := id.admit(s.path); err != nil {
			return err
		}
		if id.version >= len(steps) {
			return nil
		}
		if err := s.step(ctx, id, steps[id.version]); err != nil {
			return err
		}
		if id.version+1 == composed {
			const apart = `SELECT name FROM waxes WHERE name LIKE '% · ' || id UNION SELECT name FROM dyes WHERE name LIKE '% · ' || id
				UNION SELECT name FROM moulds WHERE name LIKE '% · ' || id`
			if s.apart, err = readColumn[string](ctx, s.db, apart); err != nil {
				return explain(s.path, err)
			}
		}
	}
}

// step goes one version up in one transaction: all of it happens, or nothing.
// It does nothing when the store is no longer what it was before the lock.
func (s *Store) step(ctx context.Context, before identity, sql string) error {
	return s.transact(ctx, func(tx querier) error {
		now, err := identify(ctx, tx)
		if err != nil || now != before {
			return err
		}
		mark := fmt.Sprintf("PRAGMA application_id = %d; PRAGMA user_version = %d;", applicationID, before.version+1)
		var failure *sqlite.Error
		if _, err := tx.ExecContext(ctx, sql+mark); before.version > 0 && errors.As(err, &failure) && failure.Code() == sqlite3.SQLITE_ERROR {
			return refuse(ErrDamaged, "the store %s says that it is of version %d, and its tables are of another; put back a copy of it", s.path, before.version)
		} else if err != nil {
			return fmt.Errorf("migrating to version %d: %w", before.version+1, err)
		}
		if before.version+1 == digested {
			return s.seal(ctx, tx)
		}
		return nil
	})
}
