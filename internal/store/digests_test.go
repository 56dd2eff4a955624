package store

import (
	"context"
	"database/sql"
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/wax"
)

// withoutTriggers changes rows as damage does: no digest follows.
func withoutTriggers(t testing.TB, s *Store, statements string) {
	t.Helper()
	const triggers = " FROM sqlite_schema WHERE type = 'trigger'"
	back, err := readColumn[string](context.Background(), s.db, "SELECT sql"+triggers)
	require.NoError(t, err)
	drop, err := readColumn[string](context.Background(), s.db, "SELECT 'DROP TRIGGER ' || name"+triggers)
	require.NoError(t, err)
	db, err := sql.Open("sqlite", address(s.Path(), usualBusyTimeout, readWrite))
	require.NoError(t, err)
	defer db.Close()
	_, err = db.Exec(strings.Join(slices.Concat(drop, []string{statements}, back), ";\n"))
	require.NoError(t, err)
}

// Whatever the store does with its rows, digests follow: with what is removed in train,
// too.
func TestDigestsFollowEveryChange(t *testing.T) {
	ctx, s := context.Background(), fullStore(t)
	require.NoError(t, s.SetCheck(ctx, true, 2))
	_, err := s.BringBack(ctx, noon)
	require.NoError(t, err)
	lot := bracken()
	lot.Name = "Bracken old"
	require.NoError(t, s.TakeLot(ctx, "Bracken", lot, bracken(), 4))
	require.NoError(t, s.RemoveSwatches(ctx, 1, 2, 3))
	require.NoError(t, s.ForgetStrip(ctx, "A5 print 1", Reference))
	negative := swatch(1)
	negative.Colour.Lab.A, negative.Card.B = 0, -1/1e300/1e300 // the negative zero, which SQLite keeps as zero
	_, err = s.Record(ctx, photo("c.jpg"), []wax.Swatch{negative})
	require.NoError(t, err)
	found, err := s.Check(ctx, modelIsFine)
	require.NoError(t, err)
	assert.Empty(t, found.Problems)
}

// What changed is named with the way back, and the way back ends the alarm. A change that
// the maker makes to a damaged row does not.
func TestWhatChangedIsNamedUntilItIsPutRight(t *testing.T) {
	ctx := context.Background()
	for name, tt := range map[string]struct {
		damage, says string
		pass, right  func(s *Store) error
	}{
		"wax": {"UPDATE waxes SET refractive_index = 1.5 WHERE name = 'Harrow Soy'", "the wax Harrow Soy changed since it was kept, and what follows from it is in doubt; write its true figures with setshade wax change, or put back a copy",
			func(s *Store) error {
				w, _ := s.Waxes.Get(ctx, "Harrow Soy")
				w.PricePerKg++
				return s.Waxes.Update(ctx, "Harrow Soy", w)
			},
			func(s *Store) error { return s.Waxes.Update(ctx, "Harrow Soy", soy()) }},
		"model": {"UPDATE learned SET model = replace(model, '0', '1') WHERE wax_id = 1", "what was learned of Harrow Soy changed",
			nil, func(s *Store) error { return s.SaveLearned(ctx, "Harrow Soy", []byte("{}"), noon) }},
		"dose": {"UPDATE swatch_parts SET dose_g_per_kg = 3 WHERE swatch_id IN (3, 4)", "the dose of swatch 3 and 4 changed",
			nil, func(s *Store) error { return s.RemoveSwatches(ctx, 3, 4) }},
		"swatch gone":  {"PRAGMA foreign_keys = OFF; DELETE FROM swatches WHERE id = 2; DELETE FROM swatch_parts WHERE swatch_id = 2", "swatch 2 changed", nil, nil},
		"swatch added": {"INSERT INTO cards VALUES (99)", "card 99", nil, nil},
		"plan":         {"UPDATE photos SET plan_text = 'wax Harrow Coco' WHERE name = 'a.jpg'", "the plan or the reading of a.jpg changed", nil, nil},
		"number":       {"UPDATE sqlite_sequence SET seq = 9 WHERE name = 'swatches'", "the highest number of swatches changed", nil, nil},
		"index":        {"DROP INDEX swatches_by_wax", "the shape of the tables changed", nil, nil},
		"batch":        {"UPDATE batch_parts SET dose_g_per_kg = 3", "a dose of batch 1 changed", nil, nil},
		"stock":        {"UPDATE stocks SET undyed_g = 3", "stock 1 changed", nil, nil},
		"strip":        {"UPDATE strips SET name = 'other'", "the strip of A5 print 1/reference changed", nil, nil},
		"earlier":      {"UPDATE earlier SET contents = '{}'", "what was there before photographs were read again changed", nil, nil},
	} {
		t.Run(name, func(t *testing.T) {
			s := fullStore(t)
			whole := func() []string {
				found, err := s.Altered(ctx)
				require.NoError(t, err)
				return found
			}
			require.Empty(t, whole())
			withoutTriggers(t, s, tt.damage)
			require.NotEmpty(t, whole())
			assert.Contains(t, whole()[0], tt.says)
			copied, err := s.Backup(ctx, modelIsFine, filepath.Join(t.TempDir(), "copy.db"))
			require.NoError(t, err)
			assert.Subset(t, copied.Problems, whole(), "a copy is checked as strictly")
			if tt.pass != nil {
				require.NoError(t, tt.pass(s))
				assert.NotEmpty(t, whole())
			}
			if tt.right != nil {
				require.NoError(t, tt.right(s))
				assert.Empty(t, whole())
			}
		})
	}
}

