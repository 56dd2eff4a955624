package batch_test

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/batch"
	"setshade/internal/wax"
)

func TestSplitOverColours(t *testing.T) {
	r := request(t)
	dose := wax.Recipe{{Dye: "Slate", DoseGPerKg: 1}}
	r.Colours = []batch.Colour{{Name: "Dawn", Recipe: dose, Portions: 6}, {Name: "Noon"}, {Name: "Dusk", Recipe: dose}}
	s := planned(t, r)
	require.Len(t, s.Pots, 3)
	assert.Equal(t, []float64{6, 9, 9}, []float64{s.Pots[0].Portions, s.Pots[1].Portions, s.Pots[2].Portions})
	assert.InDelta(t, s.Pots[2].UndyedG*6/9, s.Pots[0].UndyedG, 1e-9)
	assert.False(t, s.Pots[2].Leftover)

	r.Colours = []batch.Colour{{Name: "Dawn", Recipe: dose, Portions: 6}, {Name: "Noon", Portions: 10.5}}
	s = planned(t, r)
	require.Len(t, s.Pots, 3)
	assert.True(t, s.Pots[2].Leftover)
	assert.Equal(t, 7.5, s.Pots[2].Portions)
	assert.Empty(t, s.Pots[2].Recipe)
	assert.Contains(t, strings.Join(s.Notes, "\n"), "No colour takes 7.5 of the 24 pieces")

	r.Colours = []batch.Colour{{Recipe: dose, Portions: 20}}
	s = planned(t, r)
	assert.Equal(t, "Slate 1 g/kg", s.Pots[0].Name, "a pot beside another one has a name")

	third := 24.0 / 3
	r.Colours = []batch.Colour{{Name: "a", Portions: third}, {Name: "b", Portions: third}, {Name: "c", Portions: third}}
	assert.Len(t, planned(t, r).Pots, 3, "rounding leaves nothing over")
}

// 500 g of wax, by the scoop. 2 g/kg of Bracken is 1 g: 0.833 chips of 1.2 g,
// rounded to three quarters, 0.9 g, which is 1.8 g/kg.
func TestDyesInPracticalAmounts(t *testing.T) {
	for _, c := range []struct {
		dye     string
		dose    float64
		count   float64
		unit    string
		reached float64
		says    string
	}{
		{"Bracken", 2, 0.75, "chip", 1.8, ""},
		{"Slate", 1, 17, "drop", 1.02, ""},
		{"Slate", 1.99, 33, "drop", 1.98, ""},
		{"Slate", 2.4, 40, "drop", 2.4, "above its maximum of 2 g/kg"},
		{"Mallow", 0.513, 0.26, "g", 0.52, ""},
		{"Sorrel", 1.004, 0.50, "g", 1, "the mass of one chip is not recorded"},
		{"Bracken", 0.2, 0.1, "g", 0.2, "too little to count in chips"},
		{"Bracken", 0.005, 0, "g", 0, "so it is left out"},
	} {
		r := request(t)
		r.Fill, _ = batch.Scoops(5, 100)
		r.Colours = one(c.dye, c.dose)
		s := planned(t, r)
		m := s.Pots[0].Dyes[0]
		assert.InDelta(t, c.count, m.Count, 1e-12, "%+v", m)
		assert.Equal(t, c.unit, m.Unit)
		assert.InDelta(t, c.reached, m.ReachedGPerKg, 1e-9)
		assert.InDelta(t, c.dose, m.AskedGPerKg, 0)
		assert.Equal(t, c.count > 0, s.Pots[0].Recipe.Dose(c.dye) > 0)
		if c.says == "" {
			assert.Empty(t, m.Remarks)
			continue
		}
		assert.Contains(t, strings.Join(m.Remarks, "; "), c.says)
		assert.Contains(t, strings.Join(stepOf(t, s, batch.AddDye).Cautions, "\n"), c.says, "remarks stand at the step")
	}
}

// A dose at its maximum is not rounded above it: 2 g/kg in 520 g is 1.04 g,
// 34.67 drops of 0.03 g; 35 would be 2.019 g/kg.
func TestRoundingStaysWithinTheMaximum(t *testing.T) {
	r := request(t)
	r.Fill, _ = batch.Scoops(1, 520)
	r.Colours = one("Slate", 2)
	assert.Equal(t, 34.0, planned(t, r).Pots[0].Dyes[0].Count)
}

