package photo

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"setshade/internal/camera"
	"setshade/internal/drop"
	"setshade/internal/picture"
	"setshade/internal/plane"
	"setshade/internal/spectrum"
)

// meter reads the colours of drops on a flattened card.
type meter struct {
	p       *picture.Picture
	f       *flattened
	white   *surface
	scale   float64 // how many pixels of p one is wide that white was fitted in
	corners plane.Quad
	card    spectrum.Lab
	// correction is what sets the camera's colours right, nil for none; known says that
	// it comes from colours that are known, so that the camera is.
	correction    *camera.Corrector
	liquid, thick bool
	leftOut       []blob // wax that is no drop
	// uneven is the covariance, relative, of what is left of the light on the card
	// after flattening: the error that no averaging within a drop removes.
	uneven [channels][channels]float64
}

// look is a drop, or the part of it on one ground, as it is handed to the model.
type look struct {
	drop   int
	black  bool
	seen   drop.Seen
	around surround
	// Of the cells: the pixels of each, and the shares of pixels with a channel at the
	// top, in the drop's middle alone, or at zero where the light is near it.
	pixels           [][]int32
	clipped, crushed float64
}

// looks lists what there is to read of the drops: all, or of one that crosses the black
// bar its two halves. Halves of too few cells are left out.
func (m *meter) looks(drops []placed, around []surround) []look {
	var out []look
	for k := range drops {
		d := &drops[k]
		out = append(out, m.lookAt(k, d, d.onWhite, around[k]))
		if d.onBlack != nil {
			if half := m.lookAt(k, d, d.onBlack, around[k]); len(half.seen.Cells) >= drop.FewestCells {
				half.black = true
				out = append(out, half)
			}
		}
	}
	return out
}

// lookAt gathers the cells of a drop, all or those on one ground.
func (m *meter) lookAt(k int, d *placed, on func(i int32) bool, around surround) look {
	radius := d.diameter() / 2
	l := look{drop: k, around: around}
	centre := d.Centre.Plus(plane.Point{X: float64(m.f.x0), Y: float64(m.f.y0)})
	l.seen.Place = m.onCard(centre)
	l.seen.White = [channels]float64{1, 1, 1}
	if !m.byChannel() {
		l.seen.White = m.whiteAt(centre, around)
		luminance := luminanceOf(l.seen.White)
		for c := range l.seen.White {
			l.seen.White[c] /= luminance
		}
	}
	l.seen.White = m.p.Code.Space.FromSRGB.Times(l.seen.White)
	half := max(drop.CellWidth*radius/2, 0.5)
	total, inMiddle := 0.0, 0.0
	for _, at := range drop.Cells() {
		middle := d.Centre.Plus(at.Times(radius))
		pixels := m.cellPixels(middle, half, on)
		if pixels == nil {
			continue
		}
		cell, clipped, crushed := m.cell(pixels, middle, around)
		cell.At = at
		l.seen.Cells = append(l.seen.Cells, cell)
		l.pixels = append(l.pixels, pixels)
		if at.Length() < drop.Middle {
			l.clipped += clipped
			inMiddle++
		}
		l.crushed += crushed
		total++
	}
	l.clipped /= max(inMiddle, 1)
	l.crushed /= max(total, 1)
	return l
}

// cellPixels lists the pixels of the window in a cell, nil for a cell that does not lie
// wholly on the ground.
func (m *meter) cellPixels(middle plane.Point, half float64, on func(i int32) bool) []int32 {
	var pixels []int32
	first := func(v float64) int { return int(math.Round(v - half)) }
	last := func(v float64, from int) int { return max(from+1, int(math.Round(v+half))) }
	y0, x0 := first(middle.Y), first(middle.X)
	for y := y0; y < last(middle.Y, y0); y++ {
		for x := x0; x < last(middle.X, x0); x++ {
			if x < 0 || y < 0 || x >= m.f.w || y >= m.f.h {
				return nil
			}
			i := int32(y*m.f.w + x)
			if on == nil && !m.f.inside[i] || on != nil && !on(i) { // the bar is print, not bare card
				return nil
			}
			pixels = append(pixels, i)
		}
	}
	return pixels
}

// A channel below crushedLight of card white, in a cell of which more than a few pixels
// have a channel at zero, was cut off by the picture's colour space; one above nearTop of
// full scale, where as many have one at the top, by the exposure.
const (
	crushedLight = 0.012
	nearTop      = 0.8
	fewestCut    = 0.02
)

