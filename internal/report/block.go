package report

import (
	"fmt"
	"strings"

	"setshade/internal/spectrum"
)

// Colours is how many colours a terminal can show.
type Colours int

// The three abilities of a terminal that matter here.
const (
	NoColours Colours = iota
	Palette256
	TrueColour
)

// ColoursOf decides what to draw from the environment: nothing unless the
// output is a terminal, and nothing when NO_COLOR is set to anything
// (no-color.org) or TERM is "dumb"; true colour when COLORTERM says so; else
// the 256-colour palette when TERM does.
func ColoursOf(getenv func(string) string, isTerminal bool) Colours {
	term, colorTerm := getenv("TERM"), getenv("COLORTERM")
	switch {
	case !isTerminal || getenv("NO_COLOR") != "" || term == "dumb":
		return NoColours
	case colorTerm == "truecolor" || colorTerm == "24bit":
		return TrueColour
	case strings.Contains(term, "256color"):
		return Palette256
	}
	return NoColours
}

// Shade writes a colour as a block where the terminal can show it, its hex
// code and its word.
func (c Colours) Shade(lab spectrum.Lab) string {
	text := lab.Hex() + " " + ColourWord(lab)
	if block := c.Block(lab); block != "" {
		return block + " " + text
	}
	return text
}

// Patch writes a colour as a block where the terminal can show it, and its hex
// code: for a colour whose word stands beside it.
func (c Colours) Patch(lab spectrum.Lab) string {
	return strings.TrimLeft(c.Block(lab)+" "+lab.Hex(), " ")
}

// Block is a patch of the colour four columns wide, or "".
func (c Colours) Block(lab spectrum.Lab) string {
	d := lab.Display()
	switch c {
	case TrueColour:
		return fmt.Sprintf("\x1b[48;2;%d;%d;%dm    \x1b[0m", d.R, d.G, d.B)
	case Palette256:
		return fmt.Sprintf("\x1b[48;5;%dm    \x1b[0m", nearest256(d))
	}
	return ""
}

// nearest256 is the entry of xterm's palette nearest in display values: the
// 6×6×6 cube from 16 and the 24 greys from 232.
func nearest256(d spectrum.Display) int {
	best, bestDistance := 0, 1<<30
	consider := func(index, r, g, b int) {
		dr, dg, db := r-int(d.R), g-int(d.G), b-int(d.B)
		if distance := dr*dr + dg*dg + db*db; distance < bestDistance {
			best, bestDistance = index, distance
		}
	}
	steps := [6]int{0, 95, 135, 175, 215, 255}
	for i := range 216 {
		consider(16+i, steps[i/36], steps[i/6%6], steps[i%6])
	}
	for i := range 24 {
		grey := 8 + 10*i
		consider(232+i, grey, grey, grey)
	}
	return best
}