// A model that is not what was saved is not handed out, and nothing is learned from drops
// that are not what was recorded.
func TestChangedModelsAndDropsAreRefused(t *testing.T) {
	ctx, s := context.Background(), fullStore(t)
	_, err := s.LearnFrom(ctx, "Harrow Soy")
	require.NoError(t, err)
	withoutTriggers(t, s, "UPDATE learned SET model = replace(model, '0', '1') WHERE wax_id = 1; UPDATE swatches SET lab_l = lab_l + 14 WHERE id = 2")
	_, err = s.Learned(ctx, "Harrow Soy")
	require.ErrorIs(t, err, ErrDamaged)
	_, err = s.Learned(ctx, "Harrow Coco")
	require.NoError(t, err)
	_, err = s.LearnFrom(ctx, "Harrow Soy")
	require.ErrorIs(t, err, ErrDamaged)
	assert.ErrorContains(t, err, "swatch 2 changed since it was kept")
}

// What is wrong in a store of before digests is said when it gets them, and by every
// check after; it opens all the same.
func TestDamageOfBeforeDigestsIsNotTakenForWhole(t *testing.T) {
	ctx, path := context.Background(), shape(t, 7)
	database(t, path, "UPDATE swatches SET lab_l = 4e30 WHERE id = 4; UPDATE waxes SET density_g_per_ml = -1")
	s := openAt(t, path)
	want := []string{"swatch 4 has a colour that cannot be"}
	assert.Subset(t, s.Doubted(), want)
	assert.ErrorContains(t, fmt.Errorf("%s", s.Doubted()[0]), "a wax cannot be as it is kept: ")
	again := openAt(t, path)
	assert.Empty(t, again.Doubted())
	found, err := again.Check(ctx, modelIsFine)
	require.NoError(t, err)
	assert.Equal(t, s.Doubted(), found.Problems)
}

// The cost of the digests of 100,000 swatches: compared all, and written with a card of
// twelve drops.
func BenchmarkDigests100k(b *testing.B) {
	ctx, s := context.Background(), hundredThousand(b)
	b.Run("compare", func(b *testing.B) {
		for b.Loop() {
			found, err := s.Altered(ctx)
			require.NoError(b, err)
			require.Empty(b, found)
		}
	})
	b.Run("check", func(b *testing.B) {
		for b.Loop() {
			_, err := s.Check(ctx, modelIsFine)
			require.NoError(b, err)
		}
	})
}