// cell is the mean of its pixels, in the file's channels over the luminance of white,
// with its shares of clipped and of crushed pixels.
func (m *meter) cell(pixels []int32, middle plane.Point, around surround) (c drop.Cell, clipped, crushed float64) {
	var mean [channels]float64
	n := float64(len(pixels))
	for _, i := range pixels {
		at := m.pictureIndex(i)
		for ch := range mean {
			mean[ch] += float64(m.p.Light[ch][at]) / n
		}
		clipped += float64(m.p.Clipped[at]) / (255 * n)
		crushed += float64(m.p.Crushed[at]) / (255 * n)
	}
	space := m.p.Code.Space
	white := m.whiteAt(middle.Plus(plane.Point{X: float64(m.f.x0), Y: float64(m.f.y0)}), around)
	luminance := luminanceOf(white)
	own, relative := space.FromSRGB.Times(mean), mean
	steps := space.FromSRGB.Times(m.p.Code.LumaErrorAt(mean))
	rounding := m.p.Code.ErrorAt(mean)
	for ch := range relative {
		over := luminance
		if m.byChannel() {
			over = white[ch]
		}
		relative[ch] /= over
		c.Rounding[ch] = math.Sqrt(steps[ch]*steps[ch]+rounding[ch][ch]) / over
	}
	c.Light = space.FromSRGB.Times(relative)
	cut := false
	for ch := range own {
		c.Held[ch] = crushed < fewestCut || c.Light[ch] > crushedLight
		cut = cut || !c.Held[ch]
		c.Topped[ch] = clipped > fewestCut && own[ch] > nearTop
	}
	if !cut {
		crushed = 0
	}
	return c, clipped, crushed
}

// byChannel says that light is divided by the card's white in each channel of linear sRGB,
// as the patches were that the camera was corrected by. Without a correction the division is in X,
// Y and Z, which the eye's own adaptation to the light is nearer to (von Kries).
func (m *meter) byChannel() bool { return m.correction != nil }

// whiteAt is the light of card white at a place of the picture, in linear sRGB, as the card
// around a drop shows it.
func (m *meter) whiteAt(at plane.Point, around surround) [channels]float64 {
	row := m.white.row(at.Y, m.scale)
	var light [channels]float64
	for c := range light {
		light[c] = max(horner(&row[c], at.X/m.scale/m.white.halfW-1), 1e-4) * around.light[c]
	}
	return light
}

// toXYZ takes the file's channels to X, Y and Z.
func (m *meter) toXYZ() [3][3]float64 {
	var out [3][3]float64
	for i := range out {
		for k := range channels {
			for j := range out[i] {
				out[i][j] += xyzOfLinear[i][k] * m.p.Code.Space.ToSRGB[k][j]
			}
		}
	}
	return out
}

// onCard is a place of the picture in halves of the card's longer side, from its middle,
// along the picture's own axes.
func (m *meter) onCard(at plane.Point) plane.Point {
	q := m.corners
	middle := q[0].Plus(q[1]).Plus(q[2]).Plus(q[3]).Times(0.25)
	longest := max(q[1].Minus(q[0]).Length(), q[2].Minus(q[1]).Length(), 1)
	return at.Minus(middle).Times(2 / longest)
}

func (m *meter) pictureIndex(i int32) int {
	y := i / int32(m.f.w)
	return (m.f.y0+int(y))*m.p.W + m.f.x0 + int(i) - int(y)*m.f.w
}

// colours are the looks' colours under D65, with their joint covariance.
type colours struct {
	lab   []spectrum.Lab
	joint *mat.SymDense // L*, a*, b* of each look in order
}

func (c colours) at(k int) spectrum.Measured {
	out := spectrum.Measured{Lab: c.lab[k]}
	for i := range 3 {
		for j := range 3 {
			out.Cov[i][j] = c.joint.At(3*k+i, 3*k+j)
		}
	}
	return out
}

// coloursOf turns bodies into colours: relative to the white of the card, whose own
// colour is known, and set right by what the camera was found to do.
//
//	Σ = J (B + O) Jᵀ + C
//
// B is the covariance of the fit, O what each drop has of its own beside it (the light
// left uneven on the card, the doubt of a shadow's edge, the rounding of the file's
// code), J the slopes of L*, a* and b*, and C what cameras do to colours that nothing in
// the picture corrects.
func (m *meter) coloursOf(looks []look, r *drop.Reading) colours {
	n := len(looks)
	out := colours{lab: make([]spectrum.Lab, n), joint: mat.NewSymDense(3*n, nil)}
	slopes, bodies := mat.NewDense(3*n, 3*n, nil), mat.NewSymDense(3*n, nil)
	bodies.CopySym(r.Covariance)
	for k := range looks {
		own := m.ownError(&looks[k], r.Body[k])
		lab, slope := m.labOf(r.Body[k])
		out.lab[k] = lab
		for i := range 3 {
			for j := range 3 {
				slopes.Set(3*k+i, 3*k+j, slope[i][j])
				if j >= i {
					bodies.SetSym(3*k+i, 3*k+j, bodies.At(3*k+i, 3*k+j)+own[i][j])
				}
			}
		}
	}
	var half, full mat.Dense
	half.Mul(slopes, bodies)
	full.Mul(&half, slopes.T())
	for i := range 3 * n {
		for j := i; j < 3*n; j++ {
			out.joint.SetSym(i, j, (full.At(i, j)+full.At(j, i))/2)
		}
	}
	if m.correction == nil {
		doubtCamera(out)
	}
	return out
}

