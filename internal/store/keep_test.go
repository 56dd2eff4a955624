package store

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/wax"
)

func modelIsFine([]byte) error { return nil }

// Every way in which a store is broken here must be caught.
func TestCheckCatchesDamage(t *testing.T) {
	hash := hashOf(photo("a.jpg").Bytes)
	for name, tt := range map[string]struct {
		damage func(t *testing.T, s *Store)
		says   string
	}{
		"photograph gone": {func(t *testing.T, s *Store) { require.NoError(t, os.Remove(s.photos.file(hash))) }, "swatches 1 to 3 of 4 March 2025 are without a photograph: the photograph a.jpg cannot be read from the store"},
		"photograph changed": {func(t *testing.T, s *Store) {
			require.NoError(t, os.WriteFile(s.photos.file(hash), []byte("other"), 0o600))
		}, "the photograph a.jpg has changed since it was recorded"},
		"row without its wax": {func(t *testing.T, s *Store) {
			_, err := s.db.Exec("PRAGMA foreign_keys = OFF; DELETE FROM waxes WHERE name = 'Harrow Coco'; PRAGMA foreign_keys = ON")
			require.NoError(t, err)
		}, "a row of swatches refers to a row of waxes that is not there"},
		"index that lies": {func(t *testing.T, s *Store) {
			_, err := s.db.Exec("PRAGMA writable_schema = ON; UPDATE sqlite_schema SET sql = replace(sql, '(wax_id, state)', '(wax_id, drop_number)') WHERE name = 'swatches_by_wax'; PRAGMA writable_schema = RESET")
			require.NoError(t, err)
		}, "the file: row"},
		"strip that is none": {func(t *testing.T, s *Store) {
			_, err := s.db.Exec("INSERT INTO strips VALUES ('A5 1', 'anchor', '{}', 'a.jpg', '', '2025-03-04T12:30:45.123456789Z')")
			require.NoError(t, err)
		}, "a row cannot be read"},
		"stock of no time": {func(t *testing.T, s *Store) {
			_, err := s.db.Exec("INSERT INTO stocks VALUES (1, 1, 300, 8, 'wax', '', 'yesterday')")
			require.NoError(t, err)
		}, "a row cannot be read"},
		"time that is none": {func(t *testing.T, s *Store) {
			_, err := s.db.Exec("UPDATE photos SET recorded_at = 'yesterday'")
			require.NoError(t, err)
		}, "a row cannot be read"},
	} {
		t.Run(name, func(t *testing.T) {
			ctx, s := context.Background(), ladderStore(t)
			found, err := s.Check(ctx, modelIsFine)
			require.NoError(t, err)
			require.Empty(t, found.Problems, "whole before")
			tt.damage(t, s)
			found, err = s.Check(ctx, modelIsFine)
			require.NoError(t, err)
			require.NotEmpty(t, found.Problems)
			assert.Contains(t, found.Problems[0], tt.says)
		})
	}
}

// A folder that is gone, as when the store's file alone was renamed, or that cannot be
// read does not keep the rest of the check from being told.
func TestCheckWithoutTheFolderOfPhotographs(t *testing.T) {
	ctx, s := context.Background(), ladderStore(t)
	require.NoError(t, os.RemoveAll(string(s.photos)))
	for _, says := range []string{"is not there; it has the name of the store's file", "cannot be read; allow reading it"} {
		found, err := s.Check(ctx, modelIsFine)
		require.NoError(t, err)
		require.Len(t, found.Problems, 3)
		assert.Len(t, found.Lost, 2)
		assert.Contains(t, found.Problems[2], "the folder of photographs "+string(s.photos)+" "+says)
		require.NoError(t, os.WriteFile(string(s.photos), nil, 0o600))
	}
}

func TestCheckNamesStraysAndModels(t *testing.T) {
	ctx, s := context.Background(), ladderStore(t)
	require.NoError(t, s.SaveLearned(ctx, "Harrow Soy", []byte("{}"), noon))
	require.NoError(t, os.WriteFile(s.photos.file(incoming), []byte("half a ph"), 0o600))
	found, err := s.Check(ctx, func([]byte) error { return errors.New("what was learned cannot be read") })
	require.NoError(t, err)
	assert.Equal(t, []string{"Harrow Soy: what was learned cannot be read"}, found.Problems)
	assert.Equal(t, []string{s.photos.file(incoming)}, found.Strays)
	assert.Equal(t, []int{2, 6, 0, 1}, []int{found.Photos, found.Swatches, found.Batches, found.Learned})
	assert.Equal(t, []int{2, 2, 0, 0, 0}, []int{found.Waxes, found.Dyes, found.Moulds, found.Stocks, found.Strips})
}

