package scene

import (
	"math"

	"setshade/internal/card"
	"setshade/internal/spectrum"
)

// printed is what is printed on a card, ready to be looked up by place. Its inks
// are counted from 0, the bare card.
type printed struct {
	inks  []spectrum.Spectrum
	marks []mark
	soft  float64 // half the width of a pixel's edge, mm
	// near are the marks in each square of the card, row by row from the top left.
	near   [][]int
	across int
	paper  card.Point
}

// mark is an area in one ink.
type mark struct {
	ink    int
	bounds card.Rect
	// covers returns the share of a pixel around a point that is inked.
	covers func(card.Point) float64
}

const (
	bareCard = 0
	// squareMM is the side of the squares in which marks are looked up.
	squareMM = 4.0
)

func newPrinted(g card.Geometry, printer *Printer, paper spectrum.Spectrum, soft float64) *printed {
	p := &printed{inks: []spectrum.Spectrum{paper}, soft: soft, paper: g.PaperMM}
	number := map[card.Colour]int{}
	inkOf := func(c card.Colour) int {
		if _, known := number[c]; !known {
			number[c] = len(p.inks)
			p.inks = append(p.inks, printer.inked(c, paper))
		}
		return number[c]
	}
	for _, area := range g.Painted() {
		covers := func(at card.Point) float64 {
			return min(1, max(0, (area.Shape.InsideMM(at)+soft)/(2*soft)))
		}
		p.marks = append(p.marks, mark{inkOf(area.Colour), area.Shape.Bounds(), covers})
	}
	for _, text := range g.Texts() {
		words := newLettering(text)
		p.marks = append(p.marks, mark{inkOf(text.Colour), words.bounds, func(at card.Point) float64 { return words.covers(at, soft) }})
	}
	p.sortIntoSquares()
	return p
}

func (p *printed) sortIntoSquares() {
	p.across = int(math.Ceil(p.paper.X / squareMM))
	down := int(math.Ceil(p.paper.Y / squareMM))
	p.near = make([][]int, p.across*down)
	for square := range p.near {
		middle := card.Point{
			X: (float64(square%p.across)+0.5)*squareMM - p.paper.X/2,
			Y: (float64(square/p.across)+0.5)*squareMM - p.paper.Y/2,
		}
		for i, m := range p.marks {
			if within(m.bounds, middle, squareMM/2+p.soft) {
				p.near[square] = append(p.near[square], i)
			}
		}
	}
}

// within reports whether a point is in a rectangle or less than a distance beside
// it, across and down.
func within(r card.Rect, p card.Point, distance float64) bool {
	return r.InsideMM(p) > -distance
}

// colour returns the colour of the print at a place, given that of each ink.
func (p *printed) colour(at Point, of func(ink int) colour) colour {
	c := of(bareCard)
	column := min(max(int((at.X+p.paper.X/2)/squareMM), 0), p.across-1)
	row := min(max(int((at.Y+p.paper.Y/2)/squareMM), 0), len(p.near)/p.across-1)
	for _, i := range p.near[row*p.across+column] {
		if share := p.marks[i].covers(card.Point(at)); share > 0 {
			c = c.towards(of(p.marks[i].ink), share)
		}
	}
	return c
}

// inksNear returns the inks that lie, in part, less than a distance from a place.
func (p *printed) inksNear(at Point, distance float64) map[int]spectrum.Spectrum {
	inks := map[int]spectrum.Spectrum{bareCard: p.inks[bareCard]}
	for _, m := range p.marks {
		if within(m.bounds, card.Point(at), distance+p.soft) {
			inks[m.ink] = p.inks[m.ink]
		}
	}
	return inks
}
