package store

import (
	"context"
	"database/sql"
	"encoding/binary"
	"errors"
	"io"
	"os"

	"modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"
)

// applicationID marks a file as a setshade store: "SHSD" in ASCII, at byte 68
// of the file.
const applicationID = 0x53485344

// The versions of a store this program knows, at byte 60 of the file. Each
// file in migrations goes one version up.
const (
	LowestVersion  = 1
	HighestVersion = 11
	digested       = 11 // rows have digests from here
)

// querier is what a database and a transaction have in common.
type querier interface {
	ExecContext(ctx context.Context, query string, args ...any) (sql.Result, error)
	QueryContext(ctx context.Context, query string, args ...any) (*sql.Rows, error)
	QueryRowContext(ctx context.Context, query string, args ...any) *sql.Row
}

// identity is what a file says that it is.
type identity struct {
	applicationID int
	version       int
	tables        int
}

func identify(ctx context.Context, q querier) (identity, error) {
	var id identity
	const ask = `SELECT a.application_id, v.user_version, (SELECT count(*) FROM sqlite_schema)
		FROM pragma_application_id a, pragma_user_version v`
	err := q.QueryRowContext(ctx, ask).Scan(&id.applicationID, &id.version, &id.tables)
	return id, err
}

// blank reports a database in which nothing has been written yet.
func (id identity) blank() bool { return id == identity{} }

// admit refuses what is not a store, and a store of a version not known here.
func (id identity) admit(path string) error {
	switch {
	case id.blank():
		return nil
	case id.applicationID != applicationID:
		return refuse(ErrNotStore, "%s is a database of another program, not a setshade store; choose another file", path)
	case id.version > HighestVersion:
		return refuse(ErrNewer, "the store %s has version %d and this setshade knows versions up to %d; use a newer setshade (the store was left as it is)", path, id.version, HighestVersion)
	case id.version < LowestVersion:
		return refuse(ErrDamaged, "the store %s has version %d, which no setshade wrote; put back a copy of it", path, id.version)
	}
	return nil
}

// inspect reads what the file at path is without writing to it, and refuses
// what is no store. A file that is absent or empty will become one.
func inspect(ctx context.Context, path string, busy busyTimeout) error {
	info, err := os.Stat(path)
	switch {
	case errors.Is(err, os.ErrNotExist):
		return nil
	case err != nil:
		return because(ErrReadOnly, err, "the store %s cannot be reached; choose another place", path)
	case info.IsDir():
		return refuse(ErrNotStore, "%s is a folder, not a setshade store; name a file in it", path)
	case !info.Mode().IsRegular():
		return refuse(ErrNotStore, "%s is not a file; name the file of the store", path)
	case info.Size() == 0:
		return photoFolderOf(path).refuseOrphans(path)
	case info.Size() == 1:
		// SQLite takes a file of one byte for a new one.
		return refuse(ErrNotStore, "%s is not a setshade store; choose another file", path)
	}
	look := readOnly
	if undisturbed(path) {
		look = frozen
		if err := refuseTorn(path, info.Size()); err != nil {
			return err
		}
	}
	db, err := sql.Open("sqlite", address(path, busy, look))
	if err != nil {
		return explain(path, err)
	}
	defer db.Close()
	id, err := identify(ctx, db)
	if needsRecovery(err) {
		return nil // Only opening for writing can tell; Open asks again then.
	}
	if err != nil {
		return explain(path, err)
	}
	return id.admit(path)
}

// refuseTorn refuses a database that ends within a page, as half of a copy does
// (sqlite.org/fileformat2.html, 1.3.2: the page size is at byte 16, with 1 for
// 65536). SQLite would take the rest of the page for zeros.
func refuseTorn(path string, size int64) error {
	file, err := os.Open(path)
	if err != nil {
		return because(ErrReadOnly, err, "the store %s cannot be read; allow reading it, or choose another place", path)
	}
	defer file.Close()
	var head [18]byte
	if _, err := io.ReadFull(file, head[:]); err != nil || string(head[:16]) != "SQLite format 3\x00" {
		return nil // not a database, as will be found
	}
	page := int64(binary.BigEndian.Uint16(head[16:]))
	if page == 1 {
		page = 65536
	}
	if page != 0 && size%page != 0 {
		return refuse(ErrDamaged, "the store %s is damaged: its end is missing; put back a copy of it", path)
	}
	return nil
}

// undisturbed reports that no log or journal stands beside the file, so that the
// file alone is the whole truth.
func undisturbed(path string) bool {
	for _, ending := range []string{"-wal", "-journal"} {
		if _, err := os.Stat(path + ending); !errors.Is(err, os.ErrNotExist) {
			return false
		}
	}
	return true
}

// needsRecovery reports that a program was killed while it wrote, so that the
// file cannot be read before the writing is undone (sqlite.org/rescode.html,
// SQLITE_READONLY_ROLLBACK and SQLITE_READONLY_RECOVERY).
func needsRecovery(err error) bool {
	var failure *sqlite.Error
	return errors.As(err, &failure) &&
		(failure.Code() == sqlite3.SQLITE_READONLY_ROLLBACK || failure.Code() == sqlite3.SQLITE_READONLY_RECOVERY)
}
