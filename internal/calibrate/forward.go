package calibrate

import (
	"math"

	"setshade/internal/optics"
	"setshade/internal/spectrum"
)

// film is a drop, or a thick piece, as the unknowns see it.
type film struct {
	parts   []spectrum.Spectrum // absorption A of the wax, then of each dye
	sum     spectrum.Spectrum   // of the parts
	ks      spectrum.Spectrum   // K/S = A (A/pivot)^(q-1)
	bend    float64             // q
	sx      float64             // +Inf for a thick piece
	gain    float64             // of the light at the surface
	backing spectrum.Spectrum
	surface optics.Surface
}

// pivot is the absorption that the bend leaves alone, at mid-strength, so that
// the bend and the levels of the curves do not stand in for each other.
const pivot = 0.3

func newFilm(theta []float64, mix []ingredient, backing spectrum.Spectrum, surface optics.Surface, thick bool) film {
	f := film{
		sx: math.Exp(theta[logSX]), gain: math.Exp(theta[logGain]), bend: theta[bend],
		backing: backing, surface: surface,
	}
	if thick {
		f.sx = math.Inf(1)
	}
	f.parts = append(f.parts, curve(theta[:knots]).Map(math.Exp))
	for _, in := range mix {
		f.parts = append(f.parts, absorption(theta[in.at:], in.logDose))
	}
	for _, part := range f.parts {
		for i := range f.sum {
			f.sum[i] += part[i]
		}
	}
	f.ks = f.sum.Map(func(a float64) float64 { return a * math.Pow(a/pivot, f.bend-1) })
	return f
}

// absorption is what a dye adds at log (dose / reference dose).
func absorption(unknowns []float64, logDose float64) spectrum.Spectrum {
	gain := unknowns[exponent] * logDose
	return curve(unknowns[:knots]).Map(func(v float64) float64 { return math.Exp(v + gain) })
}

// outer is the reflectance factor of the film seen through its surface.
func (f film) outer() spectrum.Spectrum {
	var r spectrum.Spectrum
	for i := range r {
		r[i] = f.gain * f.surface.Outside(optics.Film(f.ks[i], f.sx, f.backing[i]))
	}
	return r
}

// response is the colour of a film, and how it moves with those unknowns that
// it depends on.
type response struct {
	reflectance spectrum.Spectrum
	lab         spectrum.Lab
	index       []int        // the unknowns the colour depends on
	jacobian    [][3]float64 // d(L*, a*, b*) / d unknown, in the order of index
}

func (f film) respond(mix []ingredient) response {
	var out response
	var slopeA, slopeSX, slopeBend spectrum.Spectrum // of the outer reflectance factor
	for i := range f.ks {
		inner, slope := optics.FilmWithSlope(f.ks[i], f.sx, f.backing[i])
		out.reflectance[i] = f.gain * f.surface.Outside(inner)
		outer := f.gain * f.surface.OutsideSlope(inner)
		slopeA[i] = outer * slope.KS * f.bend * f.ks[i] / f.sum[i]
		slopeBend[i] = outer * slope.KS * f.ks[i] * math.Log(f.sum[i]/pivot)
		slopeSX[i] = outer * slope.SX
	}
	xyz, white := spectrum.D65.XYZ(out.reflectance), spectrum.D65.White()
	out.lab = xyz.Lab(white)
	toLab := labSlope(xyz, white)

	// Weighing first and summing last: every unknown needs its own sum.
	var weighed [spectrum.Bands][3]float64
	for i := range weighed {
		weighed[i] = toLab.times(spectrum.D65.Weights(i))
	}
	add := func(unknown int, slope func(band int) float64, from, to int) {
		var d [3]float64
		for i := from; i < to; i++ {
			s := slope(i)
			for c := range d {
				d[c] += weighed[i][c] * s
			}
		}
		out.index = append(out.index, unknown)
		out.jacobian = append(out.jacobian, d)
	}
	addCurve := func(at int, part *spectrum.Spectrum) {
		for j := range knots {
			add(at+j, func(i int) float64 { return slopeA[i] * part[i] * basis[i][j] }, support[j][0], support[j][1])
		}
	}
	addCurve(0, &f.parts[0])
	if !math.IsInf(f.sx, 1) {
		add(logSX, func(i int) float64 { return slopeSX[i] * f.sx }, 0, spectrum.Bands)
	}
	add(logGain, func(i int) float64 { return out.reflectance[i] }, 0, spectrum.Bands)
	add(bend, func(i int) float64 { return slopeBend[i] }, 0, spectrum.Bands)
	for n, in := range mix {
		part := &f.parts[1+n]
		addCurve(in.at, part)
		add(in.at+exponent, func(i int) float64 { return slopeA[i] * part[i] * in.logDose }, 0, spectrum.Bands)
	}
	return out
}

type matrix3 [3][3]float64

func (m matrix3) times(v [3]float64) [3]float64 {
	var out [3]float64
	for i := range out {
		out[i] = m[i][0]*v[0] + m[i][1]*v[1] + m[i][2]*v[2]
	}
	return out
}

// labSlope is d(L*, a*, b*) / d(X, Y, Z), the derivative of ISO/CIE 11664-4.
func labSlope(c, white spectrum.XYZ) matrix3 {
	fx, fy, fz := labFSlope(c.X/white.X)/white.X, labFSlope(c.Y/white.Y)/white.Y, labFSlope(c.Z/white.Z)/white.Z
	return matrix3{{0, 116 * fy, 0}, {500 * fx, -500 * fy, 0}, {0, 200 * fy, -200 * fz}}
}

// labFSlope is f'(t) of the CIELAB function f.
func labFSlope(t float64) float64 {
	const knee = 6.0 / 29
	if t > knee*knee*knee {
		return 1 / (3 * math.Cbrt(t*t))
	}
	return 1 / (3 * knee * knee)
}