// labOf is the colour of a body, with the slopes of L*, a* and b* against it.
func (m *meter) labOf(body [3]float64) (spectrum.Lab, [3][3]float64) {
	white := spectrum.D65.White()
	card := m.card.XYZ(white)
	colour := func(b [3]float64) spectrum.Lab {
		lab := spectrum.XYZ{X: b[0] * card.X, Y: b[1] * card.Y, Z: b[2] * card.Z}.Lab(white)
		if m.correction == nil {
			return lab
		}
		mixed := m.correction.Mixed(linearOf(lab))
		return spectrum.LabOfLinear(mixed[red], mixed[green], mixed[blue])
	}
	var slope [3][3]float64
	for j := range 3 {
		step := max(1e-3*body[j], 1e-6)
		up, down := body, body
		up[j] += step
		down[j] -= step
		u, d := colour(up).Vector(), colour(down).Vector()
		for i := range 3 {
			slope[i][j] = (u[i] - d[i]) / (2 * step)
		}
	}
	return colour(body), slope
}

// ownError is what a body has of its own beside the fit, as the covariance of X, Y, Z
// over white.
func (m *meter) ownError(l *look, body [3]float64) (out [3][3]float64) {
	space := m.p.Code.Space
	white := space.ToSRGB.Times(l.seen.White)
	toXYZ := xyzOfLinear
	over := toXYZ.Times(white)
	// The light that was measured, in linear sRGB, and the ratio in each channel.
	var xyz, light, ratio [channels]float64
	for j := range xyz {
		xyz[j] = body[j] * over[j]
	}
	light = linearOfXYZ.Times(xyz)
	for c := range ratio {
		ratio[c] = light[c] / white[c]
	}
	var level [channels]float64
	for c := range level {
		level[c] = light[c] * m.white.level
	}
	rounding := m.p.Code.ErrorAt(level)
	var own [channels][channels]float64
	for a := range channels {
		for b := range channels {
			own[a][b] = rounding[a][b]/(m.white.level*m.white.level) +
				(m.uneven[a][b]+l.around.doubt*l.around.doubt)*ratio[a]*ratio[b]*white[a]*white[b]
		}
	}
	for i := range 3 {
		for j := range 3 {
			for a := range channels {
				for b := range channels {
					out[i][j] += toXYZ[i][a] / over[i] * own[a][b] * toXYZ[j][b] / over[j]
				}
			}
		}
	}
	return out
}

// What telephones and cameras do to colours that nothing in the picture corrects, as
// shares of chroma: all more or less vivid alike, all turned alike, and each in its own
// way; and to lightness, at middling lightness. Two measured cameras with white balance
// and a matrix (Darrodi et al. 2015) were off by 4 % of chroma on path-traced drops.
const (
	cameraVivid, cameraTurn = 0.025, 0.02
	cameraOwn               = 0.025
	cameraTone              = 0.5 // L*
)

// doubtCamera adds them.
func doubtCamera(c colours) {
	n := len(c.lab)
	add := func(a, b int, va, vb [3]float64) {
		for i := range 3 {
			for j := range 3 {
				if x, y := 3*a+i, 3*b+j; y >= x {
					c.joint.SetSym(x, y, c.joint.At(x, y)+va[i]*vb[j])
				}
			}
		}
	}
	vivid, turn, tone := make([][3]float64, n), make([][3]float64, n), make([][3]float64, n)
	for k, lab := range c.lab {
		vivid[k] = [3]float64{0, cameraVivid * lab.A, cameraVivid * lab.B}
		turn[k] = [3]float64{0, -cameraTurn * lab.B, cameraTurn * lab.A}
		share := min(max(lab.L/100, 0), 1)
		tone[k] = [3]float64{cameraTone * 4 * share * (1 - share)}
		own := cameraOwn * lab.Chroma()
		add(k, k, [3]float64{0, own}, [3]float64{0, own})
		add(k, k, [3]float64{0, 0, own}, [3]float64{0, 0, own})
	}
	for a := range n {
		for b := a; b < n; b++ {
			for _, shared := range [][][3]float64{vivid, turn, tone} {
				add(a, b, shared[a], shared[b])
			}
		}
	}
}
