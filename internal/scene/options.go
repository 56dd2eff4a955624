package scene

import "image"

// Options say how a card is photographed. The zero value is a plain, square,
// rather even picture of 1600 x 1200 pixels. Where 0 stands for a usual
// strength, a negative value means none.
type Options struct {
	// Seed draws everything irregular: places, sizes, outlines, light, noise.
	Seed uint64
	// WidthPx and HeightPx of the picture; 0 is 1600 x 1200.
	WidthPx, HeightPx int
	// RotationDegrees turns the card clockwise, TiltDegrees leans the camera.
	RotationDegrees, TiltDegrees float64
	// Fills is how much of the picture the card covers, as far as it then fits in; 0 is
	// usual: it reaches 0.86 of the way across or down.
	Fills float64
	// Room is what stands around the card, and is mirrored in the drops; a WindowRoom
	// where none is given.
	Room Room
	// SourceDegrees is how high the room's window or lamp stands; 0 is anywhere usual.
	SourceDegrees float64
	// Roughness of wax that has set, 0.05 for glossy to 0.25 for satin; 0 is 0.12.
	Roughness float64
	// Veil is stray light in the lens, as a share of what the brightest card sends.
	Veil float64
	// LightRatio is the brightest over the darkest light on the card, 1 for even
	// light; 0 is 1.25.
	LightRatio float64
	// LightTint is how far the light runs from warm on the bright side to cool on
	// the other: 0.04 is 4 % in red against as much in blue.
	LightTint float64
	// Kelvin is the colour temperature of the light: D65 times the ratio of two black
	// bodies, of this and of D65's; 0 is D65. The camera takes most of the light's
	// colour away by its white balance.
	Kelvin float64
	// Sensor is the camera with its lamp, in place of Kelvin; nil for the camera that
	// sees as an eye does.
	Sensor *Sensor
	// Exposure is the brightest part of the bare card as a share of the full
	// scale; 0 is 0.9.
	Exposure float64
	// Noise, Shadow, Highlight and Jitter are relative to the usual, 1; 0 means
	// usual. Jitter is how irregular drops are in place, size and thickness.
	Noise, Shadow, Highlight, Jitter float64
	// Profile is the colour space the camera writes.
	Profile Profile
	// ToneCurve is how far the camera bends its code values into an S, darker below
	// the middle and brighter above: 0 not at all, 1 from end to end. 0.3 is gentle.
	ToneCurve float64
}

func (o Options) size() image.Point {
	if o.WidthPx == 0 && o.HeightPx == 0 {
		return image.Pt(1600, 1200)
	}
	return image.Pt(o.WidthPx, o.HeightPx)
}

func (o Options) lightRatio() float64 { return orUsual(o.LightRatio, 1.25) }
func (o Options) exposure() float64   { return orUsual(o.Exposure, 0.82) }

// strength reads a relative option: 0 is usual, below 0 none.
func strength(v float64) float64 { return max(0, orUsual(v, 1)) }

func orUsual(v, usual float64) float64 {
	if v == 0 {
		return usual
	}
	return v
}
