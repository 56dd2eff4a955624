package store

import (
	"context"
	"database/sql"
	"encoding/binary"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestOpenMakesAStore(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a folder", "näme?#%20&.db")
	s, err := Open(context.Background(), path)
	require.NoError(t, err)
	stock(t, s)
	require.NoError(t, s.Close())

	folder, err := os.Stat(filepath.Dir(path))
	require.NoError(t, err)
	assert.Equal(t, os.FileMode(0o700), folder.Mode().Perm())
	files, err := os.ReadDir(filepath.Dir(path))
	require.NoError(t, err)
	require.Len(t, files, 1, "closed, a store is one file")
	assert.Equal(t, filepath.Base(path), files[0].Name())
	assert.Equal(t, 2, count(t, openAt(t, path), "dyes"))
}

// "Database File Format", section 1.3 (sqlite.org/fileformat2.html): the file
// begins with "SQLite format 3" and a zero byte; the user version is the
// big-endian number at byte 60 and the application id the one at byte 68; the
// file format versions at bytes 18 and 19 are 2 for a write-ahead log.
func TestStoreBearsItsMark(t *testing.T) {
	s := emptyStore(t)
	file, err := os.ReadFile(s.Path())
	require.NoError(t, err)
	assert.Equal(t, "SQLite format 3\x00", string(file[:16]))
	assert.Equal(t, []byte{2, 2}, file[18:20])
	assert.EqualValues(t, HighestVersion, binary.BigEndian.Uint32(file[60:]))
	assert.Equal(t, "SHSD", string(file[68:72]))
}

func TestEveryConnectionHasItsSettings(t *testing.T) {
	ctx, s := context.Background(), emptyStore(t)
	for range 3 { // three connections, as none is given back before the end
		conn, err := s.db.Conn(ctx)
		require.NoError(t, err)
		defer conn.Close()
		for pragma, want := range map[string]string{
			"foreign_keys": "1", "synchronous": "2", "busy_timeout": "5000", "journal_mode": "wal",
		} {
			var got string
			require.NoError(t, conn.QueryRowContext(ctx, "PRAGMA "+pragma).Scan(&got))
			assert.Equal(t, want, got, pragma)
		}
	}
}

func TestForeignKeysHold(t *testing.T) {
	s := ladderStore(t)
	for _, breach := range []string{
		"DELETE FROM waxes", "DELETE FROM dyes", "DELETE FROM photos",
		"UPDATE swatches SET wax_id = 99", "INSERT INTO swatch_parts VALUES (1, 99, 1)",
	} {
		_, err := s.db.Exec(breach)
		assert.ErrorContains(t, err, "FOREIGN KEY", breach)
	}
}

// files returns the names and contents of a folder's files, less the index of
// the write-ahead log, which holds no data (sqlite.org/walformat.html).
func files(t *testing.T, folder string) map[string]string {
	t.Helper()
	entries, err := os.ReadDir(folder)
	require.NoError(t, err)
	contents := map[string]string{}
	for _, e := range entries {
		content, err := os.ReadFile(filepath.Join(folder, e.Name()))
		require.NoError(t, err)
		if filepath.Ext(e.Name()) != ".db-shm" {
			contents[e.Name()] = string(content)
		}
	}
	return contents
}

// database makes a SQLite file by running statements on it.
func database(t *testing.T, path, statements string) {
	t.Helper()
	db, err := sql.Open("sqlite", path)
	require.NoError(t, err)
	_, err = db.Exec(statements)
	require.NoError(t, err)
	require.NoError(t, db.Close())
}

func TestOpenLeavesOtherFilesUntouched(t *testing.T) {
	text := func(content string) func(*testing.T, string) {
		return func(t *testing.T, path string) { require.NoError(t, os.WriteFile(path, []byte(content), 0o600)) }
	}
	sqlite := func(statements string) func(*testing.T, string) {
		return func(t *testing.T, path string) { database(t, path, statements) }
	}
	newer := fmt.Sprintf("PRAGMA application_id = %d; PRAGMA user_version = %d;", applicationID, HighestVersion+1)
	for _, tt := range []struct {
		name string
		make func(*testing.T, string)
		kind error
		says string
	}{
		{"short text", text("hello"), ErrNotStore, "is not a setshade store; choose another file"},
		{"one byte", text("x"), ErrNotStore, "is not a setshade store"},
		{"long text", text(fmt.Sprintf("%09000d", 7)), ErrNotStore, "is not a setshade store"},
		{"another program's", sqlite("PRAGMA application_id = 252006673; CREATE TABLE t (x)"), ErrNotStore, "is a database of another program"},
		{"a program's without a mark", sqlite("CREATE TABLE t (x)"), ErrNotStore, "is a database of another program"},
		{"another's with a log", sqlite("PRAGMA journal_mode = WAL; CREATE TABLE t (x)"), ErrNotStore, "is a database of another program"},
		{"newer", sqlite(newer + "CREATE TABLE waxes (x)"), ErrNewer, fmt.Sprintf("has version %d and this setshade knows versions up to %d; use a newer setshade", HighestVersion+1, HighestVersion)},
		{"newer with a log", sqlite(newer + "PRAGMA journal_mode = WAL; CREATE TABLE waxes (x)"), ErrNewer, "use a newer setshade"},
		{"version 0", sqlite(fmt.Sprintf("PRAGMA application_id = %d; CREATE TABLE t (x)", applicationID)), ErrDamaged, "which no setshade wrote"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "file.db")
			tt.make(t, path)
			before := files(t, filepath.Dir(path))
			_, err := Open(context.Background(), path)
			require.ErrorIs(t, err, tt.kind)
			assert.ErrorContains(t, err, path)
			assert.ErrorContains(t, err, tt.says)
			assert.Equal(t, before, files(t, filepath.Dir(path)))
		})
	}
}

