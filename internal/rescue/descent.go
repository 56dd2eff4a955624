package rescue

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/optimize"

	"setshade/internal/calibrate"
	"setshade/internal/recipe"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// aim is a search for the dilution and the dyes of one set that come nearest to
// the target. Its unknowns are u = ln s and, for each dye of the set, the
// strength v it has beyond that of the diluted batch, so that absorption is
//
//	A(λ) = A₀(λ) + Σ_d k_d(λ) g_d(s c₀_d) + Σ_set k_d(λ) v_d
//
// with g the strengths of calibrate.Palette; u lies between ln of the least
// share and 0, v between 0 and what the maximum dose leaves.
type aim struct {
	*quest
	set  []colour
	held []colour // the batch's dyes
	low  float64  // the least u
}

// point is a place in the search with its colour.
type point struct {
	u    float64
	v    [mostAdded]float64
	lab  spectrum.Lab
	de00 float64
}

// aim finds the point of a set of dyes that comes nearest to the target.
func (q *quest) aim(set []colour, leastShare float64) point {
	a := q.newAim(set, leastShare)
	if len(set) == 0 {
		return point{u: a.dilution()}
	}
	best := a.screened()
	if best.de00 < inReach {
		return best
	}
	for _, start := range a.starts() {
		if p := a.descend(start, descentRounds); p.de00 < best.de00 {
			best = p
		}
	}
	return a.polish(best)
}

// descentRounds are more than a descent takes.
const descentRounds = 200

// inReach is the difference from the target, in dE00, of a point that is at it.
const inReach = 1e-6

// screened is what descents from the nearest points of each dye alone come to: most
// often the nearest of the pair, and in a fraction of the time.
func (a *aim) screened() point {
	const rounds = 10
	best := a.descend(a.at(0, [mostAdded]float64{}), rounds)
	for i, c := range a.set {
		alone, ok := a.alone[c.Name]
		if !ok || len(a.set) == 1 || best.de00 < inReach {
			continue
		}
		var v [mostAdded]float64
		v[i] = alone.v[0]
		if p := a.descend(a.at(alone.u, v), rounds); p.de00 < best.de00 {
			best = p
		}
	}
	return best
}

func (q *quest) newAim(set []colour, leastShare float64) *aim {
	a := &aim{quest: q, set: set, low: math.Log(leastShare)}
	if len(set) == 0 {
		return a
	}
	for _, p := range q.Batch.Recipe {
		learned, _ := q.palette.Colourant(p.Dye)
		a.held = append(a.held, colour{Dye: wax.Dye{Name: p.Dye}, Colourant: learned})
	}
	return a
}

// polish goes on from a point out of reach without slopes, by Nelder and Mead's
// simplex (1965, Comput. J. 7:308): CIEDE2000 has kinks at opposite hues, where a
// descent by slopes stops on a valley's floor.
func (a *aim) polish(p point) point {
	if p.de00 < inReach {
		return p
	}
	place := func(x []float64) point {
		v := p.v
		for i := range a.set {
			v[i] = x[1+i] * a.set[i].mostG
		}
		return a.at(x[0], v)
	}
	x := []float64{p.u}
	for i, c := range a.set {
		x = append(x, p.v[i]/c.mostG)
	}
	settings := &optimize.Settings{Converger: &optimize.FunctionConverge{Absolute: 1e-10, Iterations: 60}, FuncEvaluations: 2000}
	method := &optimize.NelderMead{SimplexSize: 0.02}
	for range 3 {
		result, err := optimize.Minimize(optimize.Problem{Func: func(x []float64) float64 { return place(x).de00 }}, x, settings, method)
		if err != nil || result.F >= p.de00 {
			return p
		}
		p, x = place(result.X), result.X
	}
	return p
}

// mix is the recipe of a point.
func (q *quest) mix(p point, set []colour) wax.Recipe {
	s := math.Exp(p.u)
	doses := map[string]float64{}
	for _, part := range q.Batch.Recipe {
		doses[part.Dye] = s * part.DoseGPerKg
	}
	for i, c := range set {
		if p.v[i] > 0 {
			doses[c.Name] = c.DoseGPerKg(c.Strength(doses[c.Name]) + p.v[i])
		}
	}
	var after wax.Recipe
	for dye, dose := range doses {
		after = append(after, wax.Part{Dye: dye, DoseGPerKg: dose})
	}
	slices.SortFunc(after, func(a, b wax.Part) int { return cmp.Compare(a.Dye, b.Dye) })
	return after
}

