package photo

import (
	"math"

	"setshade/internal/card"
	"setshade/internal/plane"
)

// printMask says which places of a printed card are bare by design, on a grid of
// maskStepMM.
type printMask struct {
	w, h int
	x, y float64 // of the first square's corner, mm
	bare []bool
}

const maskStepMM = 0.5

// newPrintMask marks as bare the paper that lies inside its edge and farther
// than a margin from print. Whole places count as print when asked, since drops
// lie there.
func newPrintMask(g card.Geometry, marginMM float64, places bool) *printMask {
	m := &printMask{
		w: int(math.Ceil(g.PaperMM.X / maskStepMM)), h: int(math.Ceil(g.PaperMM.Y / maskStepMM)),
		x: -g.PaperMM.X / 2, y: -g.PaperMM.Y / 2,
	}
	m.bare = make([]bool, m.w*m.h)
	paper := card.Rect{Min: card.Point{X: m.x, Y: m.y}, Max: card.Point{X: -m.x, Y: -m.y}}
	const worn = 1.5 // mm of the edge that may be worn or in the table's reflection
	columns := make([]bool, m.w)
	for x := range columns {
		columns[x] = paper.InsideMM(card.Point{X: m.x + (float64(x)+0.5)*maskStepMM}) > worn
	}
	for y := range m.h {
		if paper.InsideMM(card.Point{Y: m.y + (float64(y)+0.5)*maskStepMM}) > worn {
			copy(m.bare[y*m.w:], columns)
		}
	}
	for _, shape := range printOf(g, places) {
		bounds := shape.Bounds()
		grown := card.Rect{
			Min: card.Point{X: bounds.Min.X - marginMM, Y: bounds.Min.Y - marginMM},
			Max: card.Point{X: bounds.Max.X + marginMM, Y: bounds.Max.Y + marginMM},
		}
		m.cover(grown, func(p card.Point) bool { return shape.InsideMM(p) > -marginMM })
	}
	return m
}

// printOf lists what is printed, and where hands write. Of the places either the
// whole, with room for a drop set down carelessly, or nothing.
func printOf(g card.Geometry, places bool) []card.Shape {
	var shapes []card.Shape
	for _, f := range g.Fiducials {
		shapes = append(shapes, card.Ring{Centre: f.Centre, OuterRadiusMM: f.OuterRadiusMM})
	}
	for _, p := range g.Strip {
		shapes = append(shapes, p.Rect)
	}
	shapes = append(shapes, g.Ruler, g.BlackBar, g.CodeArea())
	for _, d := range g.Drops {
		shapes = append(shapes, writing(g, d))
		if places {
			const careless = 2.5 // mm
			shapes = append(shapes, card.Ring{Centre: d.Centre, OuterRadiusMM: d.RadiusMM + careless})
		}
	}
	for _, t := range g.Texts() {
		const width, below = 0.62, 0.3 // of the size, for each letter and under the base line
		shapes = append(shapes, card.Rect{
			Min: card.Point{X: t.At.X, Y: t.At.Y - t.SizeMM},
			Max: card.Point{X: t.At.X + width*t.SizeMM*float64(len(t.Words)), Y: t.At.Y + below*t.SizeMM},
		})
	}
	return shapes
}

// writing is the room for a dose above its line.
func writing(g card.Geometry, d card.Place) card.Rect {
	const high = 5.0 // mm: what a hand needs
	r := d.DoseLine
	r.Min.Y -= high
	if d.OverBlack {
		r.Min.Y = max(r.Min.Y, g.BlackBar.Max.Y)
	}
	return r
}

func (m *printMask) cover(within card.Rect, printed func(card.Point) bool) {
	x0, y0 := max(0, int((within.Min.X-m.x)/maskStepMM)), max(0, int((within.Min.Y-m.y)/maskStepMM))
	x1, y1 := min(m.w-1, int((within.Max.X-m.x)/maskStepMM)), min(m.h-1, int((within.Max.Y-m.y)/maskStepMM))
	for y := y0; y <= y1; y++ {
		for x := x0; x <= x1; x++ {
			if m.bare[y*m.w+x] && printed(card.Point{X: m.x + (float64(x)+0.5)*maskStepMM, Y: m.y + (float64(y)+0.5)*maskStepMM}) {
				m.bare[y*m.w+x] = false
			}
		}
	}
}

// isBare answers for a place in mm.
func (m *printMask) isBare(p plane.Point) bool {
	fx, fy := (p.X-m.x)/maskStepMM, (p.Y-m.y)/maskStepMM
	x, y := int(fx), int(fy)
	return fx >= 0 && fy >= 0 && x < m.w && y < m.h && m.bare[y*m.w+x]
}
