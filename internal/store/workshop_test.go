package store

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// Harrow Lane Wax is an invented workshop; its waxes, dyes, moulds and numbers
// are invented too.

var noon = time.Date(2025, 3, 4, 12, 30, 45, 123456789, time.UTC)

func soy() wax.Wax {
	return wax.Wax{
		Name: "Harrow Soy", RefractiveIndex: 1.441, DensityGPerML: 0.903,
		MaxLoad: wax.Load{Percent: 9.5, Per: wax.PerTotal}, PricePerKg: 7.25,
		Bench: wax.Bench{HeatToC: 85, AddFragranceAtC: 65, PourAtC: 57, StirMinutes: 2.5, SetHours: 3, CureHours: 48},
	}
}

func bracken() wax.Dye {
	return wax.Dye{Name: "Bracken", Form: wax.Chip, UnitMassG: 0.19, MaxDoseGPerKg: 12, PricePerG: 0.31, Lot: "B-07/25"}
}

func slate() wax.Dye { return wax.Dye{Name: "Slate", Form: wax.Liquid, UnitMassG: 0.031, Lot: "S 1"} }

func melt() wax.Mould { return wax.Mould{Name: "Six-cup tray", Cavities: 6, CavityML: 14.5} }

// swatch returns a valid drop; every number in it differs.
func swatch(drop int, parts ...wax.Part) wax.Swatch {
	d := float64(drop)
	return wax.Swatch{
		Wax: "Harrow Soy", State: wax.SetState, Recipe: parts, Drop: drop,
		Colour: spectrum.Measured{
			Lab: spectrum.Lab{L: 71.125 + d, A: -12.0625 + d/3, B: 33.3 - d/7},
			Cov: [3][3]float64{{0.04, 0.003, -0.002}, {0.003, 0.09, 0.011}, {-0.002, 0.011, 0.16}},
		},
		Card:   spectrum.Lab{L: 96.1 + d/100, A: 0.1, B: -0.2},
		AreaPx: 12345 + drop, AreaShare: 0.0123 + d/1e4,
		Notes: []string{"edge wet", `a "quoted" – note`},
	}
}

func photo(name string) Photo {
	return Photo{Name: name, Bytes: []byte("bytes of " + name), PlanText: "wax: Harrow Soy\n1: undyed\n", Reader: 3, RecordedAt: noon}
}

func openAt(t testing.TB, path string) *Store {
	t.Helper()
	s, err := Open(context.Background(), path)
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, s.Close()) })
	return s
}

func emptyStore(t testing.TB) *Store {
	t.Helper()
	return openAt(t, filepath.Join(t.TempDir(), "workshop.db"))
}

// stockedStore has one wax and two dyes on the shelf.
func stockedStore(t testing.TB) *Store {
	t.Helper()
	s := emptyStore(t)
	stock(t, s)
	return s
}

func stock(t testing.TB, s *Store) {
	t.Helper()
	ctx := context.Background()
	// transact works in a store of an older version too.
	require.NoError(t, s.transact(ctx, func(tx querier) error {
		return errors.Join(s.Waxes.add(ctx, tx, soy()), s.Dyes.add(ctx, tx, bracken()), s.Dyes.add(ctx, tx, slate()))
	}))
}

// recordCard records a photograph of drops with undyed wax, and returns ids.
func recordCard(t testing.TB, s *Store, name string, drops int) []int64 {
	t.Helper()
	var swatches []wax.Swatch
	for drop := 1; drop <= drops; drop++ {
		swatches = append(swatches, swatch(drop))
	}
	recorded, err := s.Record(context.Background(), photo(name), swatches)
	require.NoError(t, err)
	ids := make([]int64, len(recorded))
	for i, sw := range recorded {
		ids[i] = sw.ID
	}
	return ids
}

func count(t testing.TB, s *Store, table string) int {
	t.Helper()
	var n int
	require.NoError(t, s.db.QueryRow(fmt.Sprintf("SELECT count(*) FROM %s", table)).Scan(&n))
	return n
}
