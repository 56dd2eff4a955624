package rescue

import (
	"errors"
	"fmt"
	"math"

	"setshade/internal/calibrate"
	"setshade/internal/shade"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// Request is what the maker knows and wants.
type Request struct {
	Batch  wax.Batch
	Target Target
	// View is the piece of wax the target colour was taken from: thick for a
	// finished piece, or a drop on its card.
	View calibrate.View
	// PotG is the most the pot may hold in grams, everything counted; 0 when it
	// is large enough.
	PotG float64
	// ToleranceDE00 is the difference from the target that the maker accepts.
	ToleranceDE00 float64
}

// Answer is what to do and what comes of it.
type Answer struct {
	// SetAside is what to take out of the pot first; nil when nothing.
	SetAside *Stock
	// Start is what is in the pot before adding, what is set aside taken off;
	// After is what is in it when all is added.
	Start, After wax.Batch
	// AddUndyedG and AddFragranceG are the grams to add.
	AddUndyedG, AddFragranceG float64
	// From is the shade as it is, Reached the shade after adding.
	From, Reached shade.Shade
	// Wanted is the target colour.
	Wanted spectrum.Lab
	// MissDE00 is the difference that stays between Reached and Wanted.
	MissDE00 float64
	// Limits says in plain words what dilution cannot do here; empty when the
	// target is reached within the tolerance.
	Limits []string
}

// Stock is dyed wax set aside, with its own recipe so that it can be used.
type Stock struct {
	wax.Batch
	// TotalG is its mass with dye and fragrance.
	TotalG float64
}

// ErrNoDye is returned for a batch without dye: undyed wax cannot lighten it.
var ErrNoDye = errors.New("the batch has no dye in it, so undyed wax does not change it")

// Dilute answers a request. Doses outside those tested are answered and named
// in the shades' Untested.
func Dilute(m *calibrate.Model, r Request) (Answer, error) {
	if err := r.validate(); err != nil {
		return Answer{}, err
	}
	from, err := shade.Of(m, r.Batch.Recipe, r.View)
	if err != nil {
		return Answer{}, err
	}
	factor, wanted := 1-r.Target.lighterPercent/100, r.Target.colour
	if r.Target.lighterPercent == 0 {
		factor = nearestFactor(m, r.Batch.Recipe, r.View, wanted)
	}
	reached, err := shade.Of(m, r.Batch.Recipe.Scaled(factor), r.View)
	if err != nil {
		return Answer{}, err
	}
	if r.Target.lighterPercent > 0 {
		wanted = reached.Lab
	}
	a := Answer{From: from, Reached: reached, Wanted: wanted, MissDE00: spectrum.DE00(reached.Lab, wanted)}
	a.Start, a.SetAside = setAside(r.Batch, factor, r.PotG)
	a.After = diluted(a.Start, factor)
	a.AddUndyedG = a.After.UndyedG - a.Start.UndyedG
	a.AddFragranceG = a.After.FragranceG() - a.Start.FragranceG()
	if a.MissDE00 > r.ToleranceDE00 || factor < mostDilution {
		a.Limits = limits(from.Lab, reached.Lab, wanted, factor)
	}
	return a, nil
}

func (r Request) validate() error {
	if err := r.Batch.Validate(); err != nil {
		return err
	}
	if len(r.Batch.Recipe) == 0 {
		return ErrNoDye
	}
	if !r.Target.colour.IsFinite() {
		return errors.New("the target is not a colour")
	}
	if !(r.PotG >= 0) || math.IsInf(r.PotG, 1) {
		return fmt.Errorf("a pot of %g g cannot be; give what it holds in grams", r.PotG)
	}
	return nil
}

// diluted is the batch with undyed wax added until every dose has been
// multiplied by the factor; dye and load stay what they were.
func diluted(b wax.Batch, factor float64) wax.Batch {
	b.UndyedG /= factor
	b.Recipe = b.Recipe.Scaled(factor)
	return b
}

// setAside splits the batch so that what stays, once diluted, fills the pot and
// no more.
func setAside(b wax.Batch, factor, potG float64) (stays wax.Batch, aside *Stock) {
	whole := diluted(b, factor).TotalG()
	if potG == 0 || whole <= potG {
		return b, nil
	}
	stays, out := b, b
	stays.UndyedG = b.UndyedG * potG / whole
	out.UndyedG = b.UndyedG - stays.UndyedG
	return stays, &Stock{Batch: out, TotalG: out.TotalG()}
}

// The search covers dilutions up to a thousandfold.
const (
	leastFactor = 1e-3
	searchSteps = 300
)

// nearestFactor returns the factor in leastFactor..1 whose shade is nearest to
// the wanted colour: the best of an even search over log s, then golden-section
// search (Kiefer 1953, Proc. Am. Math. Soc. 4:502) between its neighbours.
func nearestFactor(m *calibrate.Model, recipe wax.Recipe, view calibrate.View, wanted spectrum.Lab) float64 {
	miss := func(logS float64) float64 {
		lab, err := m.Lab(recipe.Scaled(math.Exp(logS)), view)
		if err != nil {
			panic("rescue: the recipe was predicted before: " + err.Error())
		}
		return spectrum.DE00(lab, wanted)
	}
	step := math.Log(leastFactor) / searchSteps
	best, least := 0, miss(0)
	for i := 1; i <= searchSteps; i++ {
		if d := miss(float64(i) * step); d < least {
			best, least = i, d
		}
	}
	lower := float64(min(best+1, searchSteps)) * step
	upper := float64(max(best-1, 0)) * step
	at := goldenSection(miss, lower, upper)
	// An end of the range can be better than any point inside it.
	if miss(0) <= miss(at) {
		return 1
	}
	return math.Exp(at)
}

func goldenSection(f func(float64) float64, a, b float64) float64 {
	ratio := (math.Sqrt(5) - 1) / 2
	c, d := b-ratio*(b-a), a+ratio*(b-a)
	fc, fd := f(c), f(d)
	for b-a > 1e-9 {
		if fc < fd {
			b, d, fd = d, c, fc
			c = b - ratio*(b-a)
			fc = f(c)
		} else {
			a, c, fc = c, d, fd
			d = a + ratio*(b-a)
			fd = f(d)
		}
	}
	return (a + b) / 2
}
