package scene

import (
	"cmp"
	"math"
	"math/rand/v2"

	"setshade/internal/card"
	"setshade/internal/chart"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// Sheet is a card with drops, before it is photographed.
type Sheet struct {
	Shelf *Shelf
	// Card is the diffuse reflectance of the bare card.
	Card  spectrum.Spectrum
	State wax.State
	// Rows are the recipes of the drops, from the top row down and from left to
	// right.
	Rows [][]wax.Recipe
	// Print is the test card printed on the card, nil for none. The rows then go to
	// the rows of its places, from the left; more of them than places panic.
	Print *card.Geometry
	// Chart holds the reflectances of a 24-patch chart that lies left of the card; nil
	// for none.
	Chart *[chart.Patches]spectrum.Spectrum
	// Printer printed it; nil is the usual one.
	Printer *Printer
	// RadiusMM and ThicknessMM are those of an average drop, or of a piece of wax in its
	// place; 0 is a drop's.
	RadiusMM, ThicknessMM float64
}

func (s Sheet) printer() *Printer { return cmp.Or(s.Printer, usualPrinter) }

// The sizes of a sheet in mm. A liquid drop spreads, a setting one stands.
const (
	pitchMM        = 27.0
	marginMM       = 9.0
	radiusMM       = 8.9
	setDropMM      = 2.7
	liquidDropMM   = 1.2
	radiusSpread   = 0.07
	placeSpreadMM  = 1.3
	thickSpread    = 0.02
	outlineSpread  = 0.035
	outlineHarmony = 5
)

// DropThicknessMM is how thick an average drop is in its middle.
func DropThicknessMM(state wax.State) float64 {
	if state == wax.LiquidState {
		return liquidDropMM
	}
	return setDropMM
}

// drop is one drop on the card.
type drop struct {
	number      int
	recipe      wax.Recipe
	middle      Point // on the card
	radiusMM    float64
	thicknessMM float64
	outline     [outlineHarmony]struct{ size, phase float64 }
}

// sizeMM returns the size of the card.
func (s Sheet) sizeMM() Point {
	if s.Print != nil {
		return Point(s.Print.PaperMM)
	}
	across := 0
	for _, row := range s.Rows {
		across = max(across, len(row))
	}
	return Point{pitchMM*float64(across) + 2*marginMM, pitchMM*float64(len(s.Rows)) + 2*marginMM}
}

// shown are the corners of what the picture is to show, clockwise from the top left:
// the card, and the chart beside it.
func (s Sheet) shown() [4]Point {
	out := corners(s.sizeMM())
	if s.Chart != nil {
		corner := chartCorner(s.sizeMM())
		out[0] = Point{corner.X, min(out[0].Y, corner.Y)}
		out[3] = Point{corner.X, max(out[3].Y, -corner.Y)}
	}
	return out
}

// drops lays the drops out, a little irregularly.
func (s Sheet) drops(r *rand.Rand, jitter float64) []drop {
	spread := func(by float64) float64 { return jitter * by * (2*r.Float64() - 1) }
	var out []drop
	for y, row := range s.Rows {
		for x, recipe := range row {
			number, place := len(out)+1, s.place(y, x)
			if s.Print != nil {
				number = y*card.Columns + x + 1
			}
			d := drop{
				number:      number,
				recipe:      recipe,
				middle:      Point{place.X + spread(placeSpreadMM), place.Y + spread(placeSpreadMM)},
				radiusMM:    orUsual(s.RadiusMM, radiusMM) * (1 + spread(radiusSpread)),
				thicknessMM: orUsual(s.ThicknessMM, DropThicknessMM(s.State)) * (1 + spread(thickSpread)),
			}
			for k := range d.outline {
				d.outline[k].size = spread(outlineSpread / float64(k+1))
				d.outline[k].phase = 2 * math.Pi * r.Float64()
			}
			out = append(out, d)
		}
	}
	return out
}

// place returns the middle of a place on the card.
func (s Sheet) place(row, column int) Point {
	if s.Print == nil {
		size := s.sizeMM()
		return Point{
			marginMM + pitchMM*(float64(column)+0.5) - size.X/2,
			marginMM + pitchMM*(float64(row)+0.5) - size.Y/2,
		}
	}
	if row >= card.Rows || column >= card.Columns {
		panic("scene: the printed card has no such place")
	}
	return Point(s.Print.Drops[row*card.Columns+column].Centre)
}

// farthest is in radii how far from its middle a drop still changes anything.
const farthest = 2.0

func (d *drop) reaches(p Point) bool {
	x, y := p.X-d.middle.X, p.Y-d.middle.Y
	return x*x+y*y <= farthest*farthest*d.radiusMM*d.radiusMM
}

// reach returns how far out of the drop a point is: 0 in the middle, 1 on the
// rim, more outside.
func (d *drop) reach(p Point) float64 {
	x, y := p.X-d.middle.X, p.Y-d.middle.Y
	far := math.Hypot(x, y) / d.radiusMM
	if far < 0.3 || far > 1.5 {
		return far
	}
	angle := math.Atan2(y, x)
	edge := 1.0
	for k, wave := range d.outline {
		edge += wave.size * math.Cos(float64(k+2)*angle+wave.phase)
	}
	return far / edge
}
