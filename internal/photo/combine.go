package photo

import (
	"fmt"
	"slices"

	"gonum.org/v1/gonum/mat"

	"setshade/internal/english"
	"setshade/internal/picture"
	"setshade/internal/rank"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

func (r Reading) kindOfLight() wax.Light {
	if r.UnderLamp != "" {
		return wax.LampLight
	}
	return r.Light
}

// Combined is what several photographs of one card tell together.
type Combined struct {
	// Colours are those of the drops, in the order of the readings.
	Colours []spectrum.Measured
	// Notes say what the photographs could not tell, in plain words.
	Notes []string
}

// How far two photographs of one card may differ in a middling drop, in dE00, before
// they are taken for photographs of two cards. Light that one of them mirrors moves
// drops by up to 6 (an overcast sky, see Combine).
const otherCardDE00 = 8

// Combine joins readings of one card in one state. Each is a Gaussian over the L*, a*
// and b* of all drops at once, of mean x and covariance S (Reading.Joint), so that what
// its drops have alike, such as the level of the mirrored room, stays alike. With m
// photographs in the same kind of light as a reading's own, it tells
//
//	P = Σ S⁻¹ / m        x = P⁻¹ Σ S⁻¹ x / m
//
// which is the product of the Gaussians between lights, and covariance intersection
// within one light: there errors may be wholly the same, and a second photograph
// narrows nothing (Julier and Uhlmann, "A non-divergent estimation algorithm in the
// presence of unknown correlations", 1997). A light that is not told may be that of any
// other. Where readings lie further apart than their covariances allow, that of the
// result grows in the same proportion (R. T. Birge, "The calculation of errors by the
// method of least squares", Phys. Rev. 40, 207, 1932).
//
// It gives a *picture.Refusal for photographs under a lamp and in daylight, which show
// other colours; for such as do not show the same drops; and for drops so unlike that
// they are of another card. It panics without a reading.
func Combine(readings ...Reading) (Combined, error) {
	if len(readings) == 0 {
		panic("photo: Combine without a reading")
	}
	if err := combinable(readings); err != nil {
		return Combined{}, err
	}
	n := 3 * len(readings[0].Drops)
	told, pull := mat.NewSymDense(n, nil), mat.NewVecDense(n, nil)
	tells := make([]*mat.SymDense, len(readings))
	for i, r := range readings {
		information, err := r.information()
		if err != nil {
			return Combined{}, err
		}
		information.ScaleSym(1/float64(inLightOf(r, readings)), information)
		told.AddSym(told, information)
		var pulled mat.VecDense
		pulled.MulVec(information, r.stacked())
		pull.AddVec(pull, &pulled)
		tells[i] = information
	}
	var factor mat.Cholesky
	var mean mat.VecDense
	var joint mat.SymDense
	if !factor.Factorize(told) || factor.SolveVecTo(&mean, pull) != nil || factor.InverseTo(&joint) != nil {
		return Combined{}, errJoint
	}
	apart, weights, squares := 0.0, 0.0, 0.0
	for i, r := range readings {
		var miss mat.VecDense
		miss.SubVec(r.stacked(), &mean)
		apart += mat.Inner(&miss, tells[i], &miss)
		weight := 1 / float64(inLightOf(r, readings))
		weights, squares = weights+weight, squares+weight*weight
	}
	// What apart is expected to be of independent readings of one covariance.
	if expected := float64(n) * (weights - squares/weights); apart > expected && len(readings) > 1 {
		joint.ScaleSym(apart/expected, &joint)
	}
	out := Combined{Colours: make([]spectrum.Measured, n/3)}
	for d := range out.Colours {
		c := &out.Colours[d]
		c.Lab = spectrum.Lab{L: mean.AtVec(3 * d), A: mean.AtVec(3*d + 1), B: mean.AtVec(3*d + 2)}
		for i := range 3 {
			for j := range 3 {
				c.Cov[i][j] = joint.At(3*d+i, 3*d+j)
			}
		}
	}
	if len(readings) > 1 && lightsOf(readings) == 1 {
		out.Notes = append(out.Notes, "all photographs of the card may have been taken in light of one kind, which they mirror alike, be the card turned or not: together they are no surer of how light a drop is. One more under a black sheet, or by a window and one under an overcast sky, would tell (setshade help photograph)")
	}
	return out, nil
}

var errJoint = fmt.Errorf("the errors of the drops cannot be told apart; record the photographs as those of several cards")

// combinable refuses readings that do not show the same drops in the same colours.
func combinable(readings []Reading) error {
	first := readings[0]
	for i, r := range readings[1:] {
		switch {
		case (r.kindOfLight() == wax.LampLight) != (first.kindOfLight() == wax.LampLight):
			return picture.Refuse("photograph the card again in the light of the first", "photographs of one card were taken under a lamp and in daylight, under which wax has other colours: they cannot be combined")
		case !slices.EqualFunc(r.Drops, first.Drops, func(a, b Drop) bool { return a.Number == b.Number }):
			return picture.Refuse("photograph the card so that all its drops are read, or record it as another card",
				"photograph %d shows %s, the first %s: it is not the same card, or the same part of it", i+2, english.Count(len(r.Drops), "drop", "drops"), english.Count(len(first.Drops), "drop", "drops"))
		}
		var apart []float64
		for k, d := range r.Drops {
			apart = append(apart, spectrum.DE00(d.Colour.Lab, first.Drops[k].Colour.Lab))
		}
		if len(apart) > 0 && rank.Median(apart) > otherCardDE00 {
			return picture.Refuse("record it as another card, or photograph the same card the same way up",
				"photograph %d shows drops %.0f dE00 from those of the first: it is another card, or lies another way up", i+2, rank.Median(apart))
		}
	}
	return nil
}

// inLightOf counts the readings whose light may be that of r.
func inLightOf(r Reading, readings []Reading) int {
	n := 0
	for _, other := range readings {
		if other.kindOfLight() == r.kindOfLight() || other.kindOfLight() == wax.UntoldLight || r.kindOfLight() == wax.UntoldLight {
			n++
		}
	}
	return n
}

// lightsOf counts the kinds of light that are surely not each other's.
func lightsOf(readings []Reading) int {
	seen := map[wax.Light]bool{}
	for _, r := range readings {
		seen[r.kindOfLight()] = true
	}
	delete(seen, wax.UntoldLight)
	return max(1, len(seen))
}

// stacked are L*, a* and b* of all drops.
func (r Reading) stacked() *mat.VecDense {
	var x []float64
	for _, d := range r.Drops {
		lab := d.Colour.Lab.Vector()
		x = append(x, lab[:]...)
	}
	return mat.NewVecDense(len(x), x)
}

// information is the inverse of the joint covariance, which without a Joint is that of
// drops that have no error alike.
func (r Reading) information() (*mat.SymDense, error) {
	joint := r.Joint
	if joint == nil {
		joint = mat.NewSymDense(3*len(r.Drops), nil)
		for d, drop := range r.Drops {
			for i := range 3 {
				for j := range 3 {
					joint.SetSym(3*d+i, 3*d+j, drop.Colour.Cov[i][j])
				}
			}
		}
	}
	var factor mat.Cholesky
	var information mat.SymDense
	if !factor.Factorize(joint) || factor.InverseTo(&information) != nil {
		return nil, errJoint
	}
	return &information, nil
}
