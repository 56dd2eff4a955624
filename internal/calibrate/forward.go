package calibrate

import (
	"math"

	"setshade/internal/optics"
	"setshade/internal/spectrum"
)

// film is a piece of wax as the unknowns see it.
type film struct {
	piece
	media
	parts   []spectrum.Spectrum // absorption A of the wax, then of each dye, in this state
	sum     spectrum.Spectrum   // of the parts
	scatter []spectrum.Spectrum // of each dye, over that of the wax; nil when it dissolves
	dense   spectrum.Spectrum   // σ: scattering of all over that of the wax
	ratio   spectrum.Spectrum   // A/σ
	ks      spectrum.Spectrum   // set: K/S of that
	depth   spectrum.Spectrum   // set: S·X, +Inf when thick; liquid: optical depth per A
	bend    bending
	gain    float64 // of the light at the surface
}

// logNM is log (λ / 550 nm), over which scattering falls evenly.
var logNM = spectrum.Sample(func(nm float64) float64 { return math.Log(nm / 550) })

// valueAt is an unknown, or its usual value 0 when it is absent.
func valueAt(theta []float64, place int) float64 {
	if place == absent {
		return 0
	}
	return theta[place]
}

func (l layout) film(theta []float64, p piece, m media) film {
	f := film{piece: p, media: m, bend: bendingOf(theta[bend]), gain: math.Exp(theta[logGain])}
	logDepth, waxRatio := theta[logSX], 0.0
	if p.liquid {
		logDepth, waxRatio = valueAt(theta, l.liquidScale), valueAt(theta, l.liquidRatio)
		f.gain = math.Exp(valueAt(theta, l.liquidGain))
	}
	f.parts = append(f.parts, curve(theta[:knots]).Map(func(v float64) float64 { return level(v + waxRatio) }))
	for _, in := range p.mix {
		strength := theta[in.at+exponent] * in.logDose
		f.scatter = append(f.scatter, scattering(theta, in, strength))
		if p.liquid {
			strength += valueAt(theta, in.liquidRatio)
		}
		f.parts = append(f.parts, absorption(theta[in.at:], strength))
	}
	f.dense = spectrum.Flat(1)
	for _, part := range f.parts {
		for i := range f.sum {
			f.sum[i] += part[i]
		}
	}
	for n, in := range p.mix {
		if in.scatter != absent {
			for i := range f.dense {
				f.dense[i] += f.scatter[n][i]
			}
		}
	}
	logDepth += p.thicker + valueAt(theta, p.card) + valueAt(theta, p.own)
	for i := range f.ks {
		f.ratio[i] = f.sum[i] / f.dense[i]
		f.ks[i] = f.bend.ks(f.ratio[i])
		f.depth[i] = level(logDepth - theta[hidingSlope]*logNM[i])
		if !p.liquid {
			f.depth[i] *= f.dense[i]
		}
	}
	if p.thick {
		f.depth = spectrum.Flat(math.Inf(1))
	}
	return f
}

// absorption is what a dye adds at a log strength over its reference dose.
func absorption(unknowns []float64, strength float64) spectrum.Spectrum {
	return curve(unknowns[:knots]).Map(func(v float64) float64 { return level(v + strength) })
}

// level is exp(log) within what shows: beyond, wax is black or clear to every
// digit, and products of levels still fit a number.
func level(log float64) float64 { return math.Exp(min(max(log, -100), 100)) }

// scattering is what a dye adds to the scattering, over that of the wax.
func scattering(theta []float64, in ingredient, strength float64) spectrum.Spectrum {
	if in.scatter == absent {
		return spectrum.Spectrum{}
	}
	at, slope := theta[in.scatter+scatterLevel], theta[in.scatter+scatterSlope]
	return logNM.Map(func(x float64) float64 { return level(at - slope*x + strength) })
}

// outer is the reflectance factor of the film seen through its surface.
func (f *film) outer() spectrum.Spectrum {
	var r spectrum.Spectrum
	for i := range r {
		if f.liquid {
			r[i] = f.gain * f.layer.Reflectance(f.depth[i]*f.sum[i], f.backing[i])
		} else {
			r[i] = f.gain * f.surface.Outside(optics.Film(f.ks[i], f.depth[i], f.backing[i]))
		}
	}
	return r
}

// bandSlopes are the derivatives of the outer reflectance factor in one band.
type bandSlopes struct {
	reflectance float64
	absorbed    float64 // per absorption A
	depth       float64 // per log depth
	dense       float64 // per log σ
	bend        float64
}