func TestMaximumLoadIsEnforced(t *testing.T) {
	r := request(t)
	r.Wax.MaxLoad = wax.Load{Percent: 10, Per: wax.PerWax}
	planned(t, r)
	r.Load = wax.Load{Percent: 10, Per: wax.PerTotal} // 11.1 % of wax
	_, err := batch.Plan(r)
	require.EqualError(t, err, "a fragrance load of 10 % of total is above the 10 % of wax that the supplier of Harrow Soy allows; give at most 9.09 % of total")
	r.Load.Percent = 9.09
	planned(t, r)
	r.Load.Percent = 9.1
	_, err = batch.Plan(r)
	require.Error(t, err)

	r.Wax.MaxLoad = wax.Load{Percent: 10, Per: wax.PerTotal}
	r.Load = wax.Load{Percent: 11.2, Per: wax.PerWax}
	_, err = batch.Plan(r)
	require.ErrorContains(t, err, "give at most 11.11 % of wax")

	r.Wax.MaxLoad = wax.Load{}
	assert.Contains(t, strings.Join(planned(t, r).Notes, "\n"), "maximum fragrance load of Harrow Soy is not recorded: ask the supplier")
}

func TestScheduleFollowsTheRecord(t *testing.T) {
	r := request(t)
	r.Colours = []batch.Colour{{Name: "Dawn", Recipe: wax.Recipe{{Dye: "Bracken", DoseGPerKg: 2}}, Portions: 12}}
	s := planned(t, r)
	var kinds []batch.Kind
	for _, step := range s.Steps {
		kinds = append(kinds, step.Kind)
		assert.NotEmpty(t, step.Do)
	}
	assert.Equal(t, []batch.Kind{batch.Heat, batch.Split, batch.AddDye, batch.Drip, batch.AddFragrance, batch.Stir, batch.Pour, batch.Set, batch.Cure}, kinds)
	for kind, at := range map[batch.Kind]string{batch.Heat: "95 °C", batch.AddDye: "95 °C", batch.AddFragrance: "60 °C", batch.Pour: "55 °C", batch.Stir: ""} {
		assert.Equal(t, at, stepOf(t, s, kind).At.String(), kind)
	}
	for kind, lasts := range map[batch.Kind]string{batch.Stir: "2.5 min", batch.Set: "3 h", batch.Cure: "48 h", batch.Heat: ""} {
		assert.Equal(t, lasts, stepOf(t, s, kind).Lasts.String(), kind)
	}
	for kind, starts := range map[batch.Kind]string{batch.Heat: "", batch.Pour: "0 h", batch.Set: "0 h", batch.Cure: "3 h"} {
		assert.Equal(t, starts, stepOf(t, s, kind).Starts.String(), kind)
	}
	assert.Equal(t, "51 h", s.Ready.String())
}

func TestWhatIsNotRecordedIsSaid(t *testing.T) {
	r := request(t)
	r.Wax.Bench = wax.Bench{}
	s := planned(t, r)
	for _, kind := range []batch.Kind{batch.Heat, batch.AddDye, batch.AddFragrance, batch.Pour} {
		assert.Equal(t, "not recorded: ask the supplier", stepOf(t, s, kind).At.String(), kind)
	}
	for _, kind := range []batch.Kind{batch.Stir, batch.Set, batch.Cure} {
		assert.Equal(t, batch.NotRecorded, stepOf(t, s, kind).Lasts.String(), kind)
	}
	assert.Equal(t, batch.NotRecorded, stepOf(t, s, batch.Cure).Starts.String())
	assert.Equal(t, batch.NotRecorded, s.Ready.String())
	assert.Equal(t, "0 h", stepOf(t, s, batch.Set).Starts.String(), "setting begins with pouring, whatever is recorded")
}

func TestUndyedWithoutFragranceHasFewerSteps(t *testing.T) {
	r := request(t)
	r.Load, r.Colours = wax.Load{}, []batch.Colour{{}}
	for _, step := range planned(t, r).Steps {
		assert.NotContains(t, []batch.Kind{batch.Split, batch.AddDye, batch.Drip, batch.AddFragrance}, step.Kind)
	}
}

