package photo

import (
	"math"
	"slices"

	"setshade/internal/picture"
	"setshade/internal/plane"
	"setshade/internal/rank"
)

const holdStill = "hold the camera still, let it focus on the card, and photograph it again"

// mostEdge is how wide an edge may be beside the radius of a drop.
const mostEdge = 0.25

// judgeSharpness compares the edge, in pixels of the picture, with the drops: a
// drop whose middle holds light of its rim and of the card is not read.
func (r *Reading) judgeSharpness(edge float64, drops []placed) *picture.Refusal {
	scale := float64(r.picture.Scale)
	r.Quality.EdgePx = edge * scale
	var radii []float64
	for _, d := range drops {
		radii = append(radii, d.diameter()/2)
	}
	if len(radii) == 0 || edge == 0 {
		return nil
	}
	switch share := edge / rank.Median(radii); {
	case share > mostEdge:
		return picture.Refuse(holdStill, "the picture is blurred over %.0f pixels, too much beside drops %.0f pixels wide", edge*scale, 2*rank.Median(radii)*scale)
	case share > NotedEdge:
		r.blurred = true
		r.note("the picture is blurred: edges are %.0f pixels wide", edge*scale)
	}
	return nil
}

// edgeOfPrint is the typical width of the fiducials' edges; of a picture so blurred
// that they are too small to tell, that of its sharpest edges.
func edgeOfPrint(p *picture.Picture, spots []spot) float64 {
	var widths []float64
	for _, s := range spots {
		widths = append(widths, s.edge)
	}
	const toldBySpots = 4
	edge := rank.Median(widths)
	if edge > toldBySpots {
		edge = max(edge, sharpestEdge(p))
	}
	return edge
}

// widestEdge is the width of an edge in the direction in which it is widest, from
// widths across a round outline. A camera that moves spreads light along one
// direction, and the variances of what spreads an edge add up, so that
//
//	width² = a + b cos 2θ + c sin 2θ
//
// which is widest by √(a + √(b² + c²)). The least squares of it, without the widths
// that are far off the median.
func widestEdge(ways []plane.Point, widths []float64) float64 {
	const far = 4
	limit := far * rank.Median(slices.Clone(widths))
	var n, sc, ss, scc, scs, sss, sv, scv, ssv float64
	for i, way := range ways {
		if widths[i] > limit {
			continue
		}
		v := widths[i] * widths[i]
		c, s := way.X*way.X-way.Y*way.Y, 2*way.X*way.Y
		n, sc, ss = n+1, sc+c, ss+s
		scc, scs, sss = scc+c*c, scs+c*s, sss+s*s
		sv, scv, ssv = sv+v, scv+c*v, ssv+s*v
	}
	if n == 0 {
		return 0
	}
	scc, scs, sss = scc-sc*sc/n, scs-sc*ss/n, sss-ss*ss/n
	scv, ssv = scv-sc*sv/n, ssv-ss*sv/n
	det := scc*sss - scs*scs
	if det <= 0 {
		return math.Sqrt(sv / n)
	}
	b, c := (scv*sss-ssv*scs)/det, (ssv*scc-scv*scs)/det
	a := (sv - b*sc - c*ss) / n
	return math.Sqrt(max(0, a+math.Hypot(b, c)))
}

// orBlur puts blur in the place of a refusal for what was not found, or not rightly,
// in a picture without a sharp edge: blur hides cards and marks, and joins drops.
func (r *Reading) orBlur(refusal *picture.Refusal) *picture.Refusal {
	if refusal == nil {
		return nil
	}
	// Of a picture of a megapixel or so, 7 pixels; of a smaller one less, but more than the
	// 2.5 of a sharp edge.
	const leastEdge, share = 4.5, 0.0064 // pixels; of the side of a square of as many
	edge := sharpestEdge(r.picture)
	if !r.blurred && edge < max(leastEdge, share*math.Sqrt(float64(r.picture.W)*float64(r.picture.H))) {
		return refusal
	}
	edge *= float64(r.picture.Scale)
	r.Quality.EdgePx = max(r.Quality.EdgePx, edge)
	return picture.Refuse(holdStill, "the picture is blurred, its sharpest edges are %.0f pixels wide, and %s", edge, refusal.What)
}

// sharpestEdge is how wide, in pixels, the sharpest edges of a picture are from a
// fifth to four fifths: 0.6 of the whole contrast over the steepest changes of light,
// in that of four directions in which these are least, since a moved camera blurs
// along one. It is 0 for a picture that has little contrast to tell by.
func sharpestEdge(p *picture.Picture) float64 {
	const some, steepest, leastContrast = 7, 0.999, 0.1
	// Averaged over 3 x 3 pixels, so that noise is no edge.
	each, light := make([]float32, p.W*p.H), make([]float32, p.W*p.H)
	for i := range each {
		each[i] = float32(p.Luminance(i))
	}
	scratch := make([]float32, p.W)
	for y := range p.H {
		average3(light[y*p.W:], scratch, each, p.W, p.H, y, 0, p.W)
	}
	var levels []float64
	for i := 0; i < len(light); i += some {
		levels = append(levels, float64(light[i]))
	}
	contrast := rank.Quantile(slices.Clone(levels), 0.9) - rank.Quantile(levels, 0.05)
	if contrast < leastContrast {
		return 0
	}
	const apart = 2 // pixels between which a change is taken
	widest := 0.0
	for _, step := range [4][2]int{{1, 0}, {0, 1}, {1, 1}, {1, -1}} {
		var changes []float64
		for y := apart; y < p.H-apart; y++ {
			for x := apart + y%2; x < p.W-apart; x += 2 {
				i, d := y*p.W+x, step[1]*p.W+step[0]
				changes = append(changes, math.Abs(float64(light[i+d]-light[i-d])))
			}
		}
		long := apart * math.Hypot(float64(step[0]), float64(step[1]))
		widest = max(widest, 0.6*contrast*long/max(rank.Quantile(changes, steepest), 1e-6))
	}
	return widest
}
