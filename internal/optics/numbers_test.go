package optics_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/optics"
	"setshade/internal/spectrum"
)

// luminance of a drop on card, seen through the wax's surface.
func luminance(t *testing.T, ks spectrum.Spectrum, sx, card float64) float64 {
	t.Helper()
	surface := optics.SurfaceOf(1.44)
	var seen spectrum.Spectrum
	for i := range seen {
		seen[i] = surface.Outside(optics.Film(ks[i], sx, card))
		require.False(t, math.IsNaN(seen[i]) || math.IsInf(seen[i], 0), "K/S %g, S·X %g", ks[i], sx)
		require.True(t, seen[i] >= 0 && seen[i] <= 1, "K/S %g, S·X %g: R %g", ks[i], sx, seen[i])
	}
	return spectrum.D65.Lab(seen).L
}

// More of any dye is never lighter, and more undyed wax is never darker, at any
// dose a number can hold, on films from none to opaque.
func TestMoreDyeIsNeverLighter(t *testing.T) {
	random := rand.New(rand.NewPCG(11, 12))
	curve := func() spectrum.Spectrum {
		var s spectrum.Spectrum
		for i := range s {
			s[i] = math.Pow(10, 8*random.Float64()-6)
		}
		return s
	}
	for range 300 {
		base, scattering := curve(), math.Pow(10, 6*random.Float64()-3)
		first, second := curve(), curve()
		mixed := func(firstDose, secondDose float64) (ks spectrum.Spectrum) { // Duncan 1940
			for i := range ks {
				ks[i] = (base[i] + firstDose*first[i] + secondDose*second[i]) / scattering
			}
			return ks
		}
		card := random.Float64()
		for _, sx := range []float64{0, 1e-9, 1, 12, 1e6, math.Inf(1)} {
			last := math.Inf(1)
			for _, dose := range []float64{0, 1e-300, 1e-6, 0.1, 1, 30, 1000, 1e12} {
				l := luminance(t, mixed(dose, 0.5), sx, card)
				require.LessOrEqual(t, l, last+1e-9, "dose %g, S·X %g", dose, sx)
				last = l
			}
			last = 0
			for _, undyed := range []float64{0, 0.1, 1, 10, 1e6} { // parts to one part dyed
				l := luminance(t, mixed(2/(1+undyed), 3/(1+undyed)), sx, card)
				require.GreaterOrEqual(t, l, last-1e-9, "undyed %g, S·X %g", undyed, sx)
				last = l
			}
		}
	}
}

// Wax that hardly scatters, or not at all, absorbs all that enters it, and is black.
func TestOpaqueWaxWithoutScatteringIsBlack(t *testing.T) {
	for _, ks := range []float64{1e300, math.Inf(1)} {
		assert.InDelta(t, 0, luminance(t, spectrum.Flat(ks), math.Inf(1), 0.9), 1e-6)
	}
}

// The law of Beer and Lambert over two passages, the limit of Kubelka 1948 as the
// scattering goes: R = Rg exp(-2 KX). Film nears it as S·X falls, in proportion to
// S·X.
func TestFilmWithoutScatteringIsBeersLaw(t *testing.T) {
	for _, kx := range []float64{0, 1e-12, 0.05, 0.7, 3, 40, 800} {
		for _, backing := range []float64{0, 0.04, 0.88, 1} {
			for _, sx := range []float64{1e-3, 1e-6, 1e-9, 1e-150} {
				assert.InDelta(t, backing*math.Exp(-2*kx), optics.Film(kx/sx, sx, backing), 2*sx+1e-12, "KX %g, SX %g", kx, sx)
			}
		}
	}
}

// Every function either answers with a number or panics in our name: whatever
// comes in, no NaN comes out, and infinities only where the comments tell of them.
func TestNoNaNLeaves(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	odd := []float64{nan, inf, -inf, -1, -1e-300, 0, 5e-324, 1e-12, 0.5, 1, 1.5, 1e6, 1e150, 1e300, math.MaxFloat64}
	surface, layer := optics.SurfaceOf(1.44), optics.LiquidLayerOf(1.44)
	three := map[string]func(a, b, c float64) []float64{
		"Film": func(a, b, c float64) []float64 { return []float64{optics.Film(a, b, c)} },
		"FilmWithSlope": func(a, b, c float64) []float64 {
			r, slope := optics.FilmWithSlope(a, b, c)
			return []float64{r, slope.SX * min(b, 1), slope.Backing, math.Min(0, math.Max(slope.KS, -1))} // -Inf at K = 0
		},
		"LiquidLayer": func(a, b, _ float64) []float64 {
			r, slope := layer.ReflectanceWithSlope(a, b)
			return []float64{r, slope}
		},
		"OpticalDepth": func(a, b, _ float64) []float64 {
			depth, err := layer.OpticalDepth(a, b)
			if err != nil {
				return nil
			}
			return []float64{depth}
		},
		"Surface": func(a, _, _ float64) []float64 { return []float64{surface.Outside(a), surface.OutsideSlope(a)} },
		"Inside":  func(a, _, _ float64) []float64 { return []float64{surface.Inside(a)} },
		"opaque":  func(a, _, _ float64) []float64 { return []float64{optics.ReflectanceOfKS(a)} },
		"ratio": func(a, _, _ float64) []float64 { // +Inf at R = 0
			return []float64{math.Min(optics.KSOfReflectance(a), 1)}
		},
		"index": func(a, _, _ float64) []float64 { return []float64{optics.SurfaceOf(a).K2} },
	}
	for name, f := range three {
		for _, a := range odd {
			for _, b := range odd {
				for _, c := range odd {
					values, said := panicked(func() []float64 { return f(a, b, c) })
					if said != "" {
						require.Contains(t, said, "optics: ", "%s(%g, %g, %g)", name, a, b, c)
					}
					for _, v := range values {
						require.False(t, math.IsNaN(v) || math.IsInf(v, 0), "%s(%g, %g, %g): %g", name, a, b, c, values)
					}
				}
			}
		}
	}
}

func panicked(f func() []float64) (values []float64, said string) {
	defer func() {
		if p := recover(); p != nil {
			said = fmt.Sprint(p)
		}
	}()
	return f(), ""
}
