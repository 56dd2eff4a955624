package photo

import (
	"cmp"
	"math"
	"slices"

	"setshade/internal/camera"
	"setshade/internal/picture"
	"setshade/internal/plane"
	"setshade/internal/spectrum"
)

// The chart of 24 patches: six across, four down, numbered row by row from the
// dark brown one, with the greys from white to black in the last row (McCamy,
// Marcus and Davidson 1976, "A color-rendition chart", J. Appl. Photogr. Eng.
// 2(3)).
const (
	chartColumns = 6
	chartRows    = 4
	chartPatches = chartColumns * chartRows
	chartWhite   = 18 // index of the white patch
)

// Chart is a 24-patch chart as read from a photograph.
type Chart struct {
	// Colours are those of the patches after correction, under D65.
	Colours [chartPatches]spectrum.Lab
	// HeldOut are the same, each patch read by a correction that it took no part
	// in, neither in its fit nor in the choice of its form.
	HeldOut [chartPatches]spectrum.Lab
	// Sound says of each patch that no channel is clipped; others take no part.
	Sound [chartPatches]bool
	// CentresPx are the middles of the patches in pixels of the upright picture,
	// x and y.
	CentresPx  [chartPatches][2]float64
	Correction Correction
	// Notes are remarks on the picture, in plain words.
	Notes []string
}

// chartFound is a chart in a picture.
type chartFound struct {
	onto    plane.Homography // from columns and rows, counted from 0 at the first patch's middle
	patches [chartPatches]Patch
}

const showChart = "photograph the whole chart, flat, with its dark frame, so that each patch is at least 10 pixels wide"

// findChart looks for the chart: squares of even light on a grid, and of all
// ways to lay six by four of them over it the one whose patches look most like
// the known colours.
func findChart(p *picture.Picture, known []spectrum.Lab) (chartFound, *picture.Refusal) {
	small := p.Coarse(500)
	grid := latticeOf(squaresIn(small))
	const leastNodes = 9
	if len(grid) < leastNodes {
		return chartFound{}, picture.Refuse(showChart, "no chart of 24 patches was found in the picture")
	}
	var pairs []plane.Pair
	for cell, centre := range grid {
		pairs = append(pairs, plane.Pair{From: plane.Point{X: float64(cell[0]), Y: float64(cell[1])}, To: centre})
	}
	slices.SortFunc(pairs, func(a, b plane.Pair) int {
		return cmp.Or(cmp.Compare(a.From.Y, b.From.Y), cmp.Compare(a.From.X, b.From.X))
	})
	onto, _, ok := plane.FitMap(pairs)
	if !ok {
		return chartFound{}, picture.Refuse(showChart, "no chart of 24 patches was found in the picture")
	}
	scale := float64(small.Scale) / float64(p.Scale)
	onto = plane.Homography{scale, 0, 0, 0, scale, 0, 0, 0, 1}.After(onto)
	return bestLay(p, onto, pairs, known)
}

// square is an even area as wide as it is high.
type square struct {
	centre plane.Point
	side   float64
}

func squaresIn(p *picture.Picture) []square {
	regions, _ := evenRegions(p)
	var squares []square
	for _, r := range regions {
		const least, largest = 36, 0.03 // pixels; share of the picture
		if len(r.pixels) < least || float64(len(r.pixels)) > largest*float64(p.W*p.H) {
			continue
		}
		e := plane.MomentsOfPixels(r.pixels, p.W)
		long, short := e.Axes()
		// A square of side a has second moments a²/12: axes of 2a/√3.
		box := long * short * 3 / 4
		const solid, longest = 0.8, 1.6
		if long < longest*short && float64(len(r.pixels)) > solid*box {
			squares = append(squares, square{e.Centre, math.Sqrt(float64(len(r.pixels)))})
		}
	}
	return squares
}

// latticeOf returns the largest set of squares that stand side by side on a grid,
// by column and row.
func latticeOf(squares []square) map[[2]int]plane.Point {
	var best map[[2]int]plane.Point
	for i, a := range squares {
		for _, b := range squares {
			step := b.centre.Minus(a.centre)
			if d := step.Length(); d < 1.0*a.side || d > 1.9*a.side || !alike(a, b) {
				continue
			}
			if grid := grownFrom(squares, i, step); len(grid) > len(best) {
				best = grid
			}
		}
	}
	return best
}

func alike(a, b square) bool { return a.side < 1.35*b.side && b.side < 1.35*a.side }

// node is a square on the grid with the steps to its neighbours, which change
// slowly across a chart in perspective.
type node struct {
	square      int
	cell        [2]int
	right, down plane.Point
}

