package optics

import "math"

// FilmSlope holds the partial derivatives of a film's inner reflectance with
// respect to K/S, to S·X, and to the reflectance of the backing.
type FilmSlope struct{ KS, SX, Backing float64 }

// Film returns the inner reflectance of a film over a backing:
//
//	R = (1 - Rg (a - b coth bSX)) / (a - Rg + b coth bSX)
//	a = 1 + K/S,   b = sqrt(a² - 1)
//
// where ks = K/S is 0 or more and may be +Inf, sx = S·X, scattering coefficient
// times thickness, is 0 or more and may be +Inf, and backing = Rg in 0..1 is the
// reflectance of what lies beneath, in optical contact; other values panic. The
// result lies between Rg (SX = 0: no film at all) and R∞ (SX = +Inf). As scattering
// goes and K·X stays, it nears Rg exp(-2 KX), the law of Beer and Lambert over two
// passages. Without absorption it is
//
//	R = (Rg + (1 - Rg) SX) / (1 + (1 - Rg) SX)
//
// With T = tanh(bSX)/b, which stays finite where b or SX go to 0, the formula
// is worked out from whichever of Rg and R∞ is the darker, so that nothing
// cancels:
//
//	R = Rg + (1 - 2a Rg + Rg²) T / D,            D = 1 + (a - Rg) T
//	R = R∞ + (Rg - R∞) (1 - tanh bSX) / D
//
// It assumes diffuse light within the film and no change of refractive index
// between film and backing.
//
// Source: Kubelka 1948, J. Opt. Soc. Am. 38:448, the hyperbolic solution, and
// its case of no absorption.
func Film(ks, sx, backing float64) float64 {
	checkFilm(sx, backing)
	opaque := ReflectanceOfKS(ks)
	switch {
	case sx == 0:
		return backing
	case math.IsInf(sx, 1) || ks > blackest:
		return opaque
	}
	return newLayer(ks, sx, backing).reflectance(opaque, backing)
}

func checkFilm(sx, backing float64) {
	check("a scattering S·X", sx, 0, math.Inf(1))
	check("a backing's reflectance", backing, 0, 1)
}

// FilmWithSlope returns Film and its partial derivatives. With T and D as in
// Film, t = tanh bSX:
//
//	∂R/∂Rg    = (1 - t²) / D²
//	∂R/∂SX    = (1 - 2a Rg + Rg²) ∂R/∂Rg
//	∂R/∂(K/S) = -T (2 Rg + (1 - Rg²) T) / D² + (1 - 2a Rg + Rg²) (dT/da) / D²
//	dT/da     = a SX T² ψ(bSX),   ψ(v) = 1/sinh² v - 1/(v tanh v)
//
// where the ranges are those of Film. All are finite as K/S goes to 0 while
// S·X is finite; an opaque film has the slope of ReflectanceOfKSSlope, -Inf at
// K/S = 0, and a film of infinite K/S is black and stays so. Over a light backing ∂R/∂(K/S) has about 16 - log10(K/S) digits.
// ∂R/∂SX is Kubelka's own differential equation, carried to the top.
func FilmWithSlope(ks, sx, backing float64) (r float64, slope FilmSlope) {
	checkFilm(sx, backing)
	opaque := ReflectanceOfKS(ks)
	switch {
	case ks > blackest && sx > 0:
		return opaque, FilmSlope{}
	case ks > blackest:
		return backing, FilmSlope{Backing: 1}
	case math.IsInf(sx, 1):
		return opaque, FilmSlope{KS: ReflectanceOfKSSlope(ks)}
	}
	f := newLayer(ks, sx, backing)
	if math.IsInf(f.v, 1) {
		return opaque, FilmSlope{KS: ReflectanceOfKSSlope(ks)}
	}
	slope.Backing = (1 + f.tanh) * f.remnant * f.perD
	slope.SX = f.gain * slope.Backing
	tD := f.t * f.perD
	slope.KS = -tD*(2*backing*f.perD+(1-backing*backing)*tD) +
		f.gain*tD*sx*tD*(1+ks)*psi(f.v)
	return f.reflectance(opaque, backing), slope
}

// layer holds the terms that Film and its slopes are built from.
type layer struct {
	v       float64 // b·S·X
	tanh    float64 // tanh v
	t       float64 // T = tanh(v) / b
	perD    float64 // 1 / D
	remnant float64 // (1 - tanh v) / D
	gain    float64 // 1 - 2a Rg + Rg², the growth of R with the first S·X
}

func newLayer(ks, sx, backing float64) layer {
	b := decay(ks)
	f := layer{v: b * sx, t: sx}
	left := math.Exp(-2 * f.v)
	f.tanh = -math.Expm1(-2*f.v) / (1 + left)
	if b > 0 {
		f.t = f.tanh / b
	}
	f.perD = 1 / (1 + (ks+(1-backing))*f.t)
	f.remnant = 2 * left / (1 + left) * f.perD
	f.gain = (1-backing)*(1-backing) - 2*(ks*backing)
	return f
}

func (f layer) reflectance(opaque, backing float64) float64 {
	if backing < opaque {
		return backing + f.gain*f.t*f.perD
	}
	return opaque + (backing-opaque)*f.remnant
}

// psi returns 1/sinh² v - 1/(v tanh v) for v >= 0: -2/3 at 0, -1/v for large v.
func psi(v float64) float64 {
	if v < 0.05 {
		v2 := v * v // the two poles cancel: Laurent series, next term 2e-4 v⁸
		return -2.0/3 + v2*(4.0/45+v2*(-4.0/315+v2*(8.0/4725)))
	}
	left := math.Exp(-2 * v)
	per := 1 / (1 - left)
	return 4*left*per*per - (1+left)*per/v
}

// blackest is the K/S from which a film counts as black: its slopes would not fit a
// number.
const blackest = 1e300