func (f *film) slopes(i int) bandSlopes {
	if f.liquid {
		r, slope := f.layer.ReflectanceWithSlope(f.depth[i]*f.sum[i], f.backing[i])
		slope *= f.gain * f.depth[i]
		return bandSlopes{reflectance: f.gain * r, absorbed: slope, depth: slope * f.sum[i]}
	}
	inner, slope := optics.FilmWithSlope(f.ks[i], f.depth[i], f.backing[i])
	outer := f.gain * f.surface.OutsideSlope(inner)
	perLogKS := outer * slope.KS * f.ks[i]
	perLogA := perLogKS * f.bend.power(f.ratio[i])
	b := bandSlopes{
		reflectance: f.gain * f.surface.Outside(inner),
		absorbed:    perLogA / f.sum[i],
		dense:       -perLogA,
		bend:        perLogKS * f.bend.perUnknown * strong(f.ratio[i]),
	}
	if !f.thick {
		b.depth = outer * slope.SX * f.depth[i]
		b.dense += b.depth
	}
	return b
}

// response is the colour of a film, and how it moves with those unknowns that
// it depends on.
type response struct {
	reflectance spectrum.Spectrum
	lab         spectrum.Lab
	index       []int        // the unknowns the colour depends on
	jacobian    [][3]float64 // d(L*, a*, b*) / d unknown, in the order of index
	// strengths are the derivatives by the log strength of each dye of the mix.
	strengths [][3]float64
	// fresh are derivatives by unknowns that no sample touched, each over its
	// prior's spread.
	fresh [][3]float64
}

func (l layout) respond(f film) response {
	const usual = waxUnknowns + 2*dyeUnknowns + 4
	out := response{index: make([]int, 0, usual), jacobian: make([][3]float64, 0, usual)}
	var slopes [spectrum.Bands]bandSlopes
	for i := range slopes {
		slopes[i] = f.slopes(i)
		out.reflectance[i] = slopes[i].reflectance
	}
	xyz, white := spectrum.D65.XYZ(out.reflectance), spectrum.D65.White()
	out.lab = xyz.Lab(white)
	toLab := labSlope(xyz, white)

	// Weighing first and summing last: every unknown needs its own sum.
	var weighed [spectrum.Bands][3]float64
	for i := range weighed {
		weighed[i] = toLab.times(spectrum.D65.Weights(i))
	}
	sum := func(slope func(band int) float64, from, to int) (d [3]float64) {
		for i := from; i < to; i++ {
			s := slope(i)
			for c := range d {
				d[c] += weighed[i][c] * s
			}
		}
		return d
	}
	add := func(unknown int, slope func(band int) float64) {
		out.index = append(out.index, unknown)
		out.jacobian = append(out.jacobian, sum(slope, 0, spectrum.Bands))
	}
	// addOr adds an unknown that may be absent, with its prior's spread.
	addOr := func(unknown int, spread float64, slope func(band int) float64) {
		if unknown != absent {
			add(unknown, slope)
			return
		}
		out.fresh = append(out.fresh, scaled(sum(slope, 0, spectrum.Bands), spread))
	}
	addCurve := func(at int, part *spectrum.Spectrum) {
		for j := range knots {
			out.index = append(out.index, at+j)
			out.jacobian = append(out.jacobian,
				sum(func(i int) float64 { return slopes[i].absorbed * part[i] * basis[i][j] }, support[j][0], support[j][1]))
		}
	}
	byDepth := func(i int) float64 { return slopes[i].depth }
	byGain := func(i int) float64 { return slopes[i].reflectance }
	byPart := func(n int) func(int) float64 {
		return func(i int) float64 { return slopes[i].absorbed * f.parts[n][i] }
	}

	addCurve(0, &f.parts[0])
	if f.liquid {
		add(l.liquidScale, byDepth)
		add(l.liquidGain, byGain)
		add(l.liquidRatio, byPart(0))
	} else {
		if !f.thick {
			add(logSX, byDepth)
		}
		add(logGain, byGain)
		add(bend, func(i int) float64 { return slopes[i].bend })
	}
	if !f.thick {
		add(hidingSlope, func(i int) float64 { return -logNM[i] * slopes[i].depth })
		addOr(f.card, cardSpread, byDepth)
		if f.own != absent {
			add(f.own, byDepth)
		}
	}
	for n, in := range f.mix {
		addCurve(in.at, &f.parts[1+n])
		byStrength := byPart(1 + n)
		if in.scatter != absent && !f.liquid {
			byScatter := func(i int) float64 { return slopes[i].dense * f.scatter[n][i] / f.dense[i] }
			add(in.scatter+scatterLevel, byScatter)
			add(in.scatter+scatterSlope, func(i int) float64 { return -logNM[i] * byScatter(i) })
			byAbsorption := byStrength
			byStrength = func(i int) float64 { return byAbsorption(i) + byScatter(i) }
		}
		strength := sum(byStrength, 0, spectrum.Bands)
		out.strengths = append(out.strengths, strength)
		out.index = append(out.index, in.at+exponent)
		out.jacobian = append(out.jacobian, scaled(strength, in.logDose))
		if f.liquid {
			addOr(in.liquidRatio, liquidRatioSpread, byStrength)
		}
	}
	return out
}

func scaled(v [3]float64, by float64) [3]float64 { return [3]float64{by * v[0], by * v[1], by * v[2]} }

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
