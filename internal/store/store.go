package store

import (
	"context"
	"database/sql"
	"errors"
	"maps"
	"net/url"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"setshade/internal/wax"
)

// Store is an open store. It may be used from several goroutines, and several
// programs may have the same store open: one writes at a time, and readers see
// what was there before or after, never the middle.
type Store struct {
	// Waxes, Dyes and Moulds are the shelf.
	Waxes  *Shelf[wax.Wax]
	Dyes   *Shelf[wax.Dye]
	Moulds *Shelf[wax.Mould]

	path   string
	db     *sql.DB
	photos photoFolder
	// turn holds the one who writes: those of this program wait for each other without end,
	// and only another program's lock runs into the busy timeout.
	turn chan struct{}
	// apart and doubted are told once, when the store was brought up to date.
	apart, doubted []string
}

// KeptApart are names that were given a mark when the store was brought up to date,
// because they read like another; they may be changed.
func (s *Store) KeptApart() []string { return s.apart }

// Doubted says what was wrong when an older store was given digests, as each check does.
func (s *Store) Doubted() []string { return s.doubted }

// busyTimeout is how long a call waits for another program's lock.
type busyTimeout time.Duration

const usualBusyTimeout = busyTimeout(5 * time.Second)

// Open opens the store at path. It makes the file, and its folder for the
// maker's eyes only, when there is none, and brings an older store up to
// HighestVersion. It refuses, untouched, a newer store (ErrNewer) and a file
// that is no store (ErrNotStore); it fails with ErrLocked when another program does
// not let go, and with ErrReadOnly where a store cannot be made or brought up to date.
// One that is up to date but cannot be written is opened to read.
func Open(ctx context.Context, path string) (*Store, error) {
	return open(ctx, path, usualBusyTimeout)
}

func open(ctx context.Context, path string, busy busyTimeout) (*Store, error) {
	path, err := filepath.Abs(path)
	if err != nil {
		return nil, because(ErrReadOnly, err, "the place of the store cannot be found")
	}
	// The photographs, like SQLite's log, lie beside the file itself, not beside a
	// link to it.
	if real, err := filepath.EvalSymlinks(path); err == nil {
		path = real
	}
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return nil, because(ErrReadOnly, err, "the folder %s for the store cannot be made; choose another place", filepath.Dir(path))
	}
	if err := inspect(ctx, path, busy); err != nil {
		return nil, err
	}
	db, err := sql.Open("sqlite", address(path, busy, readWrite))
	if err != nil {
		return nil, explain(path, err)
	}
	s := assemble(path, db)
	if err := s.prepare(ctx); err != nil {
		db.Close()
		if errors.Is(err, ErrReadOnly) {
			return openToRead(ctx, path, err)
		}
		return nil, err
	}
	return s, nil
}

// openToRead opens a store of which nothing can be written, as on a locked stick, for
// what only reads; writing to it fails with ErrReadOnly. It gives the failure to write
// instead where reading without writing is not safe: a log beside the file waits to be
// taken in, or the store is of an older version.
func openToRead(ctx context.Context, path string, unwritten error) (*Store, error) {
	if _, err := os.Stat(path); err != nil || !undisturbed(path) {
		return nil, unwritten
	}
	db, err := sql.Open("sqlite", address(path, usualBusyTimeout, frozen))
	if err != nil {
		return nil, unwritten
	}
	if id, err := identify(ctx, db); err != nil || id.applicationID != applicationID || id.version != HighestVersion {
		db.Close()
		return nil, unwritten
	}
	return assemble(path, db), nil
}

func assemble(path string, db *sql.DB) *Store {
	s := &Store{path: path, db: db, photos: photoFolderOf(path), turn: make(chan struct{}, 1)}
	s.Waxes = waxShelf(s)
	s.Dyes = dyeShelf(s)
	s.Moulds = mouldShelf(s)
	return s
}

// prepare migrates, and only then switches to the write-ahead log, so that a
// file bears the mark of a store from its first committed byte.
func (s *Store) prepare(ctx context.Context) error {
	if err := s.migrate(ctx, migrations()); err != nil {
		return err
	}
	// With the write-ahead log readers need not wait for a writer. The mode is
	// kept in the file (sqlite.org/wal.html, section 3.3). SQLite does not wait
	// for a lock to switch; when others are opening the new store too, the
	// switch is theirs, or the next opening's, and all is as safe without.
	_, err := s.db.ExecContext(ctx, "PRAGMA journal_mode = WAL")
	if err = explain(s.path, err); errors.Is(err, ErrLocked) {
		return nil
	}
	return err
}

