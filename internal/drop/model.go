package drop

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"setshade/internal/leastsquares"
)

// The unknowns of one drop, by their number after its first.
const (
	body = iota // X, Y, Z over card white, as logarithms
	_
	_
	slope // tilt at the rim, log
	bend  // of X, Y, Z: what the thinning leaves of how the body changes outwards
	_
	_
	stray // how far off the lobe stands in this drop, x and y
	_
	ofDrop
)

// The unknowns that all drops share, by their number after the last drop's.
const (
	gradient = iota // of the shade, x and y, by tilt
	_
	curve // of the shade, by tilt squared
	room  // the room's mirrored light, as a share of white
	tint  // X and Z of the room over its Y, less 1
	_
	lean // the room's gradient, x and y, by tilt
	_
	height // of the lobe, log of its share of white
	lobeAt // the tilt at which it stands, x and y
	_
	width   // log, in tilt
	tail    // log of the power by which it falls off
	ellipse // its stretch along x and y, and along the diagonals
	_
	drift // how the tilt of the lobe moves with the place on the card: xx, xy, yx, yy
	_
	_
	_
	lobeTint // X and Z of the lobe over its Y, less 1
	_
	thinning // share of a drop's depth that is lost at the rim, by r² and by r⁴
	_
	shield   // how much of the room the dark thing above takes away, share of white
	shieldAt // the tilt at which it stands, x and y
	_
	shieldWide // log, in tilt
	shieldNear // how its tilt moves with the place on the card
	shared
)

const perCell = ofDrop + shared

// model is the drops of one photograph under one supposed kind of room.
type model struct {
	seen   []Seen
	liquid bool
	kind   kind
	toFile [][3][3]float64 // of each drop: X, Y, Z over card white to the file's channels
	scale  float64         // of the residuals, in units of noiseOf
	first  int             // number of the first shared unknown

	residuals, slopes []float64 // kept from call to call of fill
}

func (m *model) unknowns() int { return m.first + shared }

// view is what the model says of one cell, with its slopes against the unknowns of
// the drop and then the shared ones.
type view struct {
	light [3]float64          // the file's channels
	slope [3][perCell]float64 // of light
	xyz   [3][perCell]float64 // scratch
}

// lobeValue is A / (1 + q^p) at a tilt, q the square of the distance in widths, with its
// slopes against the distance (x, y), the log width, the two of the ellipse and log p.
type lobeValue struct{ value, dx, dy, byWidth, byEllipse1, byEllipse2, byTail float64 }

func lobe(height, dx, dy, logWidth, e1, e2, logTail float64) (l lobeValue) {
	narrow := math.Exp(-2 * logWidth)
	q := max(narrow*((1+e1)*dx*dx+(1-e1)*dy*dy+2*e2*dx*dy), 1e-9)
	p := math.Exp(logTail)
	qp := math.Pow(q, p)
	share := 1 / (1 + qp)
	l.value = height * share
	byQ := -height * p * qp / q * share * share
	l.dx, l.dy = byQ*narrow*2*((1+e1)*dx+e2*dy), byQ*narrow*2*((1-e1)*dy+e2*dx)
	l.byWidth = -2 * q * byQ
	l.byEllipse1, l.byEllipse2 = byQ*narrow*(dx*dx-dy*dy), byQ*narrow*2*dx*dy
	l.byTail = -height * qp * p * math.Log(q) * share * share
	return l
}

