package scene

import (
	"math"

	"setshade/internal/scene/transport"
)

// films tabulates what transport says of layers of one medium. A layer's film
// depends on two numbers only: a/s, absorption over scattering, and s·d,
// scattering times thickness; the card enters in closed form. So one table
// serves every wavelength, dye, thickness and card.
//
// Over a/s the table stands on Chebyshev nodes in
//
//	x = u / (u + bend),   u = sqrt(a/s)
//
// because reflection runs with the root of small absorptions; over log2(s·d) on
// an even grid, which halving a thick layer gives for nothing.
type films struct {
	medium *transport.Medium
	nodes  [tableNodes]float64 // x, falling
	// film by node and depth, from the thickest.
	film    [tableNodes][tableDepths]entry
	endless [tableNodes]entry
}

// entry is a transport.Film as seen at 45°/0°: black, through, back.
type entry [3]float64

const (
	tableNodes = 32
	bend       = 0.3
	// mostRatio is the largest a/s of the table.
	mostRatio = 10.0
	// The grid of s·d: from deepest down, so many steps a halving.
	deepest         = 128.0
	stepsPerHalving = 4
	halvings        = 13
	tableDepths     = stepsPerHalving * halvings
	// order is the number of grid points that interpolation uses.
	order = 6
)

func place(ratio float64) float64 {
	u := math.Sqrt(ratio)
	return u / (u + bend)
}

func newFilms(medium *transport.Medium) *films {
	t := &films{medium: medium}
	for i := range t.nodes {
		x := place(mostRatio) * (1 + math.Cos(math.Pi*float64(i)/(tableNodes-1))) / 2
		u := bend * x / (1 - x)
		t.nodes[i] = x
		t.endless[i] = entryOf(medium.Endless(1, u*u))
		for step := range stepsPerHalving {
			depth := deepest * math.Pow(2, -float64(step)/stepsPerHalving)
			layer := transport.Layer{ScatteringPerMM: 1, AbsorptionPerMM: u * u, ThicknessMM: depth}
			for halving, f := range medium.Films(layer, halvings) {
				t.film[i][halving*stepsPerHalving+step] = entryOf(f)
			}
		}
	}
	return t
}

func entryOf(f transport.Film) entry { return entry{f.Black, f.Through, f.Back} }

func (e entry) film() transport.Film {
	return transport.Film{Black: e[0], Through: e[1], Back: e[2]}
}

// of returns the film of a layer; only its black, through and back. Outside the
// table transport is asked directly.
func (t *films) of(l transport.Layer) transport.Film {
	depth := l.ScatteringPerMM * l.ThicknessMM
	ratio := l.AbsorptionPerMM / l.ScatteringPerMM
	position := stepsPerHalving * math.Log2(deepest/depth)
	if !(ratio <= mostRatio && position >= 0 && position <= tableDepths-1) {
		return t.medium.Film(l)
	}
	first := min(max(int(position)-order/2+1, 0), tableDepths-order)
	shares := lagrange(position - float64(first))
	return t.over(ratio, func(node int) entry {
		var e entry
		for k, share := range shares {
			for c, v := range t.film[node][first+k] {
				e[c] += share * v
			}
		}
		return e
	})
}

// thick returns the film of an endless layer.
func (t *films) thick(scattering, absorption float64) transport.Film {
	if absorption/scattering > mostRatio {
		return t.medium.Endless(scattering, absorption)
	}
	return t.over(absorption/scattering, func(node int) entry { return t.endless[node] })
}

// over interpolates over a/s by the barycentric formula on Chebyshev's points of
// the second kind (Berrut and Trefethen 2004, "Barycentric Lagrange
// interpolation", SIAM Rev. 46:501, equations 4.2 and 5.4).
func (t *films) over(ratio float64, at func(node int) entry) transport.Film {
	x := place(ratio)
	var sum entry
	weights := 0.0
	for i, node := range t.nodes {
		if x == node {
			return at(i).film()
		}
		w := 1 / (x - node)
		if i%2 == 1 {
			w = -w
		}
		if i == 0 || i == tableNodes-1 {
			w /= 2
		}
		for c, v := range at(i) {
			sum[c] += w * v
		}
		weights += w
	}
	for c := range sum {
		sum[c] /= weights
	}
	return sum.film()
}

// lagrange returns the shares of the points 0, 1, 2 and so on of a polynomial
// through them, at x.
func lagrange(x float64) (shares [order]float64) {
	for k := range shares {
		shares[k] = 1
		for j := range order {
			if j != k {
				shares[k] *= (x - float64(j)) / float64(k-j)
			}
		}
	}
	return shares
}
