package store

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/plaintext"
	"setshade/internal/wax"
)

func TestShelfGivesBackEveryField(t *testing.T) {
	ctx, s := context.Background(), emptyStore(t)
	require.NoError(t, s.Waxes.Add(ctx, soy()))
	require.NoError(t, s.Dyes.Add(ctx, bracken()))
	require.NoError(t, s.Moulds.Add(ctx, melt()))

	again := openAt(t, s.Path())
	gotWax, err := again.Waxes.Get(ctx, "HARROW SOY")
	require.NoError(t, err)
	assert.Equal(t, soy(), gotWax)
	gotDye, err := again.Dyes.Get(ctx, "bracken")
	require.NoError(t, err)
	assert.Equal(t, bracken(), gotDye)
	gotMould, err := again.Moulds.Get(ctx, "six-CUP tray")
	require.NoError(t, err)
	assert.Equal(t, melt(), gotMould)
}

func TestWaxWithoutMaximumLoad(t *testing.T) {
	ctx, s := context.Background(), emptyStore(t)
	plain := wax.Wax{Name: "Plain", RefractiveIndex: 1.44, DensityGPerML: 0.9}
	require.NoError(t, s.Waxes.Add(ctx, plain))
	got, err := s.Waxes.Get(ctx, "Plain")
	require.NoError(t, err)
	assert.Equal(t, plain, got)
}

// What goes in comes out, for dyes of random numbers and names of many scripts.
func TestShelfProperty(t *testing.T) {
	ctx, s := context.Background(), emptyStore(t)
	random := rand.New(rand.NewPCG(6, 1))
	scripts := []string{"Farn", "Écru n° 3", "Вереск", "蓝靛", "🍂 leaf", "e\u0301cru", "x'; DROP TABLE dyes; --", "%_?"}
	var put []wax.Dye
	for i := range 120 {
		d := wax.Dye{
			Name:          fmt.Sprintf("%03d %s", i, scripts[random.IntN(len(scripts))]),
			Form:          wax.Forms()[random.IntN(5)],
			UnitMassG:     (0.1 + random.Float64()) * math.Pow(10, float64(random.IntN(8)-5)),
			MaxDoseGPerKg: random.Float64() * 1000,
			PricePerG:     random.ExpFloat64(),
			Lot:           scripts[random.IntN(len(scripts))],
		}
		require.NoError(t, s.Dyes.Add(ctx, d))
		d.Name = plaintext.Clean(d.Name)
		put = append(put, d)
	}
	got, err := s.Dyes.List(ctx)
	require.NoError(t, err)
	assert.Equal(t, put, got, "in order of name, bit for bit")
}

func TestListIsInOrderOfNameCaseAside(t *testing.T) {
	ctx, s := context.Background(), emptyStore(t)
	none, err := s.Moulds.List(ctx)
	require.NoError(t, err)
	assert.Empty(t, none)
	for _, name := range []string{"tart", "Brick", "anvil", "Cone"} {
		require.NoError(t, s.Moulds.Add(ctx, wax.Mould{Name: name, Cavities: 1, CavityML: 10}))
	}
	moulds, err := s.Moulds.List(ctx)
	require.NoError(t, err)
	var names []string
	for _, m := range moulds {
		names = append(names, m.Name)
	}
	assert.Equal(t, []string{"anvil", "Brick", "Cone", "tart"}, names)
}

func TestAddRefusesATakenName(t *testing.T) {
	ctx, s := context.Background(), stockedStore(t)
	again := slate()
	again.Name = "sLATE"
	err := s.Dyes.Add(ctx, again)
	require.ErrorIs(t, err, ErrExists)
	assert.EqualError(t, err, "there is already a dye called Slate; change that one, or choose another name")
	got, err := s.Dyes.Get(ctx, "Slate")
	require.NoError(t, err)
	assert.Equal(t, slate(), got)
}