// look evaluates the model at a cell of drop d.
func (m *model) look(d int, c *Cell, x []float64, out *view) {
	own, all := x[d*ofDrop:], x[m.first:]
	place := m.seen[d].Place
	k := math.Exp(own[slope])
	tx, ty := k*c.At.X, k*c.At.Y
	square := c.At.X*c.At.X + c.At.Y*c.At.Y
	r2, r4 := square-meanR2, square*square-meanR4

	shade := 1 + all[gradient]*tx + all[gradient+1]*ty + all[curve]*k*k*r2
	shadeBySlope := all[gradient]*tx + all[gradient+1]*ty + 2*all[curve]*k*k*r2
	thin := all[thinning]*r2 + all[thinning+1]*r4

	l := lobe(math.Exp(all[height]),
		tx-all[lobeAt]-all[drift]*place.X-all[drift+1]*place.Y-own[stray],
		ty-all[lobeAt+1]-all[drift+2]*place.X-all[drift+3]*place.Y-own[stray+1],
		all[width], all[ellipse], all[ellipse+1], all[tail])
	mirrored := all[room] + all[lean]*tx + all[lean+1]*ty
	leanX, leanY := all[lean], all[lean+1]
	var dark lobeValue
	if m.kind.shield > 0 {
		dark = lobe(1, tx-all[shieldAt]-all[shieldNear]*place.X, ty-all[shieldAt+1]-all[shieldNear]*place.Y,
			all[shieldWide], 0, 0, math.Log(2))
		mirrored -= all[shield] * dark.value
		leanX -= all[shield] * dark.dx
		leanY -= all[shield] * dark.dy
	}

	var value [3]float64
	for j := range 3 {
		ofRoom, ofLobe := 1.0, 1.0
		if j != 1 {
			ofRoom += all[tint+j/2]
			ofLobe += all[lobeTint+j/2]
		}
		thinned := math.Exp(own[body+j] + own[bend+j]*r2 - thin*own[body+j])
		lit := thinned * shade
		value[j] = lit + ofRoom*mirrored + ofLobe*l.value

		s := &out.xyz[j]
		*s = [perCell]float64{}
		s[body+j] = lit * (1 - thin)
		s[slope] = thinned*shadeBySlope + ofRoom*(leanX*tx+leanY*ty) + ofLobe*(l.dx*tx+l.dy*ty)
		s[bend+j] = lit * r2
		s[stray], s[stray+1] = -ofLobe*l.dx, -ofLobe*l.dy
		g := s[ofDrop:]
		g[gradient], g[gradient+1], g[curve] = thinned*tx, thinned*ty, thinned*k*k*r2
		g[room], g[lean], g[lean+1] = ofRoom, ofRoom*tx, ofRoom*ty
		g[height], g[width], g[tail] = ofLobe*l.value, ofLobe*l.byWidth, ofLobe*l.byTail
		g[lobeAt], g[lobeAt+1] = -ofLobe*l.dx, -ofLobe*l.dy
		g[ellipse], g[ellipse+1] = ofLobe*l.byEllipse1, ofLobe*l.byEllipse2
		g[drift], g[drift+1] = -ofLobe*l.dx*place.X, -ofLobe*l.dx*place.Y
		g[drift+2], g[drift+3] = -ofLobe*l.dy*place.X, -ofLobe*l.dy*place.Y
		g[thinning], g[thinning+1] = -own[body+j]*r2*lit, -own[body+j]*r4*lit
		if j != 1 {
			g[tint+j/2], g[lobeTint+j/2] = mirrored, l.value
		}
		if m.kind.shield > 0 {
			taken := -ofRoom * all[shield]
			g[shield] = -ofRoom * dark.value
			g[shieldAt], g[shieldAt+1] = -taken*dark.dx, -taken*dark.dy
			g[shieldWide] = taken * dark.byWidth
			g[shieldNear] = -taken * (dark.dx*place.X + dark.dy*place.Y)
		}
	}
	t := &m.toFile[d]
	for ch := range 3 {
		out.light[ch] = t[ch][0]*value[0] + t[ch][1]*value[1] + t[ch][2]*value[2]
		for i := range perCell {
			out.slope[ch][i] = t[ch][0]*out.xyz[0][i] + t[ch][1]*out.xyz[1][i] + t[ch][2]*out.xyz[2][i]
		}
	}
}

// noiseOf is what a cell usually departs from the model by, before the photograph's own
// scale is found: the drop's bumps and the file's noise.
func noiseOf(c *Cell, ch int) float64 {
	const bumps, share = 0.003, 0.006
	uneven := share * c.Light[ch]
	return math.Sqrt(bumps*bumps + uneven*uneven + c.Rounding[ch]*c.Rounding[ch])
}

// freedom is that of the Student's t distribution of the residuals, and temper what a
// cell counts: its neighbours share its error, so that some fifty cells tell as much as
// eight that are independent would. Counted as independent, the room's light was sure
// and wrong (path-traced drops under an overcast sky: 1.75 dE00 for 0.4).
const (
	freedom = 4
	temper  = 0.15
)

// residual of a channel of a cell, in units of what is usual. A channel that the file
// cut off says nothing where the model lies beyond it.
func (m *model) residual(c *Cell, ch int, light float64) (r float64, counts bool) {
	if !c.Held[ch] && light < c.Light[ch] || c.Topped[ch] && light > c.Light[ch] {
		return 0, false
	}
	return (light - c.Light[ch]) / (m.scale * noiseOf(c, ch)), true
}

func (m *model) fill(x []float64, into *leastsquares.Sum) {
	var v view
	var numbers [perCell]int
	for i := range shared {
		numbers[ofDrop+i] = m.first + i
	}
	for d := range m.seen {
		for i := range ofDrop {
			numbers[i] = d*ofDrop + i
		}
		rows := 3 * len(m.seen[d].Cells)
		if len(m.slopes) < perCell*rows {
			m.residuals, m.slopes = make([]float64, rows), make([]float64, perCell*rows)
		}
		residuals, slopes := m.residuals[:0], mat.NewDense(perCell, rows, m.slopes[:perCell*rows])
		for i := range m.seen[d].Cells {
			c := &m.seen[d].Cells[i]
			m.look(d, c, x, &v)
			for ch := range 3 {
				r, counts := m.residual(c, ch, v.light[ch])
				if !counts {
					continue
				}
				per := 1 / (m.scale * noiseOf(c, ch))
				for k, s := range v.slope[ch] {
					m.slopes[k*rows+len(residuals)] = s * per
				}
				residuals = append(residuals, r)
			}
		}
		if n := len(residuals); n > 0 {
			into.AddRobust(residuals, temper, freedom, numbers[:], slopes.Slice(0, perCell, 0, n).(*mat.Dense))
		}
	}
	m.addPriors(x, into)
}
