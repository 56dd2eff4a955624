package drop

import (
	"math"

	"setshade/internal/plane"
)

// Cell is a small square of a drop's middle, as the mean of its pixels.
type Cell struct {
	// At is its middle, from the drop's centre, in radii of the drop; Within is the
	// largest distance that is of use.
	At plane.Point
	// Light is linear, in the channels of the file, over the luminance of card white
	// at the same place.
	Light [3]float64
	// Held says of each channel whether the file could hold it: one that is cut off
	// at zero tells only that the light is no more than that. Topped says that it is
	// cut off at full scale, and that the light is no less.
	Held, Topped [3]bool
	// Rounding is the standard deviation that the file's own steps leave, as Light is.
	Rounding [3]float64
}

// Seen is one drop as the photograph shows it, or the part of it that lies on one
// ground.
type Seen struct {
	Cells []Cell
	// Place is where it lies on the card: 0, 0 in its middle and -1 to 1 along its
	// longer side.
	Place plane.Point
	// White is the light of card white there, in the channels of the file, for a
	// luminance of 1.
	White [3]float64
}

// Within is how far from the centre, in radii, a drop is looked at; beyond it wax is
// thin, and the card shines through translucent wax from the side. CellWidth is the
// width of a cell.
const (
	Within    = 0.6
	CellWidth = 0.15
)

// FewestCells is how many cells a drop is read from at least.
const FewestCells = 5

// Cells returns the middles of the cells of a drop.
func Cells() []plane.Point {
	var out []plane.Point
	const reach = int(Within / CellWidth)
	for y := -reach; y <= reach; y++ {
		for x := -reach; x <= reach; x++ {
			at := plane.Point{X: float64(x) * CellWidth, Y: float64(y) * CellWidth}
			if at.Length() <= Within*(1+1e-9) {
				out = append(out, at)
			}
		}
	}
	return out
}

// Middle is the part of a drop that its body is the mean of, in radii; meanR2 and
// meanR4 are the means of r² and r⁴ over it.
const Middle = 0.35

var meanR2, meanR4 = Middle * Middle / 2, math.Pow(Middle, 4) / 3
