package batch_test

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/batch"
	"setshade/internal/wax"
)

// Worked by hand: 24 cavities of 50 ml and 5 % are 1260 ml. A gram of wax takes
// 1/0.9 ml and its 0.1 g of fragrance 0.1 ml, 1.21111 ml in all: 1040.37 g of
// wax, 104.04 g of fragrance.
func TestMouldsAreFilledByVolume(t *testing.T) {
	r := request(t)
	r.Colours = []batch.Colour{{}}
	s := planned(t, r)
	assert.InDelta(t, 1040.367, s.UndyedG, 1e-3)
	assert.InDelta(t, 104.0367, s.FragranceG, 1e-4)
	assert.InDelta(t, 1260, s.MoltenML, 1e-9)
	assert.InDelta(t, 104.0367, s.FragranceML, 1e-4)
	assert.InDelta(t, 1144.4037/1.05, s.PouredG, 1e-3)
	assert.InDelta(t, s.TotalG, s.PouredG+s.LossG, 1e-9)
	assert.Zero(t, s.DyeG)
}

// Ten pieces of 55 g at 10 % of wax, without dye and loss, are 500 g of wax and
// 50 g of fragrance; at 10 % of total they are 495 g and 55 g.
func TestPiecesAreFilledByMass(t *testing.T) {
	r := request(t)
	var err error
	r.Fill, err = batch.Pieces(10, 55)
	require.NoError(t, err)
	r.LossPercent, r.Colours = 0, []batch.Colour{{}}
	s := planned(t, r)
	assert.InDelta(t, 500, s.UndyedG, 1e-9)
	assert.InDelta(t, 50, s.FragranceG, 1e-9)
	r.Load.Per = wax.PerTotal
	s = planned(t, r)
	assert.InDelta(t, 495, s.UndyedG, 1e-9)
	assert.InDelta(t, 55, s.FragranceG, 1e-9)
}

// Scoops are undyed wax: six of 85 g are 510 g whatever the loss, and what is
// poured of it is less.
func TestScoopsAreTheUndyedWax(t *testing.T) {
	r := request(t)
	var err error
	r.Fill, err = batch.Scoops(6, 85)
	require.NoError(t, err)
	r.Colours = []batch.Colour{{}}
	s := planned(t, r)
	assert.InDelta(t, 510, s.UndyedG, 1e-9)
	assert.InDelta(t, 561/1.05, s.PouredG, 1e-9)
	assert.Zero(t, s.Cost.PerPiece, "scoops are not pieces")
	assert.Contains(t, s.Notes[1], "loss is taken out of them")
}

// Common practice, no source: 15 % of fragrance on 100 ml of wax is 15 ml. The
// trade's rule is by volume; it is also ours by mass where wax and fragrance
// have one density.
func TestFifteenPercentOnAHundredMillilitres(t *testing.T) {
	r := request(t)
	r.Load, r.LossPercent, r.Colours = wax.Load{Percent: 15, Per: wax.PerWax}, 0, []batch.Colour{{}}
	r.Fragrance.DensityGPerML = r.Wax.DensityGPerML
	var err error
	r.Fill, err = batch.Moulds(wax.Mould{Name: "Jar", Cavities: 1, CavityML: 115}, 1)
	require.NoError(t, err)
	s := planned(t, r)
	assert.InDelta(t, 100, s.UndyedG/r.Wax.DensityGPerML, 1e-9)
	assert.InDelta(t, 15, s.FragranceML, 1e-9)
}

// Common practice, no source: 15 % of 100 g is 15 g per wax, and 17.65 g per
// total, since 17.65 / 117.65 = 15 %.
func TestBothReadingsOfALoad(t *testing.T) {
	r := request(t)
	r.Load.Percent, r.Colours = 15, []batch.Colour{{}}
	var err error
	r.Fill, err = batch.Scoops(1, 100)
	require.NoError(t, err)
	s := planned(t, r)
	require.NotNil(t, s.Readings)
	assert.InDelta(t, 15, s.Readings.PerWaxG, 1e-12)
	assert.InDelta(t, 17.647, s.Readings.PerTotalG, 1e-3)
	assert.Equal(t, s.Readings.PerWaxG, s.FragranceG)
	for _, says := range []string{"15 % of the wax is 15.00 g", "15 % of the total is 17.65 g", "goes per wax"} {
		assert.Contains(t, s.Readings.Explained, says)
	}
	r.Load = wax.Load{}
	assert.Nil(t, planned(t, r).Readings, "no fragrance, nothing to explain")
}

