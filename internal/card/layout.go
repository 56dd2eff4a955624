package card

import "fmt"

// Geometry is where everything on a card is, in mm from its middle.
type Geometry struct {
	Size Size
	// Version is that of the layout.
	Version int
	// PrintNumber tells prints of one layout apart, whose inks differ: 1 to LastPrint.
	PrintNumber int
	// PaperMM is the width and height of the card.
	PaperMM Point
	// Fiducials stand at the corners of an oblong, clockwise from the top left.
	// The first is solid, the others have a hole.
	Fiducials [4]Ring
	// Drops are the places for drops in the order of their numbers, which count
	// from 1, row by row.
	Drops []Place
	// BlackBar lies under the lower half of the last row.
	BlackBar Rect
	// Strip has grey steps from dark to light, then colours.
	Strip []Patch
	// Cells are the places of the cells of Code.
	Cells [CodeCells]Rect
	Code  Code
	// Ruler is RulerMM long along its upper edge.
	Ruler Rect
}

// Place is where a drop goes.
type Place struct {
	Number   int
	Centre   Point
	RadiusMM float64
	// OverBlack says that the half below the centre lies over the black bar.
	OverBlack bool
	// DoseLine is the line to write the dose on; above it is room for a hand.
	DoseLine Rect
}

// Patch is one field of the strip.
type Patch struct {
	Rect   Rect
	Colour Colour
}

// Print names the print apart from others that a reader may meet: "A5 print 1". Its
// strip is taken to be the same on every copy.
func (g Geometry) Print() string { return fmt.Sprintf("%s print %d", g.Size, g.PrintNumber) }

// CodeArea is the part of the row of cells in which this print has cells.
func (g Geometry) CodeArea() Rect {
	first := firstCell
	if g.PrintNumber > 1 {
		first = 0
	}
	return Rect{g.Cells[first].Min, g.Cells[CodeCells-1].Max}
}

const (
	// Rows and Columns are those of the places.
	Rows    = 3
	Columns = 6
	// RulerMM is the length of the ruler.
	RulerMM = 100.0
	// MarginMM at least is left white along every edge: printers at home cannot
	// print there.
	MarginMM = 5.0
)

// The sizes of things, in mm.
const (
	fiducialX, fiducialY  = 93.5, 57.5
	fiducialRadius        = 5.0
	fiducialHole          = 2.0
	columnPitch, rowPitch = 30.0, 30.5
	firstRowY             = -29.0
	placeRadius           = 10.0 // a drop of a gram or less spreads to 18 mm
	ringWidth             = 0.35
	doseLineBelow         = 17.5
	doseLineLength        = 26.0
	lineWidth             = 0.25
	barOverhang           = 2.0
	stripY, stripHeight   = -51.5, 9.0
	patchPitch, patchGap  = 12.0, 1.0
	cellsX, cellsY        = 18.0, 53.0
	cellWidth, cellHeight = 4.0, 4.5
	left                  = -84.0 // where words and ruler begin
	rulerY, rulerHeight   = 54.5, 4.0
)

// Layout returns the geometry of this version's card on a paper, in its first print.
func Layout(s Size) Geometry { return LayoutOfPrint(s, 1) }

// LayoutOfPrint returns the geometry of this version's card on a paper, numbered as a
// print from 1 to LastPrint; it panics beyond. Prints differ in their code alone.
func LayoutOfPrint(s Size, number int) Geometry {
	if number < 1 || number > LastPrint {
		panic(fmt.Sprintf("card: there is no print %d", number))
	}
	return Geometry{
		Size:        s,
		Version:     Version,
		PrintNumber: number,
		PaperMM:     s.PaperMM(),
		Fiducials:   fiducials(),
		Drops:       places(),
		BlackBar:    blackBar(),
		Strip:       strip(),
		Cells:       cells(),
		Code:        codeOf(s, number),
		Ruler:       at(left, rulerY, RulerMM, rulerHeight),
	}
}

func fiducials() [4]Ring {
	ring := func(x, y float64) Ring { return Ring{Point{x, y}, fiducialRadius, fiducialHole} }
	solid := Ring{Centre: Point{-fiducialX, -fiducialY}, OuterRadiusMM: fiducialRadius}
	return [4]Ring{solid, ring(fiducialX, -fiducialY), ring(fiducialX, fiducialY), ring(-fiducialX, fiducialY)}
}

func places() []Place {
	var out []Place
	for row := range Rows {
		for column := range Columns {
			centre := Point{(float64(column) - (Columns-1)/2.0) * columnPitch, firstRowY + float64(row)*rowPitch}
			out = append(out, Place{
				Number:    len(out) + 1,
				Centre:    centre,
				RadiusMM:  placeRadius,
				OverBlack: row == Rows-1,
				DoseLine:  around(Point{centre.X, centre.Y + doseLineBelow}, doseLineLength, lineWidth),
			})
		}
	}
	return out
}

// blackBar begins at the middles of the last row and ends below its rings.
func blackBar() Rect {
	const width = (Columns-1)*columnPitch + 2*(placeRadius+barOverhang)
	return at(-width/2, firstRowY+(Rows-1)*rowPitch, width, placeRadius+barOverhang)
}

func strip() []Patch {
	var out []Patch
	x := -(patchPitch*float64(len(patchColours)) - patchGap) / 2
	for _, c := range patchColours {
		out = append(out, Patch{at(x, stripY, patchPitch-patchGap, stripHeight), c})
		x += patchPitch
	}
	return out
}

func cells() (out [CodeCells]Rect) {
	for i := range out {
		out[i] = at(cellsX+float64(i)*cellWidth, cellsY, cellWidth, cellHeight)
	}
	return out
}