// Close ends the use of the store.
func (s *Store) Close() error { return explain(s.path, s.db.Close()) }

// Path returns the absolute path of the store's file.
func (s *Store) Path() string { return s.path }

// read runs do on one state of the store, and keeps no one from writing.
func (s *Store) read(ctx context.Context, do func(q querier) error) (err error) {
	conn, err := s.db.Conn(ctx)
	if err != nil {
		return explain(s.path, err)
	}
	defer func() { err = explain(s.path, errors.Join(err, conn.Close())) }()
	// The driver's own transactions take the write lock, by _txlock.
	if _, err := conn.ExecContext(ctx, "BEGIN"); err != nil {
		return err
	}
	err = do(conn)
	// After some failures SQLite has ended the transaction itself
	// (sqlite.org/lang_transaction.html, 4.1).
	if _, ended := conn.ExecContext(context.WithoutCancel(ctx), "ROLLBACK"); err == nil {
		err = ended
	}
	return err
}

// write is transact that writes down how to take the change back, in place of the change
// before, whose photographs are then no longer needed. What changes nothing leaves the
// change before as it is.
func (s *Store) write(ctx context.Context, do func(tx querier) error) error {
	var unneeded []string
	err := s.transact(ctx, func(tx querier) error {
		if err := watch(ctx, tx); err != nil {
			return err
		}
		var before int64
		if err := tx.QueryRowContext(ctx, "SELECT coalesce(max(seq), 0) FROM undo").Scan(&before); err != nil {
			return err
		}
		if err := do(tx); err != nil {
			return err
		}
		var err error
		const forget = "DELETE FROM undo WHERE seq <= ?1 AND EXISTS (SELECT 1 FROM undo WHERE seq > ?1) RETURNING coalesce(photo, '')"
		unneeded, err = readColumn[string](ctx, tx, forget, before)
		return err
	})
	for _, hash := range unneeded {
		// A file that stays does no harm, and a check names it.
		if hash != "" && err == nil {
			s.discardPhoto(context.WithoutCancel(ctx), hash)
		}
	}
	return err
}

// transact runs do in one transaction, which holds the store's only write lock
// from its start, and commits it unless do fails.
func (s *Store) transact(ctx context.Context, do func(tx querier) error) error {
	select {
	case s.turn <- struct{}{}:
		defer func() { <-s.turn }()
	case <-ctx.Done():
		return explain(s.path, ctx.Err())
	}
	tx, err := s.db.BeginTx(ctx, nil)
	if err != nil {
		return explain(s.path, err)
	}
	defer tx.Rollback()
	if err := do(tx); err != nil {
		return explain(s.path, err)
	}
	return explain(s.path, tx.Commit())
}

// The ways a file is opened, as SQLite names them (sqlite.org/uri.html).
var (
	readWrite = url.Values{"mode": {"rwc"}}
	readOnly  = url.Values{"mode": {"ro"}}
	// frozen takes no lock and, unlike readOnly, leaves no empty log behind.
	frozen = url.Values{"mode": {"ro"}, "immutable": {"1"}}
)

// address writes the path and the settings of every connection as a URI.
func address(path string, busy busyTimeout, mode url.Values) string {
	settings := maps.Clone(mode)
	settings.Set("_busy_timeout", strconv.FormatInt(time.Duration(busy).Milliseconds(), 10))
	settings.Set("_foreign_keys", "on")
	// FULL flushes the log at every commit. NORMAL, the common choice with a
	// write-ahead log, may lose the last commits in a power cut
	// (sqlite.org/pragma.html, synchronous), and a recorded drop may have been
	// wiped off its card by then.
	settings.Set("_synchronous", "FULL")
	// A transaction takes the write lock when it begins: one that reads first
	// and asks for the lock later can fail at once, without waiting.
	settings.Set("_txlock", "immediate")
	// A misspelt column is an error, not a text.
	settings.Set("_dqs", "0")
	settings.Set("_error_rc", "1")
	slashed := filepath.ToSlash(path)
	if !strings.HasPrefix(slashed, "/") {
		slashed = "/" + slashed // C:/folder is /C:/folder in a URI.
	}
	return (&url.URL{Scheme: "file", Path: slashed, RawQuery: settings.Encode()}).String()
}