func TestBackupIsTheSameStore(t *testing.T) {
	ctx, s := context.Background(), ladderStore(t)
	to := filepath.Join(t.TempDir(), "a folder", "copy.db")
	made, err := s.Backup(ctx, modelIsFine, to)
	require.NoError(t, err)
	assert.Empty(t, made.Problems)
	want, err := s.Contents(ctx)
	require.NoError(t, err)
	copied := openAt(t, to)
	got, err := copied.Contents(ctx)
	require.NoError(t, err)
	assert.Equal(t, want, got)
	found, err := copied.Check(ctx, modelIsFine)
	require.NoError(t, err)
	assert.Empty(t, found.Problems)
	assert.Empty(t, found.Strays)
	assert.NoFileExists(t, to+".part")

	_, err = s.Backup(ctx, modelIsFine, to)
	require.ErrorIs(t, err, ErrExists)
	assert.ErrorContains(t, err, "there is already something called")
}

// Others record while the store is copied: each copy is the store of one moment.
func TestBackupWhileOthersRecord(t *testing.T) {
	ctx, s := context.Background(), stockedStore(t)
	other := openAt(t, s.Path())
	folder := t.TempDir()
	var wait sync.WaitGroup
	done := make(chan struct{})
	wait.Go(func() {
		for i := 0; ; i++ {
			select {
			case <-done:
				return
			default:
				_, err := other.Record(ctx, photo(string(rune('a'+i%26))+"."+string(rune('a'+i/26))), []wax.Swatch{swatch(1), swatch(2)})
				assert.NoError(t, err)
			}
		}
	})
	for _, name := range []string{"1.db", "2.db", "3.db"} {
		_, err := s.Backup(ctx, modelIsFine, filepath.Join(folder, name))
		assert.NoError(t, err)
	}
	close(done)
	wait.Wait()
	for _, name := range []string{"1.db", "2.db", "3.db"} {
		found, err := openAt(t, filepath.Join(folder, name)).Check(ctx, modelIsFine)
		require.NoError(t, err)
		assert.Empty(t, found.Problems)
		assert.Empty(t, found.Strays)
		assert.Equal(t, 2*found.Photos, found.Swatches)
	}
}

// However a photograph was lost, the copy has all the rest, and its check says what
// it is without.
func TestBackupWithoutALostPhotograph(t *testing.T) {
	kept, hash := hashOf(photo("a.jpg").Bytes), hashOf(photo("b.jpg").Bytes)
	for name, lose := range map[string]func(file string) error{
		"gone":       os.Remove,
		"changed":    func(file string) error { return os.WriteFile(file, []byte("other"), 0o600) },
		"cut short":  func(file string) error { return os.Truncate(file, 3) },
		"unreadable": func(file string) error { return errors.Join(os.Remove(file), os.Mkdir(file, 0o700)) },
	} {
		t.Run(name, func(t *testing.T) {
			ctx, s := context.Background(), ladderStore(t)
			require.NoError(t, lose(s.photos.file(hash)))
			to := filepath.Join(t.TempDir(), "copy.db")
			made, err := s.Backup(ctx, modelIsFine, to)
			require.NoError(t, err)
			lost := made.Lost
			require.Len(t, lost, 1)
			assert.Equal(t, []any{"b.jpg", hash, "swatches 4 to 6 of 4 March 2025"}, []any{lost[0].Name, lost[0].SHA256, lost[0].Of()})
			require.ErrorIs(t, lost[0].Why, ErrLost)
			assert.ErrorContains(t, lost[0].Why, "the photograph b.jpg")

			copied := openAt(t, to)
			want, err := s.Contents(ctx)
			require.NoError(t, err)
			got, err := copied.Contents(ctx)
			require.NoError(t, err)
			assert.Equal(t, want, got)
			_, err = copied.Photo(ctx, kept)
			require.NoError(t, err)
			assert.NoFileExists(t, copied.photos.file(hash), "no piece of it")
			found, err := copied.Check(ctx, modelIsFine)
			require.NoError(t, err)
			require.Len(t, found.Problems, 1)
			assert.Contains(t, found.Problems[0], "swatches 4 to 6 of 4 March 2025 are without a photograph: the photograph b.jpg")

			again, err := copied.Backup(ctx, modelIsFine, to+"2")
			require.NoError(t, err)
			require.Len(t, again.Lost, 1, "the copy of the copy")
			assert.Equal(t, lost[0].KeptPhoto, again.Lost[0].KeptPhoto)
		})
	}
}

