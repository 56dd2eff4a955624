package calibrate_test

import (
	"math"
	"slices"

	"setshade/internal/calibrate"
	"setshade/internal/optics"
	"setshade/internal/spectrum"
)

// The two ways to predict a shade without spectra, to show what these are worth:
// both are told the very same drops.

// rgb is a colour in linear sRGB, which may lie outside 0..1.
type rgb [3]float64

func rgbOf(c spectrum.Lab) rgb {
	r, g, b := c.Linear()
	return rgb{r, g, b}
}

func (c rgb) lab() spectrum.Lab { return spectrum.LabOfLinear(c[0], c[1], c[2]) }

// rung is one drop of a ladder.
type rung struct {
	dose float64
	rgb  rgb
}

// ladder holds the pure drops by dye, doses rising, undyed first.
type ladder map[string][]rung

func ladderOf(samples []calibrate.Sample) ladder {
	out := ladder{}
	var undyed rgb
	for _, s := range samples {
		switch len(s.Recipe) {
		case 0:
			undyed = rgbOf(s.Colour.Lab)
		case 1:
			p := s.Recipe[0]
			out[p.Dye] = append(out[p.Dye], rung{p.DoseGPerKg, rgbOf(s.Colour.Lab)})
		}
	}
	for dye := range out {
		slices.SortFunc(out[dye], func(a, b rung) int { return int(math.Copysign(1, a.dose-b.dose)) })
		out[dye] = append([]rung{{0, undyed}}, out[dye]...)
	}
	return out
}

// interpolated draws straight lines in linear RGB between the drops of a dye; a
// mixture multiplies what each dye leaves of the undyed wax.
func (l ladder) interpolated(doses []float64) spectrum.Lab {
	var out rgb
	for i, c := range doses {
		rungs := l[dyeName(i)]
		if i == 0 {
			out = rungs[0].rgb
		}
		if c == 0 {
			continue
		}
		k := 1
		for k < len(rungs)-1 && rungs[k].dose < c {
			k++
		}
		t := (c - rungs[k-1].dose) / (rungs[k].dose - rungs[k-1].dose)
		for ch := range out {
			out[ch] *= (rungs[k-1].rgb[ch] + t*(rungs[k].rgb[ch]-rungs[k-1].rgb[ch])) / rungs[0].rgb[ch]
		}
	}
	return out.lab()
}

// threeChannels is Kubelka and Munk's theory with red, green and blue for bands,
// opaque and behind the wax's surface: K/S = K₀ + Σ k c^p, with k and p of each
// channel by least squares over the logarithms.
func (l ladder) threeChannels(doses []float64) spectrum.Lab {
	surface := optics.SurfaceOf(1.44)
	ks := func(v float64) float64 {
		return optics.KSOfReflectance(math.Min(math.Max(surface.Inside(v), 0.001), 0.999))
	}
	var out rgb
	for ch := range out {
		sum := 0.0
		for i, c := range doses {
			rungs := l[dyeName(i)]
			if i == 0 {
				sum = ks(rungs[0].rgb[ch])
			}
			if c == 0 {
				continue
			}
			var n, x, y, xx, xy float64
			for _, r := range rungs[1:] {
				lx, ly := math.Log(r.dose), math.Log(math.Max(ks(r.rgb[ch])-ks(rungs[0].rgb[ch]), 1e-4))
				n, x, y, xx, xy = n+1, x+lx, y+ly, xx+lx*lx, xy+lx*ly
			}
			p := (n*xy - x*y) / (n*xx - x*x)
			sum += math.Exp(y/n + p*(math.Log(c)-x/n))
		}
		out[ch] = surface.Outside(optics.ReflectanceOfKS(sum))
	}
	return out.lab()
}