func grownFrom(squares []square, first int, right plane.Point) map[[2]int]plane.Point {
	grid := map[[2]int]plane.Point{{}: squares[first].centre}
	used := map[int]bool{first: true}
	queue := []node{{square: first, right: right, down: plane.Point{X: -right.Y, Y: right.X}}}
	for len(queue) > 0 {
		n := queue[0]
		queue = queue[1:]
		for _, d := range [4][2]int{{1, 0}, {0, 1}, {-1, 0}, {0, -1}} {
			cell := [2]int{n.cell[0] + d[0], n.cell[1] + d[1]}
			if _, taken := grid[cell]; taken {
				continue
			}
			step := n.right.Times(float64(d[0])).Plus(n.down.Times(float64(d[1])))
			expected := squares[n.square].centre.Plus(step)
			const near = 0.22
			for k, s := range squares {
				if used[k] || !alike(s, squares[n.square]) || s.centre.Minus(expected).Length() > near*step.Length() {
					continue
				}
				next := node{square: k, cell: cell, right: n.right, down: n.down}
				seen := s.centre.Minus(squares[n.square].centre)
				if d[0] != 0 {
					next.right = seen.Times(float64(d[0]))
				} else {
					next.down = seen.Times(float64(d[1]))
				}
				grid[cell], used[k] = s.centre, true
				queue = append(queue, next)
				break
			}
		}
	}
	return grid
}

// quarterTurns are the four ways to turn the chart's columns and rows.
var quarterTurns = [4]plane.Homography{
	{1, 0, 0, 0, 1, 0, 0, 0, 1}, {0, -1, 0, 1, 0, 0, 0, 0, 1}, {-1, 0, 0, 0, -1, 0, 0, 0, 1}, {0, 1, 0, -1, 0, 0, 0, 0, 1},
}

// bestLay tries every turn and shift of the chart that covers nearly all squares found:
// something beside the chart may by chance go on with its grid.
func bestLay(p *picture.Picture, onto plane.Homography, squares []plane.Pair, known []spectrum.Lab) (chartFound, *picture.Refusal) {
	best, found := chartFound{}, false
	least := 0.35 // of the variance of log light that may be left unexplained
	const nearlyAll = 0.8
	low, high := plane.Point{X: math.Inf(1), Y: math.Inf(1)}, plane.Point{X: math.Inf(-1), Y: math.Inf(-1)}
	for _, s := range squares {
		low = plane.Point{X: min(low.X, s.From.X), Y: min(low.Y, s.From.Y)}
		high = plane.Point{X: max(high.X, s.From.X), Y: max(high.Y, s.From.Y)}
	}
	for _, turn := range quarterTurns {
		span := turn.Apply(plane.Point{X: chartColumns - 1, Y: chartRows - 1})
		a, b := plane.Point{X: min(span.X, 0), Y: min(span.Y, 0)}, plane.Point{X: max(span.X, 0), Y: max(span.Y, 0)}
		for sy := low.Y - b.Y; sy <= high.Y-a.Y; sy++ {
			for sx := low.X - b.X; sx <= high.X-a.X; sx++ {
				covered := 0.0
				for _, s := range squares {
					if s.From.X >= sx+a.X && s.From.X <= sx+b.X && s.From.Y >= sy+a.Y && s.From.Y <= sy+b.Y {
						covered++
					}
				}
				if covered < nearlyAll*float64(len(squares)) {
					continue
				}
				lay := onto.After(plane.Homography{1, 0, sx, 0, 1, sy, 0, 0, 1}).After(turn)
				c, ok := laid(p, lay)
				if !ok {
					continue
				}
				if left := c.unexplained(known); left < least {
					best, least, found = c, left, true
				}
			}
		}
	}
	if !found {
		return best, picture.Refuse(showChart, "squares on a grid were found, but their colours are not the chart's")
	}
	return best, nil
}

// laid reads the 24 patches where a map says they are.
func laid(p *picture.Picture, onto plane.Homography) (c chartFound, ok bool) {
	c.onto = onto
	for i := range c.patches {
		x, y := float64(i%chartColumns), float64(i/chartColumns)
		const half = 0.22 // of the pitch
		var outline []plane.Point
		for _, d := range [4]plane.Point{{X: -half, Y: -half}, {X: half, Y: -half}, {X: half, Y: half}, {X: -half, Y: half}} {
			q := onto.Apply(plane.Point{X: x + d.X, Y: y + d.Y})
			if !(q.X >= 0 && q.Y >= 0 && q.X < float64(p.W) && q.Y < float64(p.H)) {
				return c, false
			}
			outline = append(outline, q)
		}
		c.patches[i] = patchOf(p, outline, nil, 1)
	}
	return c, true
}

// unexplained is the share of the variance of the patches' log light that a
// straight line over the known colours' leaves, the worst channel's.
func (c *chartFound) unexplained(known []spectrum.Lab) float64 {
	worst := 0.0
	for k := range channels {
		var n, sx, sy, sxx, sxy, syy float64
		for i, p := range c.patches {
			const black = 0.004
			x := math.Log(max(0, linearOf(known[i])[k]) + black)
			y := math.Log(max(0, p.light[k]) + black)
			n, sx, sy = n+1, sx+x, sy+y
			sxx, sxy, syy = sxx+x*x, sxy+x*y, syy+y*y
		}
		sxx, sxy, syy = sxx-sx*sx/n, sxy-sx*sy/n, syy-sy*sy/n
		if syy <= 1e-9 || sxy <= 0 {
			return 1
		}
		worst = max(worst, 1-sxy*sxy/(sxx*syy))
	}
	return worst
}