// Of two that copy to one name at once, one makes a whole copy and the other refuses;
// neither touches what the other writes.
func TestBackupsToOneNameAtOnce(t *testing.T) {
	ctx, s := context.Background(), ladderStore(t)
	folder := t.TempDir()
	for i := range 10 {
		to := filepath.Join(folder, string(rune('a'+i))+".db")
		var wait sync.WaitGroup
		var failed [3]error
		for k := range failed {
			other := openAt(t, s.Path())
			wait.Go(func() { _, failed[k] = other.Backup(ctx, modelIsFine, to) })
		}
		wait.Wait()
		made := 0
		for _, err := range failed {
			if err == nil {
				made++
				continue
			}
			require.ErrorIs(t, err, ErrExists)
		}
		require.Equal(t, 1, made)
		found, err := openAt(t, to).Check(ctx, modelIsFine)
		require.NoError(t, err)
		assert.Empty(t, found.Problems)
		assert.Equal(t, 2, found.Photos)
	}
	files, err := os.ReadDir(filepath.Join(folder, "photos"))
	require.NoError(t, err)
	assert.Len(t, files, 10, "no part of a copy")
}

// What a copy that was killed left is cleared away, and the same command simply works;
// what one that is under way has written is not touched.
func TestBackupAfterOneThatWasKilled(t *testing.T) {
	ctx, s := context.Background(), ladderStore(t)
	folder := t.TempDir()
	to := filepath.Join(folder, "copy.db")
	name := func(pid int) string { return filepath.Join(folder, fmt.Sprintf(".copy.db.%d-1.part", pid)) }
	const gone = 1<<30 + 1 // no system counts its processes so far
	for _, pid := range []int{gone, os.Getppid()} {
		require.NoError(t, photoFolderOf(name(pid)).put(hashOf([]byte("left")), []byte("left")))
		require.NoError(t, os.WriteFile(name(pid), []byte("half"), 0o600))
	}
	_, err := s.Backup(ctx, modelIsFine, to)
	require.NoError(t, err)
	found, err := openAt(t, to).Check(ctx, modelIsFine)
	require.NoError(t, err)
	assert.Empty(t, found.Problems)
	assert.Empty(t, found.Strays)
	assert.NoFileExists(t, name(gone))
	assert.NoDirExists(t, string(photoFolderOf(name(gone))))
	assert.FileExists(t, name(os.Getppid()))
	assert.DirExists(t, string(photoFolderOf(name(os.Getppid()))))
}

// A copy for which there is no room, in the database or in the photographs, leaves
// nothing behind.
func TestBackupOnAFullDisk(t *testing.T) {
	ctx, s := context.Background(), ladderStore(t)
	big := photo("big.jpg")
	big.Bytes = append(big.Bytes, make([]byte, 200<<10)...)
	_, err := s.Record(ctx, big, []wax.Swatch{swatch(1)})
	require.NoError(t, err)
	for kilobytes, says := range map[string]string{
		"64": "is full; make room and try again", "280": "the photograph big.jpg cannot be copied; see that there is room, or choose another place",
	} {
		folder := smallDisk(t, kilobytes)
		_, err := s.Backup(ctx, modelIsFine, filepath.Join(folder, "copy.db"))
		require.ErrorContains(t, err, says)
		files, err := os.ReadDir(folder)
		require.NoError(t, err)
		assert.Empty(t, files)
	}
}