// A newer program was killed before its version got from the log to the file:
// the file alone still looks old.
func TestOpenReadsTheVersionInTheLog(t *testing.T) {
	s := stockedStore(t)
	killed := filepath.Join(t.TempDir(), "killed.db")
	_, err := s.db.Exec(fmt.Sprintf("PRAGMA user_version = %d", HighestVersion+1))
	require.NoError(t, err)
	for _, ending := range []string{"", "-wal"} {
		content, err := os.ReadFile(s.Path() + ending)
		require.NoError(t, err)
		require.NoError(t, os.WriteFile(killed+ending, content, 0o600))
	}
	before := files(t, filepath.Dir(killed))
	assert.EqualValues(t, HighestVersion, binary.BigEndian.Uint32([]byte(before["killed.db"][60:])))

	_, err = Open(context.Background(), killed)
	require.ErrorIs(t, err, ErrNewer)
	assert.Equal(t, before, files(t, filepath.Dir(killed)))
}

func TestOpenTakesAnEmptyFile(t *testing.T) {
	path := filepath.Join(t.TempDir(), "empty.db")
	require.NoError(t, os.WriteFile(path, nil, 0o600))
	stock(t, openAt(t, path))
}

// Its photographs say that an empty file was more once, as when copying stopped.
func TestOpenRefusesAnEmptyFileWithPhotographs(t *testing.T) {
	ctx, path := context.Background(), filepath.Join(t.TempDir(), "store.db")
	s, err := Open(ctx, path)
	require.NoError(t, err)
	stock(t, s)
	recordCard(t, s, "card.jpg", 1)
	require.NoError(t, s.Close())
	require.NoError(t, os.Truncate(path, 0))
	_, err = Open(ctx, path)
	require.ErrorIs(t, err, ErrDamaged)
	assert.ErrorContains(t, err, "is an empty file, but its photographs are in")
	info, err := os.Stat(path)
	require.NoError(t, err)
	assert.Zero(t, info.Size(), "it was left as it is")
}

// A store by way of a link is the store itself, photographs and all.
func TestOpenFollowsALink(t *testing.T) {
	ctx, s := context.Background(), ladderStore(t)
	link := filepath.Join(t.TempDir(), "link.db")
	if err := os.Symlink(s.Path(), link); err != nil {
		t.Skip("no link can be made here:", err)
	}
	linked := openAt(t, link)
	recordCard(t, linked, "by the link.jpg", 1)
	found, err := s.Check(ctx, modelIsFine)
	require.NoError(t, err)
	assert.Empty(t, found.Problems)
	assert.Equal(t, 3, found.Photos)
	left, err := os.ReadDir(filepath.Dir(link))
	require.NoError(t, err)
	assert.Len(t, left, 1, "nothing is kept beside the link")
}

