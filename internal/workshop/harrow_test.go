package workshop

import (
	"bytes"
	"context"
	"fmt"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"setshade/internal/plan"
	"setshade/internal/scene"
	"setshade/internal/store"
	"setshade/internal/wax"
)

// noon is when everything in these tests happens.
var noon = time.Date(2026, 3, 1, 12, 0, 0, 0, time.UTC)

func openWorkshop(t testing.TB) *Workshop {
	t.Helper()
	s, err := store.Open(context.Background(), filepath.Join(t.TempDir(), "workshop.db"))
	require.NoError(t, err)
	t.Cleanup(func() { s.Close() })
	return &Workshop{Store: s, Now: func() time.Time { return noon }}
}

// bench is a workshop whose wax and dyes are invented and whose photographs
// are rendered by radiative transfer.
type bench struct {
	*Workshop
	t     testing.TB
	shelf *scene.Shelf
	seed  uint64
	cards int
}

func newBench(t testing.TB, soy *scene.Wax, seed uint64, dyes int) *bench {
	b := &bench{Workshop: openWorkshop(t), t: t, shelf: scene.RandomShelf(soy, seed, dyes), seed: seed}
	ctx := context.Background()
	require.NoError(t, b.Store.Waxes.Add(ctx, wax.Wax{Name: "Harrow Soy", RefractiveIndex: 1.44, DensityGPerML: 0.9}))
	for _, d := range b.shelf.Dyes {
		require.NoError(t, b.Store.Dyes.Add(ctx, wax.Dye{Name: d.Name, Form: wax.Powder}))
	}
	return b
}

// photograph renders a card of set drops, each card under its own light and
// angle, and returns it with its plan and the truth.
func (b *bench) photograph(check bool, recipes ...wax.Recipe) (Card, scene.Photo) {
	b.cards++
	const across = 4
	var rows [][]wax.Recipe
	for len(recipes) > across {
		rows, recipes = append(rows, recipes[:across]), recipes[across:]
	}
	rows = append(rows, recipes)
	n := float64(b.cards)
	picture := scene.Sheet{Shelf: b.shelf, Card: scene.WhiteCard(), State: wax.SetState, Rows: rows}.Photograph(scene.Options{
		Seed: b.seed*100 + uint64(b.cards), RotationDegrees: -9 + 3*n, TiltDegrees: 2 * n,
		LightRatio: 1.1 + 0.05*n, LightTint: 0.01 * n,
	})
	p := plan.Plan{Wax: "Harrow Soy", State: wax.SetState, Card: picture.Card}
	for _, row := range rows {
		p.Rows = append(p.Rows, len(row))
		for _, recipe := range row {
			d := plan.Drop{Number: len(p.Drops) + 1, Check: check}
			for _, part := range recipe {
				d.Parts = append(d.Parts, plan.Amount{Dye: part.Dye, Value: part.DoseGPerKg, Unit: plan.Gram})
			}
			p.Drops = append(p.Drops, d)
		}
	}
	var file bytes.Buffer
	require.NoError(b.t, picture.WriteJPEG(&file, 90))
	name := fmt.Sprintf("card-%d.jpg", b.cards)
	return Card{
		PhotoName: name, PlanName: strings.TrimSuffix(name, ".jpg") + ".plan",
		Photo: file.Bytes(), PlanText: plan.Format(p),
	}, picture
}

// record renders a card and records it, and returns the truth.
func (b *bench) record(check bool, recipes ...wax.Recipe) ([]wax.Swatch, scene.Photo) {
	b.t.Helper()
	card, truth := b.photograph(check, recipes...)
	r, err := b.Record(context.Background(), card)
	require.NoError(b.t, err)
	return r.Swatches, truth
}

func (b *bench) one(dye int, dose float64) wax.Recipe {
	return wax.Recipe{{Dye: b.shelf.Dyes[dye].Name, DoseGPerKg: dose}}
}

func (b *bench) two(d, e int, doseD, doseE float64) wax.Recipe {
	recipe, err := wax.NewRecipe(b.one(d, doseD)[0], b.one(e, doseE)[0])
	require.NoError(b.t, err)
	return recipe
}
