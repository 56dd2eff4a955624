package card

import "fmt"

// Painted is an area in one colour.
type Painted struct {
	Shape  Shape
	Colour Colour
}

// Text is a line of print.
type Text struct {
	// At is the left end of its base line.
	At Point
	// SizeMM is the size of the type: about 1.4 times the height of a capital.
	SizeMM float64
	Bold   bool
	Colour Colour
	Words  string
}

// Painted returns every printed area in the order of printing: a later one
// covers an earlier one. Letters are left to Texts.
func (g Geometry) Painted() []Painted {
	var out []Painted
	add := func(c Colour, shapes ...Shape) {
		for _, s := range shapes {
			out = append(out, Painted{s, c})
		}
	}
	for _, f := range g.Fiducials {
		add(black, f)
	}
	for _, p := range g.Strip {
		add(p.Colour, p.Rect)
	}
	for i, cell := range g.Cells {
		if g.Code[i] {
			add(black, cell)
		}
	}
	for _, d := range g.Drops {
		add(ringGrey, Ring{d.Centre, d.RadiusMM + ringWidth/2, d.RadiusMM - ringWidth/2})
		add(lineGrey, d.DoseLine)
	}
	// The bar covers the lower half of its rings: a bright line on black would
	// pass for the rim of a drop.
	add(black, g.BlackBar)
	add(wordGrey, g.rulerMarks()...)
	add(lineGrey, writingLines()...)
	return out
}

// rulerMarks are a base line and a mark every 5 mm, longer at each 10 mm and
// longest at the ends, whose outer edges are RulerMM apart.
func (g Geometry) rulerMarks() []Shape {
	from, size := g.Ruler.Min, g.Ruler.SizeMM()
	out := []Shape{
		at(from.X, from.Y, RulerMM, lineWidth),
		at(from.X, from.Y, lineWidth, size.Y),
		at(from.X+RulerMM-lineWidth, from.Y, lineWidth, size.Y),
	}
	for mm := 5; mm < RulerMM; mm += 5 {
		length := size.Y / 4
		if mm%10 == 0 {
			length = size.Y / 2
		}
		out = append(out, around(Point{from.X + float64(mm), from.Y + length/2}, lineWidth, length))
	}
	return out
}

// The type, in mm.
const (
	titleSize, wordSize, numberSize = 4.4, 2.6, 3.2
	titleY, firstWordsY             = -59.7, -56.2
	wordsPitch                      = 3.1
	waxX, dateX, writingEnd         = -12.0, 46.0, 84.0
)

// writingLines are for the name of the wax and the date.
func writingLines() []Shape {
	return []Shape{
		at(waxX+6, titleY+0.4, dateX-waxX-9, lineWidth),
		at(dateX+7, titleY+0.4, writingEnd-dateX-7, lineWidth),
	}
}

// Texts returns every line of print.
func (g Geometry) Texts() []Text {
	out := []Text{
		{Point{left, titleY}, titleSize, true, wordGrey, "setshade test card"},
		{Point{waxX, titleY}, wordSize, false, noteGrey, "wax"},
		{Point{dateX, titleY}, wordSize, false, noteGrey, "date"},
	}
	for i, words := range []string{
		"Drip one drop into each ring and write its dose on the line. Photograph the whole card from above, without flash.",
		"Caution: melted wax on card is hot. Keep the card flat and fingers off until the drops have set.",
	} {
		out = append(out, Text{Point{left, firstWordsY + float64(i)*wordsPitch}, wordSize, false, wordGrey, words})
	}
	for _, d := range g.Drops {
		at := Point{d.Centre.X - d.RadiusMM - 2.5, d.Centre.Y - d.RadiusMM + 2.3}
		out = append(out, Text{at, numberSize, true, noteGrey, fmt.Sprint(d.Number)})
	}
	below := g.Ruler.Max.Y + wordsPitch
	return append(out,
		Text{Point{left, below}, wordSize, false, wordGrey,
			fmt.Sprintf("Measure this: if it is not %.0f mm, print again at true scale (100 %%, not fitted to the page).", RulerMM)},
		Text{Point{g.Cells[firstCell].Min.X, below}, wordSize, false, noteGrey, fmt.Sprintf("card %d, %s", Version, g.Print())},
	)
}