func TestOpenRefusesWhatIsNoFile(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("Windows has no such files")
	}
	_, err := Open(context.Background(), os.DevNull)
	require.ErrorIs(t, err, ErrNotStore)
	assert.ErrorContains(t, err, "is not a file")
}

func TestOpenRefusesAFolder(t *testing.T) {
	folder := t.TempDir()
	_, err := Open(context.Background(), folder)
	require.ErrorIs(t, err, ErrNotStore)
	assert.ErrorContains(t, err, "is a folder")
}

func TestOpenBelowAFile(t *testing.T) {
	file := filepath.Join(t.TempDir(), "file")
	require.NoError(t, os.WriteFile(file, nil, 0o600))
	_, err := Open(context.Background(), filepath.Join(file, "store.db"))
	require.ErrorIs(t, err, ErrReadOnly)
	assert.ErrorContains(t, err, "choose another place")
}

// readOnlyFolder returns a folder that this user cannot write to. A superuser
// passes over permissions, but not over the kernel's own files in /sys.
func readOnlyFolder(t *testing.T) string {
	folder := t.TempDir()
	require.NoError(t, os.Chmod(folder, 0o500))
	for _, folder := range []string{folder, "/sys"} {
		probe := filepath.Join(folder, "probe")
		if file, err := os.Create(probe); err == nil {
			require.NoError(t, file.Close())
			require.NoError(t, os.Remove(probe))
		} else if info, err := os.Stat(folder); err == nil && info.IsDir() {
			return folder
		}
	}
	t.Skip("every folder here can be written")
	return ""
}

func TestOpenInAReadOnlyFolder(t *testing.T) {
	_, err := Open(context.Background(), filepath.Join(readOnlyFolder(t), "store.db"))
	require.ErrorIs(t, err, ErrReadOnly)
	assert.ErrorContains(t, err, "cannot be written; allow writing to it and to its folder, or choose another place")
}

func TestLockedStoreSaysSo(t *testing.T) {
	const short = busyTimeout(20 * time.Millisecond)
	ctx, holder := context.Background(), stockedStore(t)
	other, err := open(ctx, holder.Path(), short)
	require.NoError(t, err)
	defer other.Close()

	require.NoError(t, holder.write(ctx, func(querier) error {
		err := other.Dyes.Remove(ctx, "Slate")
		require.ErrorIs(t, err, ErrLocked)
		assert.ErrorContains(t, err, "is locked by another program; wait until it has finished, or close it, and try again")
		dyes, err := other.Dyes.List(ctx)
		assert.NoError(t, err, "reading needs no lock")
		assert.Len(t, dyes, 2)
		third, err := open(ctx, holder.Path(), short)
		if assert.NoError(t, err, "nor does opening") {
			assert.NoError(t, third.Close())
		}
		return nil
	}))
	assert.NoError(t, other.Dyes.Remove(ctx, "Slate"))
}

// A program that holds the whole file, as a backup program may.
func TestOpenOfALockedFileSaysSo(t *testing.T) {
	ctx, path := context.Background(), filepath.Join(t.TempDir(), "store.db")
	database(t, path, fmt.Sprintf("PRAGMA application_id = %d; PRAGMA user_version = 1", applicationID))
	db, err := sql.Open("sqlite", path)
	require.NoError(t, err)
	defer db.Close()
	db.SetMaxOpenConns(1)
	_, err = db.Exec("BEGIN EXCLUSIVE")
	require.NoError(t, err)
	_, err = open(ctx, path, busyTimeout(20*time.Millisecond))
	require.ErrorIs(t, err, ErrLocked)
	_, err = db.Exec("ROLLBACK")
	require.NoError(t, err)
}

