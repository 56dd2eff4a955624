package photo

import "math"

// toneCurve undoes what a camera did to the lightness of a picture beside the
// transfer function of its colour space. On encoded values u of 0..1
//
//	v = u^exp(-lift)                     lighter or darker in the middle
//	w = v + v (1 - v) (bend (1 - 2v) + skew (1 - 6v + 6v²))
//
// which leave black and white what they are; the second makes the curve steeper
// or flatter in the middle, and not alike towards black and white. Of the light of
// w the glare is taken away: what the lens spreads over the whole picture, as a
// share of full scale.
type toneCurve struct{ lift, bend, skew, glare float64 }

func (t toneCurve) isNone() bool { return t == toneCurve{} }

// isSound reports whether the curve rises everywhere and stays within what
// cameras do.
func (t toneCurve) isSound() bool {
	const mostLift, mostGlare, steps = 1.2, 0.06, 16
	last := 0.0
	for i := 1; i <= steps; i++ {
		w := t.bent(float64(i) / steps)
		if w < last+0.1/steps {
			return false
		}
		last = w
	}
	return math.Abs(t.lift) < mostLift && math.Abs(t.glare) < mostGlare
}

func (t toneCurve) bent(v float64) float64 {
	return v + v*(1-v)*(t.bend*(1-2*v)+t.skew*(1-6*v+6*v*v))
}

// light returns the linear light that the picture's linear light stands for.
// Outside 0..1 the curve changes nothing.
func (t toneCurve) light(v float64) float64 {
	if t.isNone() {
		return v
	}
	if v <= 0 || v >= 1 {
		return v - t.glare
	}
	u := math.Pow(encodedLight(v), math.Exp(-t.lift))
	return decodedLight(t.bent(u)) - t.glare
}

// encodedLight and decodedLight are the transfer function of sRGB and back, for light in
// 0..1 (IEC 61966-2-1:1999, 5.2).
func encodedLight(light float64) float64 {
	if light <= 0.0031308 {
		return 12.92 * light
	}
	return 1.055*math.Pow(light, 1/2.4) - 0.055
}

func decodedLight(v float64) float64 {
	if v <= 0.04045 {
		return v / 12.92
	}
	return math.Pow((v+0.055)/1.055, 2.4)
}

// toned returns the picture with its tone curve undone, in the primaries of its
// file: that is where the camera bent it. The curve is looked up in a table over
// the root of light, which spreads the dark values out.
func (p *picture) toned(t toneCurve, space *colourSpace) *picture {
	if t.isNone() {
		return p
	}
	const steps = 1024
	var table [steps + 2]float64
	for i := range table {
		root := float64(i) / steps
		table[i] = t.light(root * root)
	}
	q := *p
	for c := range q.light {
		q.light[c] = make([]float32, len(p.light[c]))
	}
	for i := range p.clipped {
		light := space.each([channels]float64{
			float64(p.light[red][i]), float64(p.light[green][i]), float64(p.light[blue][i]),
		}, func(v float64) float64 {
			if v <= 0 || v >= 1 {
				return v - t.glare
			}
			at := steps * math.Sqrt(v)
			k := int(at)
			return table[k] + (at-float64(k))*(table[k+1]-table[k])
		})
		for c, v := range light {
			q.light[c][i] = float32(v)
		}
	}
	return &q
}

// each changes linear sRGB light channel by channel in the primaries of the space.
func (s *colourSpace) each(light [channels]float64, change func(float64) float64) [channels]float64 {
	if !s.plain {
		light = s.fromSRGB.times(light)
	}
	for c, v := range light {
		light[c] = change(v)
	}
	if !s.plain {
		light = s.toSRGB.times(light)
	}
	return light
}