// A store whose folder of photographs is gone is copied as well.
func TestBackupWithoutAnyPhotograph(t *testing.T) {
	ctx, s := context.Background(), ladderStore(t)
	require.NoError(t, os.RemoveAll(string(s.photos)))
	to := filepath.Join(t.TempDir(), "copy.db")
	made, err := s.Backup(ctx, modelIsFine, to)
	require.NoError(t, err)
	assert.Len(t, made.Lost, 2)
	swatches, err := openAt(t, to).Swatches(ctx, Filter{})
	require.NoError(t, err)
	assert.Len(t, swatches, 6)
}

// A photograph that the place of the copy does not take is not lost: there is no copy
// without it.
func TestBackupThatCannotBeWrittenLeavesNothing(t *testing.T) {
	ctx, s := context.Background(), ladderStore(t)
	folder := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(folder, "photos"), []byte("in the way"), 0o600))
	_, err := s.Backup(ctx, modelIsFine, filepath.Join(folder, "copy.db"))
	require.ErrorIs(t, err, ErrReadOnly)
	assert.ErrorContains(t, err, "cannot be copied; see that there is room, or choose another place")
	files, err := os.ReadDir(folder)
	require.NoError(t, err)
	require.Len(t, files, 1)
	assert.Equal(t, "photos", files[0].Name())
}

// smallDisk mounts a disk of so many KB, where this user may.
func smallDisk(t *testing.T, kilobytes string) string {
	t.Helper()
	folder := t.TempDir()
	if err := exec.Command("mount", "-t", "tmpfs", "-o", "size="+kilobytes+"k", "tmpfs", folder).Run(); err != nil {
		t.Skip("no disk can be mounted here:", err)
	}
	t.Cleanup(func() { assert.NoError(t, exec.Command("umount", folder).Run()) })
	return folder
}

// The disk fills up: what was acknowledged is there, the rest left no trace.
func TestFullDisk(t *testing.T) {
	ctx := context.Background()
	s, err := Open(ctx, filepath.Join(smallDisk(t, "1024"), "store.db"))
	require.NoError(t, err)
	defer s.Close()
	stock(t, s)
	fillUp(t, s)
}

// The same by SQLite's own limit on pages, for those who may not mount.
func TestFullDatabase(t *testing.T) {
	s := stockedStore(t)
	s.db.SetMaxOpenConns(1) // The limit is the connection's.
	_, err := s.db.Exec("PRAGMA max_page_count = 60")
	require.NoError(t, err)
	fillUp(t, s)
}

func fillUp(t *testing.T, s *Store) {
	ctx := context.Background()
	recorded := 0
	var err error
	for ; err == nil && recorded < 1000; recorded++ {
		card := photo(string(rune('a'+recorded%26)) + string(rune('a'+recorded/26)))
		card.Bytes = append(card.Bytes, make([]byte, 10000)...)
		_, err = s.Record(ctx, card, []wax.Swatch{swatch(1), swatch(2), swatch(3)})
	}
	require.Error(t, err)
	assert.Regexp(t, "is full; make room and try again|could not be written to the store, and nothing was recorded; see that its disk has room and can be written .*no space left", err.Error())
	found, err := s.Check(ctx, modelIsFine)
	require.NoError(t, err)
	assert.Empty(t, found.Problems)
	assert.Equal(t, recorded-1, found.Photos)
	assert.Equal(t, 3*found.Photos, found.Swatches)
	assert.Empty(t, found.Strays, "the piece of a photograph that found no room takes none")
}

// A store on a disk without room for the index of its log, which SQLite calls an
// input or output error (sqlite.org/rescode.html, SQLITE_IOERR_SHMSIZE).
func TestOpenOnAFullDisk(t *testing.T) {
	ctx, folder := context.Background(), smallDisk(t, "1024")
	path := filepath.Join(folder, "store.db")
	s, err := Open(ctx, path)
	require.NoError(t, err)
	stock(t, s)
	require.NoError(t, s.Close())
	filler := filepath.Join(folder, "filler")
	require.Error(t, os.WriteFile(filler, make([]byte, 2<<20), 0o600))
	_, err = Open(ctx, path)
	require.ErrorContains(t, err, "takes nothing more; see that it has room and is still there, and try again")
	require.NoError(t, os.Remove(filler))
	assert.Equal(t, 2, count(t, openAt(t, path), "dyes"))
}