func TestCautionsStandAtTheirSteps(t *testing.T) {
	r := request(t)
	s := planned(t, r)
	assert.Contains(t, stepOf(t, s, batch.Heat).Cautions, batch.HotWax)
	assert.Contains(t, stepOf(t, s, batch.Pour).Cautions, batch.HotWax)
	assert.Contains(t, stepOf(t, s, batch.AddDye).Cautions, batch.SkinAndPets)
	assert.Equal(t, []string{batch.FlashPoint, batch.SkinAndPets}, stepOf(t, s, batch.AddFragrance).Cautions)
	assert.NotContains(t, stepOf(t, s, batch.Pour).Cautions, batch.WickStays)

	r.Wicked, r.Fragrance.FlashPointC = true, 60
	s = planned(t, r)
	assert.Contains(t, stepOf(t, s, batch.Pour).Cautions, batch.WickStays)
	assert.Contains(t, strings.Join(stepOf(t, s, batch.AddFragrance).Cautions, "\n"), "flash point is 60 °C and the wax's record adds fragrance at 60 °C")

	r.Fragrance.FlashPointC, r.Wax.Bench.AddFragranceAtC, r.Wax.Bench.PourAtC = 50, 0, 55
	fragrance := strings.Join(stepOf(t, planned(t, r), batch.AddFragrance).Cautions, "\n")
	assert.Contains(t, fragrance, "flash point is 50 °C and the wax's record pours at 55 °C")
	assert.Contains(t, fragrance, "let it cool below the flash point first")
	assert.NotContains(t, fragrance, "adds fragrance at")

	r.Wicked, r.Fragrance.FlashPointC, r.Colours = false, 0, one("Frost", 3)
	s = planned(t, r)
	assert.Contains(t, stepOf(t, s, batch.Pour).Cautions, batch.WickStays)
	assert.Contains(t, strings.Join(stepOf(t, s, batch.AddFragrance).Cautions, "\n"), "flash point is not recorded")

	r.Wax.Bench.HeatToC = 50
	s = planned(t, r)
	assert.Contains(t, strings.Join(stepOf(t, s, batch.Heat).Cautions, "\n"), "heats to 50 °C and pours at 55 °C, which is hotter")
}

// Worked by hand: 1000 g of wax at 8 a kg, 100 g of fragrance at 0.05 a gram,
// 1.8 g of Bracken (a chip and a half) at 0.3 a gram.
func TestCost(t *testing.T) {
	r := request(t)
	r.Fill, _ = batch.Scoops(10, 100)
	r.Colours = one("Bracken", 1.8)
	c := planned(t, r).Cost
	assert.InDelta(t, 8, c.Wax, 1e-9)
	assert.InDelta(t, 5, c.Fragrance, 1e-9)
	assert.InDelta(t, 0.54, c.Dye, 1e-9)
	assert.InDelta(t, 13.54, c.Total(), 1e-9)
	assert.Empty(t, c.Unpriced)

	r.Fill, _ = batch.Pieces(20, 55.09)
	s := planned(t, r)
	assert.InDelta(t, s.Cost.Total()/20, s.Cost.PerPiece, 1e-12)
	assert.InDelta(t, s.Cost.PerPiece, s.Pots[0].Cost.PerPiece, 1e-12)

	r.Wax.PricePerKg, r.Fragrance.PricePerG = 0, 0
	r.Colours = []batch.Colour{{Name: "Dawn", Recipe: wax.Recipe{{Dye: "Mallow", DoseGPerKg: 1}}, Portions: 5}, {Name: "Dusk", Recipe: wax.Recipe{{Dye: "Bracken", DoseGPerKg: 1}}}}
	c = planned(t, r).Cost
	assert.Equal(t, []string{"Harrow Soy", "Mallow", "fragrance"}, c.Unpriced, "each is named once")
	assert.Equal(t, c.Dye, c.Total())
	assert.Positive(t, c.Dye)
}