// Common practice, no source: one part undyed to one part dyed halves every
// dose. The dye counted out for half the dose in twice the wax is the same.
func TestTwiceTheWaxTakesTheSameDyeAtHalfTheDose(t *testing.T) {
	r := request(t)
	for _, dye := range []string{"Bracken", "Slate", "Mallow"} {
		r.Colours = one(dye, 0.9)
		r.Fill, _ = batch.Scoops(8, 100)
		dyed := planned(t, r).Pots[0]
		r.Colours = one(dye, 0.45)
		r.Fill, _ = batch.Scoops(16, 100)
		halved := planned(t, r).Pots[0]
		assert.InDelta(t, dyed.Dyes[0].G, halved.Dyes[0].G, 1e-12)
		assert.InDelta(t, dyed.Recipe.Dose(dye)/2, halved.Recipe.Dose(dye), 1e-12)
	}
}

// Whatever is asked, nothing is made and nothing is lost: the pots are the
// whole, the moulds' volume is met, the load is kept, every step adds what the
// pots hold, and rounding stays within half a step.
func TestMassIsConserved(t *testing.T) {
	random := rand.New(rand.NewPCG(20, 5))
	const rounding = 1e-11
	for range 3000 {
		r := draw(t, random)
		s, err := batch.Plan(r.Request)
		require.NoError(t, err)

		var undyed, dye, fragrance, poured, lost, portions, cost float64
		for _, p := range s.Pots {
			undyed += p.UndyedG
			fragrance += p.FragranceG()
			poured += p.PouredG
			lost += p.LossG
			portions += p.Portions
			cost += p.Cost.Total()
			for _, m := range p.Dyes {
				dye += m.G
				assertRounded(t, r.Shelf, p, m)
			}
		}
		near := func(want, got float64, what string) {
			assert.InDelta(t, want, got, rounding*(1+s.TotalG), what)
		}
		near(undyed, s.UndyedG, "undyed wax")
		near(dye, s.DyeG, "dye")
		near(fragrance, s.FragranceG, "fragrance")
		near(undyed+dye+fragrance, s.TotalG, "the whole")
		near(s.TotalG, poured+lost, "poured and lost")
		near(poured*r.LossPercent/100, lost, "loss")
		near(cost, s.Cost.Total(), "cost")
		whole := s.UndyedG
		if r.Load.Per == wax.PerTotal {
			whole += s.FragranceG
		}
		near(r.Load.Percent/100*whole, s.FragranceG, "load")
		near(r.portions, portions, "portions")
		assertSteps(t, s)
	}
}

// drawn is a random request with what its fill was made of.
type drawn struct {
	batch.Request
	portions float64
	// mouldsML is what the moulds hold, piecesG what the pieces weigh; 0 when
	// the fill is another.
	mouldsML, piecesG float64
}

func draw(t testing.TB, random *rand.Rand) drawn {
	between := func(from, to float64) float64 { return from + (to-from)*random.Float64() }
	r := drawn{Request: request(t)}
	r.Wax.DensityGPerML = between(0.8, 1)
	r.Fragrance.DensityGPerML = between(0.8, 1.2)
	r.LossPercent = between(0, 20)
	r.Load = wax.Load{Percent: between(0, 13), Per: []wax.Convention{wax.PerWax, wax.PerTotal}[random.IntN(2)]}
	count := 1 + random.IntN(40)
	r.portions = float64(count)
	var err error
	switch random.IntN(3) {
	case 0:
		m := wax.Mould{Name: "Heart", Cavities: 1 + random.IntN(8), CavityML: between(5, 300)}
		r.Fill, err = batch.Moulds(m, count)
		r.portions *= float64(m.Cavities)
		r.mouldsML = r.portions * m.CavityML
	case 1:
		massG := between(5, 300)
		r.Fill, err = batch.Pieces(count, massG)
		r.piecesG = r.portions * massG
	case 2:
		r.Fill, err = batch.Scoops(float64(count), between(5, 300))
	}
	require.NoError(t, err)
	r.Colours = nil
	names := []string{"Dawn", "Noon", "Dusk", "Night"}[:1+random.IntN(4)]
	for _, name := range names {
		c := batch.Colour{Name: name, Portions: r.portions * random.Float64() / float64(len(names))}
		if random.IntN(3) == 0 {
			c.Portions = 0
		}
		for _, d := range shelf() {
			if random.IntN(3) == 0 {
				c.Recipe = append(c.Recipe, wax.Part{Dye: d.Name, DoseGPerKg: between(0.001, 4)})
			}
		}
		r.Colours = append(r.Colours, c)
	}
	return r
}

