package store

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// shape makes a store as the setshade of a version left it: its tables by the
// migrations up to there, its rows in that version's own SQL.
func shape(t *testing.T, version int) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "store.db")
	statements := ""
	for step := 1; step <= version; step++ {
		statements += migrations()[step-1]
		rows, err := os.ReadFile(filepath.Join("testdata", fmt.Sprintf("shape%d.sql", step)))
		require.NoError(t, err, "a released version needs its shape")
		statements += string(rows)
	}
	database(t, path, statements+fmt.Sprintf("PRAGMA application_id = %d; PRAGMA user_version = %d; PRAGMA journal_mode = WAL;", applicationID, version))
	card := []byte("bytes of old.jpg")
	require.NoError(t, photoFolderOf(path).put(hashOf(card), card))
	return path
}

// releasedShapes are the versions of a store that a released setshade wrote; a
// version that is not released yet has no old stores.
const releasedShapes = 7

// A store of each released version comes up to date with everything in it, and
// can be added to.
func TestMigrateFromEachReleasedShape(t *testing.T) {
	ctx := context.Background()
	for version := 1; version <= releasedShapes; version++ {
		t.Run(fmt.Sprintf("version %d", version), func(t *testing.T) {
			s := openAt(t, shape(t, version))
			found, err := s.Check(ctx, func([]byte) error { return nil })
			require.NoError(t, err)
			assert.Empty(t, found.Problems)
			assert.Equal(t, HighestVersion, found.Version)

			c, err := s.Contents(ctx)
			require.NoError(t, err)
			assert.Equal(t, []wax.Wax{soy()}, c.Waxes)
			assert.Equal(t, []wax.Dye{bracken(), slate()}, c.Dyes)
			assert.Equal(t, []wax.Mould{melt()}, c.Moulds)
			require.Len(t, c.Photos, 1)
			assert.Equal(t, "wax Harrow Soy", c.Photos[0].PlanText)
			assert.Equal(t, noon, c.Photos[0].RecordedAt)
			assert.NotZero(t, c.Photos[0].Card, "each photograph is of a card of its own")
			require.Equal(t, []int64{4, 6}, idsOf(c.Swatches))
			assert.Equal(t, wax.Recipe{{Dye: "Bracken", DoseGPerKg: 0.5}, {Dye: "Slate", DoseGPerKg: 0.125}}, c.Swatches[1].Recipe)
			assert.Equal(t, spectrum.Lab{L: 70.5, A: 9.75, B: 11.5}, c.Swatches[1].Colour.Lab)
			assert.True(t, c.Swatches[1].Check)
			if version >= 2 {
				require.Len(t, c.Learned, 1)
				assert.Equal(t, `{"version":1}`, string(c.Learned[0].Model))
			}
			if version >= 3 {
				require.Len(t, c.Batches, 1)
				assert.Equal(t, []Lot{{"Bracken", "B-07/25"}}, c.Batches[0].Lots)
				require.Len(t, c.Batches[0].Colours, 1)
				assert.EqualValues(t, 6, c.Batches[0].Colours[0].SwatchID)
				assert.Equal(t, 0.5, c.Batches[0].Colours[0].Promise.Drop.Within95)
			}
			p, first, second := c.Photos[0], c.Swatches[0], c.Swatches[1]
			if version < 4 {
				assert.False(t, p.Correction.IsKnown())
				assert.Nil(t, second.OverBlack)
			} else {
				assert.Equal(t, wax.Correction{Kind: "24-patch chart", Model: "matrix", Patches: 24, MedianDE00: 0.5, WorstDE00: 2, HeldOutDE00: 0.75}, p.Correction)
				assert.Equal(t, wax.Quality{LightRatio: 1.25, TintShift: 0.01, Noise: 0.004, EdgePx: 1.5}, p.Quality)
				assert.Equal(t, []any{"A5 print 1", 2, 1}, []any{p.Print, len(p.Patches), p.Patches.Sound()})
				assert.Equal(t, wax.Strip{{L: 38, A: 13.5, B: 14}}, p.Chart)
				assert.Equal(t, []any{true, 14.5}, []any{first.Thick, first.DiameterMM})
				assert.Equal(t, spectrum.Lab{L: 40, A: 1, B: 2}, second.OverBlack.Lab)
				assert.Equal(t, &spectrum.Lab{L: 12, A: 0.5, B: -0.5}, second.Bar)
				require.GreaterOrEqual(t, len(c.Strips), 2)
				assert.Equal(t, []StripKind{Anchor, Reference}, []StripKind{c.Strips[0].Kind, c.Strips[1].Kind})
				assert.Equal(t, []string{"A5 print 1", "A5 print 1"}, []string{c.Strips[0].Print, c.Strips[1].Print})
				assert.Equal(t, wax.Strip{{L: 94, A: 0.5, B: 1}}, c.Strips[1].Patches)
			}
			if version >= 5 {
				stearin := wax.Additive{Name: "Stearin", Percent: 2}
				assert.Equal(t, []wax.Additive{stearin, {Name: "Hardener", Percent: 0.5}}, c.Batches[0].Colours[0].Additives)
				require.Len(t, c.Stocks, 1)
				assert.Equal(t, []any{int64(3), "Harrow Soy", "jar on the left"}, []any{c.Stocks[0].Number, c.Stocks[0].Wax, c.Stocks[0].Note})
				assert.Equal(t, wax.Batch{
					UndyedG: 250.5, Load: wax.Load{Percent: 8, Per: wax.PerTotal}, Recipe: wax.Recipe{{Dye: "Slate", DoseGPerKg: 0.75}}, Additives: []wax.Additive{stearin},
				}, c.Stocks[0].Batch)
			}
			if version >= 6 {
				require.Len(t, c.Strips, 3)
				assert.Equal(t, "A5 print 2", c.Strips[2].Print)
			}
			if version >= 7 {
				assert.Equal(t, []float64{0, 0.45}, []float64{first.MassG, second.MassG})
			}
			assert.Equal(t, []int64{7, 8}, recordCard(t, s, "new.jpg", 2))
			added, err := s.Swatch(ctx, 7)
			require.NoError(t, err)
			assert.NotEqual(t, c.Photos[0].Card, added.Photo.Card)
		})
	}
}
