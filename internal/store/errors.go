package store

import (
	"errors"
	"fmt"
	"strings"

	"modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"

	"setshade/internal/english"
)

// The kinds of failure a caller may want to tell apart with errors.Is.
var (
	// ErrNotFound: no wax, dye, mould, swatch, batch or photograph of that name.
	ErrNotFound = errors.New("not found")
	// ErrExists: the name is taken, or the photograph is already recorded.
	ErrExists = errors.New("already there")
	// ErrInUse: a swatch or a batch still uses it.
	ErrInUse = errors.New("in use")
	// ErrInvalid: a value that cannot be, such as a NaN or a negative dose.
	ErrInvalid = errors.New("invalid")
	// ErrNotStore: the file is something else.
	ErrNotStore = errors.New("not a store")
	// ErrNewer: a newer setshade wrote the store.
	ErrNewer = errors.New("newer store")
	// ErrLocked: another program kept the store locked for too long.
	ErrLocked = errors.New("locked")
	// ErrReadOnly: the store or its folder cannot be written.
	ErrReadOnly = errors.New("read-only")
	// ErrDamaged: what was read is not what was written.
	ErrDamaged = errors.New("damaged")
	// ErrLost: a photograph is gone, or is not what was recorded.
	ErrLost = errors.New("lost")
)

// Error is a failure told to the maker: one sentence, with its kind and its
// cause inside.
type Error struct {
	sentence string
	kind     error
	cause    error
}

// Error returns the sentence.
func (e *Error) Error() string { return e.sentence }

// Unwrap returns the kind, and the cause if there is one.
func (e *Error) Unwrap() []error {
	if e.cause == nil {
		return []error{e.kind}
	}
	return []error{e.kind, e.cause}
}

func refuse(kind error, format string, args ...any) error {
	return &Error{sentence: fmt.Sprintf(format, args...), kind: kind}
}

// because is refuse with the cause kept, and told in brackets: the machine is
// the maker's own, so its detail is not hidden.
func because(kind, cause error, format string, args ...any) error {
	sentence := fmt.Sprintf(format, args...)
	return &Error{sentence: fmt.Sprintf("%s (%s)", sentence, cause), kind: kind, cause: cause}
}

// explain turns a failure of SQLite into a sentence about the store at path and
// leaves every other error alone. Codes: sqlite.org/rescode.html; the low byte
// is the primary code.
func explain(path string, err error) error {
	var failure *sqlite.Error
	if !errors.As(err, &failure) {
		return unread(path, err)
	}
	switch failure.Code() {
	case sqlite3.SQLITE_IOERR_SHORT_READ:
		return damaged(path, err)
	case sqlite3.SQLITE_IOERR_WRITE, sqlite3.SQLITE_IOERR_FSYNC, sqlite3.SQLITE_IOERR_TRUNCATE,
		sqlite3.SQLITE_IOERR_SHMSIZE, sqlite3.SQLITE_IOERR_SHMOPEN, sqlite3.SQLITE_IOERR_SHMMAP:
		return fmt.Errorf("the disk of the store %s takes nothing more; see that it has room and is still there, and try again (%w)", path, err)
	}
	switch failure.Code() & 0xff {
	case sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED:
		return because(ErrLocked, err, "the store %s is locked by another program; wait until it has finished, or close it, and try again", path)
	case sqlite3.SQLITE_READONLY, sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_PERM:
		return because(ErrReadOnly, err, "the store %s cannot be written; allow writing to it and to its folder, or choose another place", path)
	case sqlite3.SQLITE_NOTADB:
		return because(ErrNotStore, err, "%s is not a setshade store; choose another file", path)
	case sqlite3.SQLITE_CORRUPT:
		return damaged(path, err)
	case sqlite3.SQLITE_FULL:
		return fmt.Errorf("the disk of the store %s is full; make room and try again (%w)", path, err)
	}
	return fmt.Errorf("the store %s failed: %w", path, err)
}

// unread tells a row that is not what was written: database/sql knows no kind for
// a column that cannot be scanned, and says so in words alone.
func unread(path string, err error) error {
	var told *Error
	if err != nil && !errors.As(err, &told) && strings.Contains(err.Error(), "sql: Scan error") {
		return damaged(path, err)
	}
	return err
}

func damaged(path string, err error) error {
	return because(ErrDamaged, err, "the store %s is damaged; put back a copy of it", path)
}

// listed joins names as a sentence does, and counts what it leaves out.
func listed(names []string) string {
	const shown = 8
	return english.AndMore(names, shown)
}
