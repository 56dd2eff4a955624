package camera

import (
	"math"

	"setshade/internal/picture"
)

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
//
// A camera that bends each channel shifts hues; one that bends the luminance and
// brightens all channels alike keeps them, and telephones do something between.
// With f the curve and Y the luminance of a colour, its channels become
//
//	(1 - together) f(v) + together v f(Y) / Y
type toneCurve struct{ lift, bend, skew, glare, together float64 }

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
	// A share lies within 0..1; a fit may pass over the edge a little.
	const share, edge = 0.5, 0.75
	return math.Abs(t.lift) < mostLift && math.Abs(t.glare) < mostGlare && math.Abs(t.together-share) < edge
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
	u := math.Pow(picture.SRGBCode(v), math.Exp(-t.lift))
	return picture.SRGBCurve(t.bent(u)) - t.glare
}

// BendsTones reports whether the camera bent the tones.
func (k *Corrector) BendsTones() bool { return !k.tone.isNone() }

// Straight returns one light of the picture with the tone curve undone.
func (k *Corrector) Straight(light [channels]float64) [channels]float64 {
	if k.tone.isNone() {
		return light
	}
	return k.tone.undone(light, k.space, k.tone.light)
}

// Straightened returns the picture with its tone curve undone, in the primaries of its
// file: that is where the camera bent it. Without one it is the picture itself. The curve is looked up in a table over
// the root of light, which spreads the dark values out.
func (k *Corrector) Straightened(p *picture.Picture) *picture.Picture {
	t := k.tone
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
	for c := range q.Light {
		q.Light[c] = make([]float32, len(p.Light[c]))
	}
	lookUp := func(v float64) float64 {
		if v <= 0 || v >= 1 {
			return v - t.glare
		}
		at := steps * math.Sqrt(v)
		i := int(at)
		return table[i] + (at-float64(i))*(table[i+1]-table[i])
	}
	for i := range p.Clipped {
		light := t.undone([channels]float64{
			float64(p.Light[red][i]), float64(p.Light[green][i]), float64(p.Light[blue][i]),
		}, k.space, lookUp)
		for c, v := range light {
			q.Light[c][i] = float32(v)
		}
	}
	return &q
}

// undone returns what linear sRGB light was before the camera bent it in the
// primaries of a space; curve is t.light, or a table of it.
func (t toneCurve) undone(light [channels]float64, space *picture.ColourSpace, curve func(float64) float64) [channels]float64 {
	const darkest = 1e-4 // luminance below which its gain is not told from noise
	gain := 0.0
	if t.together != 0 {
		y := max(darkest, luminanceOf(light))
		gain = t.together * curve(y) / y
	}
	if !space.Plain {
		light = space.FromSRGB.Times(light)
	}
	for c, v := range light {
		light[c] = (1-t.together)*curve(v) + gain*v
	}
	if !space.Plain {
		light = space.ToSRGB.Times(light)
	}
	return light
}

// luminanceOf is Y of linear sRGB light (IEC 61966-2-1:1999, equation 7).
func luminanceOf(light [channels]float64) float64 {
	return 0.2126*light[red] + 0.7152*light[green] + 0.0722*light[blue]
}