func TestPlanRefuses(t *testing.T) {
	nan := math.NaN()
	for _, c := range []struct {
		name   string
		change func(*batch.Request)
		says   string
	}{
		{"no fill", func(r *batch.Request) { r.Fill = batch.Fill{} }, "give moulds, pieces or scoops"},
		{"bad wax", func(r *batch.Request) { r.Wax.DensityGPerML = nan }, "molten density"},
		{"negative loss", func(r *batch.Request) { r.LossPercent = -1 }, "a loss of -1 %"},
		{"NaN loss", func(r *batch.Request) { r.LossPercent = nan }, "between 0 and 50 %"},
		{"load of what", func(r *batch.Request) { r.Load.Per = "" }, "per wax or per total"},
		{"NaN load", func(r *batch.Request) { r.Load.Percent = nan }, "must lie between 0 and 50 %"},
		{"fragrance too dense", func(r *batch.Request) { r.Fragrance.DensityGPerML = 13.6 }, "between 0.5 and 1.5"},
		{"NaN density", func(r *batch.Request) { r.Fragrance.DensityGPerML = nan }, "between 0.5 and 1.5"},
		{"flash point", func(r *batch.Request) { r.Fragrance.FlashPointC = -3 }, "a flash point of -3"},
		{"fragrance price", func(r *batch.Request) { r.Fragrance.PricePerG = nan }, "price of the fragrance"},
		{"no colour", func(r *batch.Request) { r.Colours = nil }, "no colour"},
		{"unknown dye", func(r *batch.Request) { r.Colours = one("Sedge", 1) }, `no dye "Sedge" on the shelf; add it first`},
		{"negative dose", func(r *batch.Request) { r.Colours = one("Slate", -1) }, "the dose of Slate is -1"},
		{"same names", func(r *batch.Request) { r.Colours = []batch.Colour{{Name: "Dawn"}, {Name: "dawn"}} }, "two colours are named"},
		{"no names", func(r *batch.Request) { r.Colours = []batch.Colour{{}, {}} }, "a name of its own"},
		{"name that cannot be shown", func(r *batch.Request) { r.Colours = []batch.Colour{{Name: "\x1b[31m"}} }, "plain characters"},
		{"negative portions", func(r *batch.Request) { r.Colours[0].Portions = -2 }, "cannot take -2 portions"},
		{"too many portions", func(r *batch.Request) { r.Colours[0].Portions = 25 }, "the colours take 25 pieces and there are 24"},
		{"nothing left", func(r *batch.Request) {
			r.Colours = []batch.Colour{{Name: "Dawn", Portions: 24}, {Name: "Dusk"}}
		}, "nothing is left"},
		{"mica beside a wick", func(r *batch.Request) { r.Wicked, r.Colours = true, one("Frost", 1) }, "clogs a wick"},
		{"more than a pot can be", func(r *batch.Request) { r.Fill, _ = batch.Pieces(10000, 1e5) }, "the colour: a batch of"},
	} {
		r := request(t)
		c.change(&r)
		s, err := batch.Plan(r)
		require.ErrorContains(t, err, c.says, c.name)
		assert.Equal(t, batch.Sheet{}, s, c.name)
	}
}

func TestFillRefuses(t *testing.T) {
	heart := wax.Mould{Name: "Heart", Cavities: 6, CavityML: 50}
	for name, make := range map[string]func() (batch.Fill, error){
		"no mould":         func() (batch.Fill, error) { return batch.Moulds(wax.Mould{}, 1) },
		"no times":         func() (batch.Fill, error) { return batch.Moulds(heart, 0) },
		"too many times":   func() (batch.Fill, error) { return batch.Moulds(heart, 10001) },
		"no pieces":        func() (batch.Fill, error) { return batch.Pieces(0, 50) },
		"massless pieces":  func() (batch.Fill, error) { return batch.Pieces(5, 0) },
		"NaN pieces":       func() (batch.Fill, error) { return batch.Pieces(5, math.NaN()) },
		"negative scoops":  func() (batch.Fill, error) { return batch.Scoops(-1, 50) },
		"infinite scoops":  func() (batch.Fill, error) { return batch.Scoops(math.Inf(1), 50) },
		"unmeasured scoop": func() (batch.Fill, error) { return batch.Scoops(5, 0) },
	} {
		f, err := make()
		require.Error(t, err, name)
		assert.Equal(t, batch.Fill{}, f, name)
	}
}

func stepOf(t *testing.T, s batch.Sheet, kind batch.Kind) batch.Step {
	t.Helper()
	for _, step := range s.Steps {
		if step.Kind == kind {
			return step
		}
	}
	require.Fail(t, "there is no step", "%s", kind)
	return batch.Step{}
}