// What cannot be filed leaves nothing behind.
func TestPhotographThatCannotBeFiledLeavesNothing(t *testing.T) {
	ctx, s := context.Background(), stockedStore(t)
	card := photo("a.jpg")
	inTheWay := s.photos.file(hashOf(card.Bytes))
	require.NoError(t, os.MkdirAll(filepath.Join(inTheWay, "full"), 0o700))
	_, err := s.Record(ctx, card, []wax.Swatch{swatch(1)})
	require.ErrorContains(t, err, "could not be written to the store, and nothing was recorded")
	assert.NoFileExists(t, s.photos.file(incoming))
	assert.Equal(t, 0, count(t, s, "photos"))
}

// A row that cannot be read is not handed on as a checked copy, and is told as
// damage wherever it is met.
func TestRowThatCannotBeReadIsDamage(t *testing.T) {
	ctx, s := context.Background(), ladderStore(t)
	_, err := s.db.Exec("UPDATE photos SET recorded_at = 'yesterday'")
	require.NoError(t, err)
	folder := t.TempDir()
	_, err = s.Backup(ctx, modelIsFine, filepath.Join(folder, "copy.db"))
	require.ErrorIs(t, err, ErrDamaged)
	assert.ErrorContains(t, err, "has a row that cannot be read, and was not copied")
	assert.NoFileExists(t, filepath.Join(folder, "copy.db"))
	_, err = s.Contents(ctx)
	require.ErrorIs(t, err, ErrDamaged)
	assert.ErrorContains(t, err, "is damaged; put back a copy of it")
	_, err = s.Swatches(ctx, Filter{})
	require.ErrorIs(t, err, ErrDamaged)
}

// A store on a disk that has become read-only can be read, checked and copied away,
// and is not changed.
func TestReadOnlyDisk(t *testing.T) {
	ctx, folder := context.Background(), smallDisk(t, "1024")
	path := filepath.Join(folder, "store.db")
	s, err := Open(ctx, path)
	require.NoError(t, err)
	stock(t, s)
	recordCard(t, s, "before.jpg", 2)
	require.NoError(t, s.Close())
	require.NoError(t, exec.Command("mount", "-o", "remount,ro", folder).Run())
	s, err = Open(ctx, path)
	require.NoError(t, err)
	defer s.Close()
	kept, err := s.Swatches(ctx, Filter{})
	require.NoError(t, err)
	assert.Len(t, kept, 2)
	found, err := s.Check(ctx, func([]byte) error { return nil })
	require.NoError(t, err)
	assert.Empty(t, found.Problems)
	copied := filepath.Join(t.TempDir(), "copy.db")
	_, err = s.Backup(ctx, modelIsFine, copied)
	require.NoError(t, err)
	again, err := Open(ctx, copied)
	require.NoError(t, err)
	require.NoError(t, again.Close())

	err = s.Dyes.Remove(ctx, "Slate")
	require.ErrorIs(t, err, ErrReadOnly)
	assert.ErrorContains(t, err, "cannot be written; allow writing to it and to its folder, or choose another place")
	files, err := os.ReadDir(folder)
	require.NoError(t, err)
	assert.Len(t, files, 2, "the file and its photographs, no log")
}

// A copy is checked as strictly as the store: what a check of the store finds wrong, a
// backup says of the copy.
func TestBackupIsCheckedLikeTheStore(t *testing.T) {
	ctx, s := context.Background(), ladderStore(t)
	require.NoError(t, s.SaveLearned(ctx, "Harrow Soy", []byte("{}"), noon))
	_, err := s.db.Exec("PRAGMA ignore_check_constraints = ON; UPDATE swatches SET drop_number = -1 WHERE id = 1; PRAGMA ignore_check_constraints = OFF")
	require.NoError(t, err)
	modelIsNot := func([]byte) error { return errors.New("what was learned cannot be read") }
	want, err := s.Check(ctx, modelIsNot)
	require.NoError(t, err)
	require.NotEmpty(t, want.Problems)
	got, err := s.Backup(ctx, modelIsNot, filepath.Join(t.TempDir(), "copy.db"))
	require.NoError(t, err)
	assert.Equal(t, want, got)
}
