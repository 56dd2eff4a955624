package store

import (
	"context"
	"database/sql"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// unmigrated opens a file as a store without migrating it.
func unmigrated(t *testing.T) *Store {
	t.Helper()
	path := filepath.Join(t.TempDir(), "store.db")
	db, err := sql.Open("sqlite", address(path, usualBusyTimeout, readWrite))
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, db.Close()) })
	return assemble(path, db)
}

func TestMigrateFromNothing(t *testing.T) {
	ctx, s := context.Background(), unmigrated(t)
	before, err := identify(ctx, s.db)
	require.NoError(t, err)
	require.True(t, before.blank())

	require.NoError(t, s.migrate(ctx, migrations()))
	after, err := identify(ctx, s.db)
	require.NoError(t, err)
	assert.Equal(t, HighestVersion, after.version)
	assert.Equal(t, applicationID, after.applicationID)
	stock(t, s)

	require.NoError(t, s.migrate(ctx, migrations()), "once more changes nothing")
	assert.Equal(t, 2, count(t, s, "dyes"))
}

func TestMigrationThatFailsChangesNothing(t *testing.T) {
	ctx, s := context.Background(), unmigrated(t)
	err := s.migrate(ctx, []string{"CREATE TABLE a (x); INSERT INTO nowhere VALUES (1);"})
	require.ErrorContains(t, err, "migrating to version 1")
	after, err := identify(ctx, s.db)
	require.NoError(t, err)
	assert.True(t, after.blank(), "no table, no mark, no version")
}

// A step that finds the work done by another program does nothing.
func TestStepTwice(t *testing.T) {
	ctx, s := context.Background(), unmigrated(t)
	blank, err := identify(ctx, s.db)
	require.NoError(t, err)
	require.NoError(t, s.step(ctx, blank, migrations()[0]))
	require.NoError(t, s.step(ctx, blank, migrations()[0]))
}

// A store of the version before the log of batches keeps what is in it.
func TestMigrateKeepsWhatWasThere(t *testing.T) {
	ctx, s := context.Background(), unmigrated(t)
	require.NoError(t, s.migrate(ctx, migrations()[:2]))
	stock(t, s)
	require.NoError(t, s.transact(ctx, func(tx querier) error { return s.saveLearned(ctx, tx, "Harrow Soy", []byte(`{"a":1}`), noon) }))

	require.NoError(t, s.migrate(ctx, migrations()))
	waxes, err := s.Waxes.List(ctx)
	require.NoError(t, err)
	assert.Contains(t, waxes, soy())
	learned, err := s.Learned(ctx, "Harrow Soy")
	require.NoError(t, err)
	assert.JSONEq(t, `{"a":1}`, string(learned))
	_, err = s.LogBatch(ctx, poured())
	require.NoError(t, err)
}
