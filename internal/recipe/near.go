package recipe

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"setshade/internal/spectrum"
)

// near is what is known of all colours within a CIEDE2000 difference of the
// target: that they lie in a box, in an ellipsoid
//
//	(c - centre)ᵀ shape⁻¹ (c - centre) <= 1
//
// of L*, a*, b*, and in intervals of X, Y, Z.
type near struct {
	within float64
	box    labBox
	centre [3]float64
	shape  [3][3]float64
	xyz    [3][2]float64
}

// farthest is the difference from which on all colours count as near.
const farthest = 30.0

// nearTo works out what is near. From a first box it drops every cell that lies
// beyond the difference, again and again until the box no longer shrinks, and
// lays the ellipsoid around the cells that are left.
func nearTo(target spectrum.Lab, within float64) near {
	within = max(within, 1e-6) // for cells need a volume
	n := near{within: within, box: firstBox(target, within)}
	cells := []labBox{n.box}
	if within < farthest {
		halvings := 9
		if within > 3 { // few shelves stay this far, but then all cells are large
			halvings = 12
		}
		for last := math.Inf(1); n.box.volume() < 0.95*last; {
			last = n.box.volume()
			cells = cellsWithin(nil, target, n.box, within, halvings)
			n.box = hullOf(cells)
		}
		cells = cellsWithin(nil, target, n.box, within, halvings+3)
		n.box = hullOf(cells)
	}
	n.wrap(cells)
	for x, shares := range [3][3]float64{{1.0 / 116, 1.0 / 500, 0}, {1.0 / 116, 0, 0}, {1.0 / 116, 0, -1.0 / 200}} {
		low, high := n.span(&shares)
		n.xyz[x] = [2]float64{cube(low+16.0/116) * white[x], cube(high+16.0/116) * white[x]}
	}
	return n
}

// firstBox holds every colour within the difference by bounds that hold for
// all: S_L <= 1 + 0.015 |L' - 50| and S_C = 1 + 0.045 C' of the means, with
// |R_T| at its most, solved for the difference in the other colour.
func firstBox(target spectrum.Lab, within float64) labBox {
	const anywhere = 500 // takes in every colour of a surface
	half := [3]float64{anywhere, anywhere, anywhere}
	if slack := 1 - 0.0075*within; slack > 0 {
		half[0] = min(anywhere, within*(1+0.015*math.Abs(target.L-50))/slack+rounding)
	}
	if slack := math.Sqrt(1-mostRotator/2) - 0.0225*within; slack > 0 {
		plane := min(anywhere, within*(1+0.045*math.Hypot(1.5*target.A, target.B))/slack+rounding)
		half[1], half[2] = plane, plane
	}
	return around(target, half)
}

// cellsWithin appends the cells of a box that may hold colours within the
// difference, after so many halvings, of each coordinate in turn.
func cellsWithin(cells []labBox, target spectrum.Lab, b labBox, within float64, halvings int) []labBox {
	if leastDE00(target, b) > within {
		return cells
	}
	if halvings == 0 {
		return append(cells, b)
	}
	lower, upper := b.halves(halvings % 3)
	cells = cellsWithin(cells, target, lower, within, halvings-1)
	return cellsWithin(cells, target, upper, within, halvings-1)
}

func (b labBox) volume() float64 {
	v := 1.0
	for i := range 3 {
		v *= b.most[i] - b.least[i]
	}
	return v
}

// hullOf is the box around boxes.
func hullOf(boxes []labBox) labBox {
	hull := boxes[0]
	for _, b := range boxes {
		for i := range 3 {
			hull.least[i], hull.most[i] = min(hull.least[i], b.least[i]), max(hull.most[i], b.most[i])
		}
	}
	return hull
}

// wrap lays an ellipsoid around cells: the shape of their scatter about their
// mean, made so large that it takes in every corner.
func (n *near) wrap(cells []labBox) {
	corners := cornersOf(cells)
	for _, c := range corners {
		for i := range c {
			n.centre[i] += c[i] / float64(len(corners))
		}
	}
	scatter := mat.NewSymDense(3, nil)
	for r := range 3 {
		for c := r; c < 3; c++ {
			sum := 0.0
			for _, k := range corners {
				sum += (k[r] - n.centre[r]) * (k[c] - n.centre[c])
			}
			scatter.SetSym(r, c, sum/float64(len(corners)))
		}
	}
	var chol mat.Cholesky
	var inverse mat.SymDense
	if !chol.Factorize(scatter) || chol.InverseTo(&inverse) != nil {
		panic("recipe: cells have a volume")
	}
	var per [3][3]float64
	for r := range 3 {
		for c := range 3 {
			per[r][c] = inverse.At(r, c)
		}
	}
	size := 0.0
	for _, k := range corners {
		square := 0.0
		for r := range 3 {
			for c := range 3 {
				square += (k[r] - n.centre[r]) * per[r][c] * (k[c] - n.centre[c])
			}
		}
		size = max(size, square)
	}
	for r := range 3 {
		for c := range 3 {
			n.shape[r][c] = scatter.At(r, c) * size * (1 + 1e-6)
		}
	}
}

func cornersOf(cells []labBox) [][3]float64 {
	corners := make([][3]float64, 0, 8*len(cells))
	for _, b := range cells {
		for k := range 8 {
			c := b.least
			for i := range c {
				if k>>i&1 == 1 {
					c[i] = b.most[i]
				}
			}
			corners = append(corners, c)
		}
	}
	return corners
}

// span returns the least and the most that shares of L*, a*, b* add up to over
// the ellipsoid.
func (n *near) span(shares *[3]float64) (least, most float64) {
	middle, square := 0.0, 0.0
	for r, p := range shares {
		middle += p * n.centre[r]
		square += p * (shares[0]*n.shape[r][0] + shares[1]*n.shape[r][1] + shares[2]*n.shape[r][2])
	}
	half := math.Sqrt(max(0, square))
	return middle - half, middle + half
}