// printDoubt is by how much, in dE00, a patch of one chart may be off the colour
// published for all of them (common practice, no source).
const printDoubt = 1.0

// heldOutParts is how many times the model is chosen anew from what is left when a
// patch is held out.
const heldOutParts = 8

// acrossChart turns columns and rows into -1..1 from the first to the last.
func acrossChart(cell plane.Point) plane.Point {
	return plane.Point{X: 2*cell.X/(chartColumns-1) - 1, Y: 2*cell.Y/(chartRows-1) - 1}
}

// samples are the sound patches with their known colours, and their indices.
func (c *chartFound) samples(known []spectrum.Lab) (samples []camera.Sample, index []int) {
	var white [channels]float64
	for k, v := range linearOf(known[chartWhite]) {
		white[k] = c.patches[chartWhite].light[k] / max(v, 0.1)
	}
	for i, p := range c.patches {
		if !p.Sound {
			continue
		}
		at := acrossChart(plane.Point{X: float64(i % chartColumns), Y: float64(i / chartColumns)})
		sample := camera.NewSample(p.light, white, known[i], at)
		sample.Doubt = printDoubt
		samples = append(samples, sample)
		index = append(index, i)
	}
	return samples, index
}

// chartFit fits a camera to a chart: white is a perfect white under the chart's
// own light.
func chartFit(p *picture.Picture) camera.Fit {
	return camera.Fit{White: [channels]float64{1, 1, 1}, Space: p.Code.Space, Chart: true}
}

// ReadChart finds a 24-patch chart in a photograph and corrects the camera's
// colours by its known colours under D65. It gives a *picture.Refusal when there is no
// chart, or fewer than 16 of its patches can be used. Fewer or more than 24 known
// colours are a mistake of the caller, and panic.
func ReadChart(data []byte, known []spectrum.Lab) (Chart, error) {
	if len(known) != chartPatches {
		panic("photo: a chart has 24 colours")
	}
	r, err := open(data)
	if err != nil {
		return Chart{}, err
	}
	found, samples, index, refusal := chartIn(r.picture, known)
	if refusal != nil {
		return Chart{}, refusal
	}
	fit := chartFit(r.picture)
	k, fitted := fit.Chosen(samples)
	correction := Correction{ByChart, fitted}
	r.noteBentColours(correction)
	out := Chart{Correction: correction, Notes: r.Notes}
	for i, p := range found.patches {
		out.Sound[i] = p.Sound
		q := found.onto.Apply(plane.Point{X: float64(i % chartColumns), Y: float64(i / chartColumns)}).Times(float64(r.picture.Scale))
		out.CentresPx[i] = [2]float64{q.X, q.Y}
	}
	foretold := fit.Foretold(samples, heldOutParts)
	for n, i := range index {
		out.Colours[i], out.HeldOut[i] = k.Colour(&samples[n], fit.White), foretold[n]
	}
	return out, nil
}

// chartIn finds the chart and those of its patches that can be used, with their
// indices.
func chartIn(p *picture.Picture, known []spectrum.Lab) (found chartFound, samples []camera.Sample, index []int, refusal *picture.Refusal) {
	if found, refusal = findChart(p, known); refusal != nil {
		return found, nil, nil, refusal
	}
	samples, index = found.samples(known)
	for i := range samples {
		samples[i] = samples[i].Rounded(p.Code)
	}
	const leastPatches = 16
	if len(samples) < leastPatches {
		return found, nil, nil, picture.Refuse(darken, "only %d of the chart's 24 patches are neither over- nor underexposed", len(samples))
	}
	return found, samples, index, nil
}

// correctByChart corrects by a chart beside the card. The chart has its own
// place in the light, so it says how the camera bends and mixes colours; the
// white is the card's.
func (r *Reading) correctByChart(known []spectrum.Lab) (*camera.Corrector, *picture.Refusal) {
	_, samples, _, refusal := chartIn(r.picture, known)
	if refusal != nil {
		return nil, refusal
	}
	k, fitted := chartFit(r.picture).Choose(samples)
	correction := Correction{ByChart, fitted}
	r.Correction = correction
	if correction.MedianDE00 > mostLeft {
		return nil, picture.Refuse("check that the colours given are those of this chart, in the order of its patches", "%s", correction.misfit())
	}
	r.noteBentColours(correction)
	return k, nil
}

// noteBentColours says of a picture that no curve and mixture explains that its
// colours are as uncertain as that.
func (r *Reading) noteBentColours(c Correction) {
	const owed = 2.0 // dE00, in the median of patches held out
	if c.HeldOutDE00 > owed {
		r.note("the chart's colours cannot be set right to better than %.1f dE00: the camera changed them by place or by hue; photograph with its scene enhancement, HDR and filters off", c.HeldOutDE00)
	}
}
