package report

import (
	"image"
	"image/color"
	"image/draw"
	"strings"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/opentype"
	fixedpoint "golang.org/x/image/math/fixed"

	"setshade/internal/spectrum"
)

// Pair is a predicted and a measured colour with the lines that explain them.
type Pair struct {
	Predicted, Measured spectrum.Lab
	Lines               []string
}

// PairGroup is pairs under a heading.
type PairGroup struct {
	Title string
	Pairs []Pair
}

// The measures of the picture in pixels.
const (
	pairColumns = 5
	pairWide    = 330
	pairHigh    = 120
	pairGap     = 32
	tickHigh    = 7
	margin      = 60
	titleSize   = 34
	headingSize = 25
	labelSize   = 19
)

// surround is a neutral grey of L* 50. Beside white a colour looks darker than
// it is, beside black lighter; ISO 3664 asks for a neutral grey around what is
// compared (from memory).
var surround = color.RGBA{119, 119, 119, 255}

// Beside draws each pair as one patch, the left half predicted and the right
// half measured, edge to edge: where the halves cannot be told apart, the
// prediction holds. Groups without pairs are left out.
func Beside(title string, groups ...PairGroup) image.Image {
	b := newBeside(groups)
	b.title(title)
	for _, g := range b.groups {
		b.group(g)
	}
	return b.RGBA
}

// beside is the canvas, with the height at which to go on.
type beside struct {
	*image.RGBA
	groups               []PairGroup
	y                    int
	large, bold, regular font.Face
}

func newBeside(groups []PairGroup) *beside {
	b := &beside{large: face(gobold.TTF, titleSize), bold: face(gobold.TTF, headingSize), regular: face(goregular.TTF, labelSize)}
	high := 2*margin + 3*titleSize
	for _, g := range groups {
		if len(g.Pairs) == 0 {
			continue
		}
		b.groups = append(b.groups, g)
		high += 3 * headingSize
		for _, row := range rowsOf(g.Pairs) {
			high += b.rowHigh(row)
		}
	}
	b.RGBA = image.NewRGBA(image.Rect(0, 0, 2*margin+pairColumns*pairWide+(pairColumns-1)*pairGap, high))
	draw.Draw(b.RGBA, b.Rect, image.NewUniform(surround), image.Point{}, draw.Src)
	b.y = margin
	return b
}

func face(ttf []byte, size float64) font.Face {
	parsed, err := opentype.Parse(ttf)
	if err != nil {
		panic("report: built-in font: " + err.Error())
	}
	f, err := opentype.NewFace(parsed, &opentype.FaceOptions{Size: size, DPI: 72, Hinting: font.HintingFull})
	if err != nil {
		panic("report: built-in font: " + err.Error())
	}
	return f
}

// rowsOf breaks pairs into rows.
func rowsOf(pairs []Pair) [][]Pair {
	var rows [][]Pair
	for len(pairs) > pairColumns {
		rows, pairs = append(rows, pairs[:pairColumns]), pairs[pairColumns:]
	}
	return append(rows, pairs)
}

// rowHigh is the height of a row with its labels and the gap below.
func (b *beside) rowHigh(row []Pair) int {
	most := 0
	for _, p := range row {
		most = max(most, len(b.label(p)))
	}
	return pairHigh + most*labelLine + pairGap
}

const labelLine = labelSize * 5 / 4

// label is the lines of a pair, broken to the width of its patch.
func (b *beside) label(p Pair) []string {
	lines := p.Lines
	if p.Predicted.Display().Clipped || p.Measured.Display().Clipped {
		lines = append(lines[:len(lines):len(lines)], "stronger than a screen shows")
	}
	var out []string
	for _, l := range lines {
		out = append(out, b.broken(l)...)
	}
	return out
}

// broken breaks a line at its plus signs where it is too wide.
func (b *beside) broken(line string) []string {
	var out []string
	for {
		if font.MeasureString(b.regular, line).Ceil() <= pairWide {
			return append(out, line)
		}
		at := strings.LastIndex(line, " + ")
		for at > 0 && font.MeasureString(b.regular, line[:at+2]).Ceil() > pairWide {
			at = strings.LastIndex(line[:at], " + ")
		}
		if at < 0 {
			return append(out, line)
		}
		out, line = append(out, line[:at+2]), "    "+line[at+3:]
	}
}

var (
	inkStrong = color.RGBA{255, 255, 255, 255}
	inkLabel  = color.RGBA{235, 235, 235, 255}
)

func (b *beside) title(name string) {
	b.y += titleSize
	b.text(b.large, name+": predicted | measured", margin, b.y, inkStrong)
	b.y += titleSize
	b.text(b.regular, "Left of the tick predicted, right of it measured; doses in g/kg. Screens differ, but both halves of a patch by as much.", margin, b.y, inkLabel)
	b.y += titleSize
}

func (b *beside) group(g PairGroup) {
	b.y += 2 * headingSize
	b.text(b.bold, g.Title, margin, b.y, inkStrong)
	b.y += headingSize
	for _, row := range rowsOf(g.Pairs) {
		for i, p := range row {
			b.pair(p, margin+i*(pairWide+pairGap))
		}
		b.y += b.rowHigh(row)
	}
}

func (b *beside) pair(p Pair, left int) {
	middle := left + pairWide/2
	b.patch(p.Predicted, image.Rect(left, b.y, middle, b.y+pairHigh))
	b.patch(p.Measured, image.Rect(middle, b.y, left+pairWide, b.y+pairHigh))
	tick := image.Rect(middle-1, b.y+pairHigh, middle+1, b.y+pairHigh+tickHigh)
	draw.Draw(b.RGBA, tick, image.NewUniform(inkLabel), image.Point{}, draw.Src)
	draw.Draw(b.RGBA, tick.Sub(image.Pt(0, pairHigh+tickHigh)), image.NewUniform(inkLabel), image.Point{}, draw.Src)
	for i, line := range b.label(p) {
		b.text(b.regular, line, left, b.y+pairHigh+(i+1)*labelLine+tickHigh/2, inkLabel)
	}
}

func (b *beside) patch(c spectrum.Lab, area image.Rectangle) {
	d := c.Display()
	draw.Draw(b.RGBA, area, image.NewUniform(color.RGBA{d.R, d.G, d.B, 255}), image.Point{}, draw.Src)
}

func (b *beside) text(f font.Face, s string, left, baseline int, ink color.RGBA) {
	d := font.Drawer{Dst: b.RGBA, Src: image.NewUniform(ink), Face: f, Dot: fixedpoint.P(left, baseline)}
	d.DrawString(s)
}