// baseline is the strength that the diluted batch has of a dye.
func (a *aim) baseline(c colour, u float64) float64 {
	return c.Strength(math.Exp(u) * a.Batch.Recipe.Dose(c.Name))
}

// at puts the colour to a point, its unknowns brought within their bounds.
func (a *aim) at(u float64, v [mostAdded]float64) point {
	p := point{u: min(max(u, a.low), 0), v: v}
	for i, c := range a.set {
		p.v[i] = min(max(v[i], 0), max(0, c.mostG-a.baseline(c, p.u)))
	}
	absorption := a.absorption(p)
	p.lab = a.palette.Lab(&absorption)
	p.de00 = spectrum.DE00(p.lab, a.wanted)
	return p
}

func (a *aim) absorption(p point) spectrum.Spectrum {
	sum := a.palette.Undyed()
	for _, c := range a.held {
		g := a.baseline(c, p.u)
		for i, k := range c.Absorption {
			sum[i] += k * g
		}
	}
	for j, c := range a.set {
		for i, k := range c.Absorption {
			sum[i] += k * p.v[j]
		}
	}
	return sum
}

// starts is an even search over all unknowns: the nearest point of each of
// several dilutions.
func (a *aim) starts() []point {
	const dilutions = 9
	levels := []float64{0, 0.01, 0.05, 0.2, 0.6}
	others := []float64{0}
	if len(a.set) == mostAdded {
		others = levels
	}
	var out []point
	for i := range dilutions {
		u := a.low * float64(i) / (dilutions - 1)
		best := a.at(u, [mostAdded]float64{})
		for _, first := range levels {
			for _, second := range others {
				v := [mostAdded]float64{first * a.set[0].mostG, second * a.set[len(a.set)-1].mostG}
				if p := a.at(u, v); p.de00 < best.de00 {
					best = p
				}
			}
		}
		out = append(out, best)
		if a.low == 0 {
			break
		}
	}
	return out
}

// descend goes down from a point by the damped Gauss-Newton method of Levenberg
// 1944 and Marquardt 1963 on dE00²/2, with unknowns at a bound held there while
// the gradient pushes outward, for so many rounds at most. The slopes of the colour are
// analytic.
func (a *aim) descend(p point, rounds int) point {
	damping := 1e-3
	for range rounds {
		gradient, hessian := a.slopes(p)
		moved := false
		for ; damping < 1e8 && !moved; damping *= 4 {
			if next := a.step(p, gradient, hessian, damping); next.de00 < p.de00 {
				if p.de00-next.de00 < 1e-11 {
					return next
				}
				p, moved = next, true
				damping = max(damping/40, 1e-12)
			}
		}
		if !moved || p.de00 < 1e-9 {
			return p
		}
	}
	return p
}

// slopes returns gradient and Gauss-Newton Hessian of dE00²/2 in (u, v).
func (a *aim) slopes(p point) ([]float64, *mat.SymDense) {
	// d A / d u = Σ k_d p_d g_d(s c₀_d), with p_d the exponent.
	var diluting calibrate.Colourant
	for _, c := range a.held {
		g := c.Exponent * a.baseline(c, p.u)
		for i, k := range c.Absorption {
			diluting.Absorption[i] += k * g
		}
	}
	directions := []calibrate.Colourant{diluting}
	for _, c := range a.set {
		directions = append(directions, c.Colourant)
	}
	absorption := a.absorption(p)
	_, per := a.palette.LabWithSlopes(&absorption, directions)
	return recipe.Slopes00(a.wanted, p.lab, per)
}

// step takes a damped step of the unknowns that are free to move, cut off at
// their bounds.
func (a *aim) step(p point, gradient []float64, hessian *mat.SymDense, damping float64) point {
	var free []int
	for j, g := range gradient {
		at, low, high := p.u, a.low, 0.0
		if j > 0 {
			at, low, high = p.v[j-1], 0, max(0, a.set[j-1].mostG-a.baseline(a.set[j-1], p.u))
		}
		if !(at <= low && g >= 0 || at >= high && g <= 0) {
			free = append(free, j)
		}
	}
	u, v := p.u, p.v
	for r, dx := range recipe.NewtonStep(gradient, hessian, free, damping) {
		if j := free[r]; j == 0 {
			u += dx
		} else {
			v[j-1] += dx
		}
	}
	return a.at(u, v)
}