// Many open a store that is not there yet, at once.
func TestOpenAtOnce(t *testing.T) {
	path := filepath.Join(t.TempDir(), "store.db")
	var wait sync.WaitGroup
	failures := make([]error, 8)
	for i := range failures {
		wait.Go(func() {
			s, err := Open(context.Background(), path)
			if err == nil {
				err = s.Close()
			}
			failures[i] = err
		})
	}
	wait.Wait()
	for _, err := range failures {
		assert.NoError(t, err)
	}
}

func BenchmarkOpen(b *testing.B) {
	s := stockedStore(b)
	for b.Loop() {
		again, err := Open(context.Background(), s.Path())
		require.NoError(b, err)
		require.NoError(b, again.Close())
	}
}

// A program was killed while it wrote to a store that had no write-ahead log
// yet: what it had not finished is undone ("Atomic Commit In SQLite", section
// 4, sqlite.org/atomiccommit.html).
func TestOpenUndoesWhatAKilledProgramBegan(t *testing.T) {
	path := filepath.Join(t.TempDir(), "store.db")
	database(t, path, migrations()[0]+fmt.Sprintf("PRAGMA application_id = %d; PRAGMA user_version = 1;", applicationID))
	db, err := sql.Open("sqlite", path)
	require.NoError(t, err)
	defer db.Close()
	db.SetMaxOpenConns(1)
	// A cache of one page spills the unfinished transaction into the file.
	_, err = db.Exec(`PRAGMA cache_size = 1; BEGIN;
		WITH RECURSIVE n (i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n WHERE i < 5000)
		INSERT INTO moulds (name_key, name, cavities, cavity_ml) SELECT i, i, 1, 1 FROM n`)
	require.NoError(t, err)
	killed := filepath.Join(t.TempDir(), "killed.db")
	for _, ending := range []string{"", "-journal"} {
		content, err := os.ReadFile(path + ending)
		require.NoError(t, err)
		require.NoError(t, os.WriteFile(killed+ending, content, 0o600))
	}
	_, err = db.Exec("ROLLBACK")
	require.NoError(t, err)

	err = inspect(context.Background(), killed, usualBusyTimeout)
	require.NoError(t, err, "only opening for writing can tell")
	moulds, err := openAt(t, killed).Moulds.List(context.Background())
	require.NoError(t, err)
	assert.Empty(t, moulds)
	assert.NoFileExists(t, killed+"-journal")
}

// Half of a store is told as damage, now or when the missing half is read.
func TestHalfAStoreIsDamaged(t *testing.T) {
	ctx, path := context.Background(), filepath.Join(t.TempDir(), "store.db")
	s, err := Open(ctx, path)
	require.NoError(t, err)
	stock(t, s)
	recordCard(t, s, "card.jpg", 12)
	require.NoError(t, s.Close())
	info, err := os.Stat(path)
	require.NoError(t, err)
	whole, err := os.ReadFile(path)
	require.NoError(t, err)
	for _, size := range []int64{20, 100, 4095, 4096, info.Size() / 2, info.Size() - 4096, info.Size() - 1} {
		half := filepath.Join(t.TempDir(), "half.db")
		require.NoError(t, os.WriteFile(half, whole[:size], 0o600))
		s, err := Open(ctx, half)
		if err == nil {
			_, err = s.Contents(ctx)
			require.NoError(t, s.Close())
		}
		require.ErrorIs(t, err, ErrDamaged, size)
		assert.Regexp(t, "is damaged(: its end is missing)?; put back a copy of it", err.Error())
		after, err := os.ReadFile(half)
		require.NoError(t, err)
		assert.Equal(t, whole[:size], after, "it was left as it is")
	}
}

// A version that was set back makes a migration meet what it would add: that is damage,
// and no sentence of SQL.
func TestVersionSetBackIsDamage(t *testing.T) {
	for version := LowestVersion; version < 7; version++ {
		path := shape(t, 7)
		database(t, path, fmt.Sprintf("PRAGMA user_version = %d", version))
		_, err := Open(context.Background(), path)
		require.ErrorIs(t, err, ErrDamaged, version)
		assert.ErrorContains(t, err, "its tables are of another; put back a copy of it")
		assert.NotContains(t, err.Error(), "SQL")
	}
}