// assertRounded checks one dye against what a maker can measure, told here
// apart from the code: quarter chips, whole drops, 0.01 g.
func assertRounded(t *testing.T, shelf []wax.Dye, p batch.Pot, m batch.Measured) {
	t.Helper()
	var dye wax.Dye
	for _, d := range shelf {
		if d.Name == m.Dye {
			dye = d
		}
	}
	stepG := map[string]float64{"chip": dye.UnitMassG / 4, "drop": dye.UnitMassG, "g": 0.01}[m.Unit]
	require.NotZero(t, stepG)
	steps := m.G / stepG
	assert.InDelta(t, steps, float64(int(steps+0.5)), 1e-6, "%+v is a whole number of steps", m)
	assert.InDelta(t, m.AskedGPerKg*p.UndyedG/1000, m.AskedG, 1e-9)
	assert.InDelta(t, m.G/p.UndyedG*1000, m.ReachedGPerKg, 1e-9)
	assert.InDelta(t, m.ReachedGPerKg, p.Recipe.Dose(m.Dye), 1e-12)
	capped := dye.MaxDoseGPerKg > 0 && m.AskedGPerKg <= dye.MaxDoseGPerKg
	if capped {
		assert.LessOrEqual(t, m.ReachedGPerKg, dye.MaxDoseGPerKg*(1+1e-9))
	}
	if off := m.G - m.AskedG; off > -stepG/2*(1+1e-9) || !capped {
		assert.InDelta(t, m.AskedG, m.G, stepG/2*(1+1e-9), "%+v", m)
	} else {
		assert.Less(t, -off, stepG, "%+v was rounded down to stay within its maximum", m)
		assert.Greater(t, m.G+stepG, dye.MaxDoseGPerKg*p.UndyedG/1000*(1-1e-9))
	}
}

// assertSteps checks that the steps add what the pots hold, pot by pot.
func assertSteps(t *testing.T, s batch.Sheet) {
	t.Helper()
	added := map[batch.Kind]float64{}
	for _, step := range s.Steps {
		for _, a := range step.Adds {
			added[step.Kind] += a.G
		}
	}
	near := func(want float64, kind batch.Kind) {
		assert.InDelta(t, want, added[kind], 1e-11*(1+s.TotalG), string(kind))
	}
	near(s.UndyedG, batch.Heat)
	if len(s.Pots) > 1 {
		near(s.UndyedG, batch.Split)
	}
	near(s.DyeG, batch.AddDye)
	near(s.FragranceG, batch.AddFragrance)
}

// With the dyes as asked, every pot fills its share of the moulds' volume, or
// weighs its share of the pieces, with the loss on top, to the last drop.
func TestWhatIsAskedIsFilled(t *testing.T) {
	random := rand.New(rand.NewPCG(20, 6))
	for range 2000 {
		r := draw(t, random)
		for _, p := range planned(t, r.Request).Pots {
			asked := 0.0
			for _, m := range p.Dyes {
				asked += m.AskedG
			}
			g := p.UndyedG + asked + p.FragranceG()
			ml := (p.UndyedG+asked)/r.Wax.DensityGPerML + p.FragranceG()/r.Fragrance.DensityGPerML
			assert.InDelta(t, ml+(p.DyeG()-asked)/r.Wax.DensityGPerML, p.MoltenML, 1e-9*ml)
			share := p.Portions / r.portions * (1 + r.LossPercent/100)
			if r.mouldsML > 0 {
				assert.InEpsilon(t, r.mouldsML*share, ml, 1e-11)
			}
			if r.piecesG > 0 {
				assert.InEpsilon(t, r.piecesG*share, g, 1e-11)
			}
		}
	}
}