func TestAddRefusesWhatCannotBe(t *testing.T) {
	ctx, s := context.Background(), emptyStore(t)
	for name, d := range map[string]wax.Dye{
		"NaN":          {Name: "A", Form: wax.Chip, UnitMassG: math.NaN()},
		"infinite":     {Name: "A", Form: wax.Chip, PricePerG: math.Inf(1)},
		"negative":     {Name: "A", Form: wax.Chip, MaxDoseGPerKg: -1},
		"unknown form": {Name: "A", Form: "paste"},
		"no name":      {Form: wax.Chip},
		"not UTF-8":    {Name: "A\xff", Form: wax.Chip},
		"NUL":          {Name: "A\x00B", Form: wax.Chip},
	} {
		assert.ErrorIs(t, s.Dyes.Add(ctx, d), ErrInvalid, name)
	}
	assert.Zero(t, count(t, s, "dyes"))
}

func TestUpdateReplacesAndRenames(t *testing.T) {
	ctx, s := context.Background(), stockedStore(t)
	ids, err := s.Record(ctx, photo("card.jpg"), []wax.Swatch{swatch(1, wax.Part{Dye: "Slate", DoseGPerKg: 1})})
	require.NoError(t, err)

	renamed := wax.Dye{Name: "Storm", Form: wax.Powder, Lot: "S 2"}
	require.NoError(t, s.Dyes.Update(ctx, "slate", renamed))
	got, err := s.Dyes.Get(ctx, "Storm")
	require.NoError(t, err)
	assert.Equal(t, renamed, got)
	sw, err := s.Swatch(ctx, ids[0].ID)
	require.NoError(t, err)
	assert.Equal(t, wax.Recipe{{Dye: "Storm", DoseGPerKg: 1}}, sw.Recipe, "the swatch follows")

	respelt := renamed
	respelt.Name = "STORM"
	assert.NoError(t, s.Dyes.Update(ctx, "Storm", respelt), "its own name in other case")
	assert.ErrorIs(t, s.Dyes.Update(ctx, "Storm", bracken()), ErrExists)
	assert.ErrorIs(t, s.Dyes.Update(ctx, "Slate", renamed), ErrNotFound)
}

func TestNotFoundListsWhatThereIs(t *testing.T) {
	ctx, s := context.Background(), emptyStore(t)
	_, err := s.Dyes.Get(ctx, "Fern")
	require.ErrorIs(t, err, ErrNotFound)
	assert.EqualError(t, err, `there is no dye called "Fern": there are no dyes in the store yet; add it first`)

	stock(t, s)
	_, err = s.Dyes.Get(ctx, "Fern")
	assert.EqualError(t, err, `there is no dye called "Fern"; the store has Bracken and Slate`)

	for i := range 20 {
		require.NoError(t, s.Dyes.Add(ctx, wax.Dye{Name: fmt.Sprintf("D%02d", i), Form: wax.Powder}))
	}
	_, err = s.Dyes.Get(ctx, "Fern")
	assert.EqualError(t, err, `there is no dye called "Fern"; the store has Bracken, D00, D01, D02, D03, D04, D05, D06 and 14 more`)
}

func TestRemoveRefusesWhatSwatchesUse(t *testing.T) {
	ctx, s := context.Background(), stockedStore(t)
	part := wax.Part{Dye: "Slate", DoseGPerKg: 1}
	recorded, err := s.Record(ctx, photo("card.jpg"), []wax.Swatch{swatch(1, part), swatch(2)})
	require.NoError(t, err)

	err = s.Dyes.Remove(ctx, "Slate")
	require.ErrorIs(t, err, ErrInUse)
	assert.EqualError(t, err, "the dye Slate cannot be removed while 1 swatch uses it; remove that swatch first")
	err = s.Waxes.Remove(ctx, "Harrow Soy")
	require.ErrorIs(t, err, ErrInUse)
	assert.EqualError(t, err, "the wax Harrow Soy cannot be removed while 2 swatches use it; remove those swatches first")

	assert.NoError(t, s.Dyes.Remove(ctx, "bracken"), "not in use")
	require.NoError(t, s.RemoveSwatches(ctx, recorded[0].ID, recorded[1].ID))
	assert.NoError(t, s.Dyes.Remove(ctx, "Slate"))
	assert.NoError(t, s.Waxes.Remove(ctx, "Harrow Soy"))
	assert.ErrorIs(t, s.Moulds.Remove(ctx, "none"), ErrNotFound)
}
