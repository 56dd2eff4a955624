package batch_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/batch"
	"setshade/internal/wax"
)

// Worked by hand: ten pieces of 56.5 g with 10 % fragrance and 3 % stearin of
// the wax are 565 g, 1.13 g a gram of wax: 500 g of wax, 50 g of fragrance, 15 g
// of stearin, which is melted with the wax.
func TestAdditivesAreMeltedWithTheWax(t *testing.T) {
	r := request(t)
	var err error
	r.Fill, err = batch.Pieces(10, 56.5)
	require.NoError(t, err)
	r.LossPercent, r.Colours = 0, []batch.Colour{{Name: "Dawn", Portions: 4}, {Name: "Dusk", Portions: 6}}
	r.Additives = []wax.Additive{{Name: "Stearin", Percent: 3}}
	s := planned(t, r)
	assert.InDelta(t, 500, s.UndyedG, 1e-9)
	assert.InDelta(t, 50, s.FragranceG, 1e-9)
	assert.InDelta(t, 15, s.AdditivesG, 1e-9)
	assert.InDelta(t, 565, s.TotalG, 1e-9)
	assert.InDelta(t, 565, s.PouredG, 1e-9)
	assert.InDelta(t, 515/0.9+50, s.MoltenML, 1e-9)

	require.Equal(t, batch.Heat, s.Steps[0].Kind)
	require.Len(t, s.Steps[0].Adds, 2)
	assert.InDelta(t, 15, s.Steps[0].Adds[1].G, 1e-9)
	require.Equal(t, batch.Split, s.Steps[1].Kind)
	assert.InDelta(t, 206, s.Steps[1].Adds[0].G, 1e-9, "200 g of wax with 6 g of stearin")
	assert.Contains(t, s.Cost.Unpriced, "Stearin")

	r.Additives = append(r.Additives, wax.Additive{Name: "stearin", Percent: 1})
	_, err = batch.Plan(r)
	assert.ErrorContains(t, err, "twice")
}

// Moulds are filled by volume, so an additive takes the place of wax: it weighs
// 3 % of a gram of wax, and fills as much as wax of its mass.
func TestAdditivesFillMoulds(t *testing.T) {
	r := request(t)
	r.Colours, r.Load = []batch.Colour{{}}, wax.Load{}
	plain := planned(t, r)
	r.Additives = []wax.Additive{{Name: "Stearin", Percent: 3}}
	s := planned(t, r)
	assert.InDelta(t, plain.MoltenML, s.MoltenML, 1e-9)
	assert.InDelta(t, plain.TotalG, s.TotalG, 1e-9)
	assert.InDelta(t, plain.UndyedG/1.03, s.UndyedG, 1e-9)
}

// Common practice, no source: 150 % on a cost of 2 is a price of 5. Cost: ten
// pieces of 55 g are 500 g of wax at 8 a kg and 50 g of fragrance at 0.05 a gram,
// 6.50 in all, 0.65 a piece; with 150 % on it 1.625.
func TestSellingPriceIsOnTheCostOfAPiece(t *testing.T) {
	r := request(t)
	var err error
	r.Fill, err = batch.Pieces(10, 55)
	require.NoError(t, err)
	r.LossPercent, r.Colours = 0, []batch.Colour{{}}
	assert.Zero(t, planned(t, r).Cost.Selling)
	r.MarkupPercent = 150
	s := planned(t, r)
	assert.InDelta(t, 0.65, s.Cost.PerPiece, 1e-9)
	assert.InDelta(t, 1.625, s.Cost.Selling, 1e-9)

	r.MarkupPercent = -1
	_, err = batch.Plan(r)
	assert.ErrorContains(t, err, "on the cost cannot be")
	r.MarkupPercent = 150
	r.Fill, err = batch.Scoops(3, 85)
	require.NoError(t, err)
	_, err = batch.Plan(r)
	assert.ErrorContains(t, err, "scoops are not pieces")
}
