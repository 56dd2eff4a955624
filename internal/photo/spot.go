package photo

import (
	"errors"
	"math"
	"slices"

	"setshade/internal/camera"
	"setshade/internal/picture"
	"setshade/internal/plane"
	"setshade/internal/rank"
	"setshade/internal/spectrum"
)

// Place is a round place of the upright picture.
type Place struct {
	// X and Y are its middle, from the upper left corner, in pixels; or in percent
	// of the picture's width and height.
	X, Y float64
	// Radius in pixels, or in percent of the picture's shorter side; 0 for a
	// hundredth of the shorter side.
	Radius  float64
	Percent bool
}

// Spotted is the colour read at a place.
type Spotted struct {
	// Colour is under D65, its covariance that of the mean over the place.
	Colour spectrum.Measured
	// Correction says how the camera's colours were set right; its Kind is "" where
	// nothing in the picture told, and the file was taken as it is.
	Correction Correction
	// Notes are remarks on the picture and the place, in plain words.
	Notes []string
}

// notCorrected is said of a picture without card and chart.
const notCorrected = "the colour was not corrected, it is taken as the phone gave it; lay a printed test card beside the piece for one that can be trusted"

// Spot reads the colour of anything at a place of a photograph: relative to the
// white of a printed test card where there is one, by its strip or by a chart
// where their colours are given, and as the file has it where there is neither.
// The colour is the mean over the place without what lies far from its median,
// such as highlights.
//
// It gives a *picture.Refusal for a picture or a place that cannot be trusted, such as an
// overexposed one, and an error for a place outside the picture.
func Spot(data []byte, at Place, want Expect) (Spotted, error) {
	if err := want.check(); err != nil {
		return Spotted{}, err
	}
	r, err := open(data)
	if err != nil {
		return Spotted{}, err
	}
	pixels, middle, err := within(r.picture, at)
	if err != nil {
		return Spotted{}, err
	}
	if refusal := checkPlace(r.picture, pixels); refusal != nil {
		return Spotted{}, refusal
	}
	toward, refusal := r.comparedWith(middle, want)
	if refusal != nil {
		return Spotted{}, refusal
	}
	ratio, covariance, kept := robustMean(toward.ratios(pixels))
	const evenEnough = 0.6
	if kept < evenEnough {
		r.note("the place is not of one colour, %.0f %% of it was left out; choose a smaller or an evener one", 100*(1-kept))
	}
	return Spotted{Colour: toward.colour(ratio, covariance), Correction: r.Correction, Notes: r.Notes}, nil
}

// within lists the pixels of a place, and its middle in pixels of p.
func within(p *picture.Picture, at Place) ([]int, plane.Point, error) {
	w, h := float64(p.W*p.Scale), float64(p.H*p.Scale)
	x, y, radius := at.X, at.Y, at.Radius
	if at.Percent {
		x, y, radius = x/100*w, y/100*h, radius/100*min(w, h)
	}
	if radius == 0 {
		radius = min(w, h) / 100
	}
	if !(x >= 0 && x < w && y >= 0 && y < h && radius > 0 && radius <= min(w, h)/2) {
		return nil, plane.Point{}, errors.New("the place lies outside the picture, or is larger than half of it; give its middle from the upper left corner and a radius")
	}
	middle := plane.Point{X: x, Y: y}.Times(1 / float64(p.Scale))
	radius = max(radius/float64(p.Scale), 1)
	var pixels []int
	for py := max(0, int(middle.Y-radius)); py <= min(p.H-1, int(middle.Y+radius)); py++ {
		for px := max(0, int(middle.X-radius)); px <= min(p.W-1, int(middle.X+radius)); px++ {
			if (plane.Point{X: float64(px) + 0.5, Y: float64(py) + 0.5}).Minus(middle).Length() <= radius {
				pixels = append(pixels, py*p.W+px)
			}
		}
	}
	return pixels, middle, nil
}

// checkPlace refuses a place that is clipped or nearly black.
func checkPlace(p *picture.Picture, pixels []int) *picture.Refusal {
	clipped, crushed := 0.0, 0.0
	for _, i := range pixels {
		clipped += float64(p.Clipped[i]) / 255
		crushed += float64(p.Crushed[i]) / 255
	}
	n := float64(len(pixels))
	const mostClipped, mostCrushed = 0.1, 0.5
	switch {
	case clipped > mostClipped*n:
		return picture.Refuse(darken+", or choose a place without glare", "%.0f %% of the place is overexposed, so its colour is not known", 100*clipped/n)
	case crushed > mostCrushed*n:
		return picture.Refuse("photograph it in more light", "the place is too dark to read")
	}
	return nil
}

// comparison is what the light at a place is compared with.
type comparison struct {
	picture *picture.Picture // with the camera's tone curve taken away
	// paper returns the light of the white at a pixel.
	paper func(i int) [channels]float64
	// white is that white's own colour in linear sRGB.
	white      [channels]float64
	correction *camera.Corrector
}

// comparedWith finds what the picture has to compare with, and says what it is.
func (r *Reading) comparedWith(middle plane.Point, want Expect) (comparison, *picture.Refusal) {
	printed, refusal := findPrinted(r.picture)
	switch {
	case refusal != nil:
		return comparison{}, refusal
	case printed != nil:
		return r.besideCard(printed, middle, want)
	case want.Chart != nil:
		return r.besideChart(want.Chart)
	}
	r.note("%s", notCorrected)
	one := [channels]float64{1, 1, 1}
	return comparison{picture: r.picture, paper: func(int) [channels]float64 { return one }, white: one}, nil
}

// besideCard compares with the white of a printed card: that at the place where
// the place lies on the card, that of the card's middle beside it.
func (r *Reading) besideCard(c *printedCard, middle plane.Point, want Expect) (comparison, *picture.Refusal) {
	r.Printed = &c.geometry
	r.corners, r.carded = c.corners(), true
	r.note("%s", c.spoiltCells())
	want = want.ofPrint(c.geometry)
	small := r.picture.Coarse(printedSide)
	bare := bareOf(c, small, r.picture.Scale)
	white, refusal := r.lit(small, bare)
	if refusal != nil {
		return comparison{}, refusal
	}
	r.Patches = readStrip(c, r.picture, white, float64(small.Scale)/float64(r.picture.Scale), want.Card)
	even, refusal := r.evened(want, small, bare, white)
	if refusal != nil {
		return comparison{}, refusal
	}
	on := c.onto.Inverse().Apply(middle)
	beside := math.Abs(on.X) > c.geometry.PaperMM.X/2 || math.Abs(on.Y) > c.geometry.PaperMM.Y/2
	if beside {
		r.note("the place lies beside the card: its light is taken to be that on the card's middle, so lay the piece close to the card")
		middle = c.onto.Apply(plane.Point{})
	}
	if r.Correction.Kind == ByWhite {
		r.note("the colour was set right by the card's white alone; the camera is taken at its word for the rest")
	}
	scale, w := r.lightScale, even.picture.W
	paper := func(i int) [channels]float64 {
		at := plane.Point{X: float64(i%w) + 0.5, Y: float64(i/w) + 0.5}
		if beside {
			at = middle
		}
		row := even.white.row(at.Y, scale)
		var light [channels]float64
		for k := range light {
			light[k] = horner(&row[k], at.X/scale/even.white.halfW-1)
		}
		return light
	}
	return comparison{even.picture, paper, linearOf(want.Card), even.correction}, nil
}

// besideChart compares with the white of a chart: in the light that falls on it at
// the place, or where it comes nearest to the place.
func (r *Reading) besideChart(known []spectrum.Lab) (comparison, *picture.Refusal) {
	found, samples, _, refusal := chartIn(r.picture, known)
	if refusal != nil {
		return comparison{}, refusal
	}
	fit := chartFit(r.picture)
	k, fitted := fit.Choose(samples)
	r.Correction = Correction{ByChart, fitted}
	toChart, w := found.onto.Inverse(), r.picture.W
	paper := func(i int) [channels]float64 {
		at := acrossChart(toChart.Apply(plane.Point{X: float64(i%w) + 0.5, Y: float64(i/w) + 0.5}))
		return k.LightOfWhite(&samples[0], plane.Point{X: min(max(at.X, -1), 1), Y: min(max(at.Y, -1), 1)})
	}
	r.note("the chart tells the camera's colours; beside it the light is taken to be that on its nearest edge, so lay the piece close to it")
	return comparison{k.Straightened(r.picture), paper, fit.White, k}, nil
}

// ratios are the light of pixels relative to the white.
func (f comparison) ratios(pixels []int) [][channels]float64 {
	out := make([][channels]float64, len(pixels))
	for n, i := range pixels {
		paper := f.paper(i)
		for c := range channels {
			out[n][c] = float64(f.picture.Light[c][i]) / max(paper[c], 1e-4)
		}
	}
	return out
}

// robustMean is the mean of what lies within three times the usual spread of the
// median in every channel, its covariance, and the share that was kept.
func robustMean(ratios [][channels]float64) (mean [channels]float64, covariance [channels][channels]float64, share float64) {
	var centre, spread [channels]float64
	for c := range channels {
		values := make([]float64, len(ratios))
		for i, v := range ratios {
			values[i] = v[c]
		}
		centre[c] = rank.Median(slices.Clone(values))
		for i, v := range values {
			values[i] = math.Abs(v - centre[c])
		}
		spread[c] = max(rank.Sigma(values), 1e-4)
	}
	var kept [][channels]float64
	for _, v := range ratios {
		far := false
		for c := range channels {
			far = far || math.Abs(v[c]-centre[c]) > 3*spread[c]
		}
		if !far {
			kept = append(kept, v)
		}
	}
	n := float64(len(kept))
	for _, v := range kept {
		for c := range channels {
			mean[c] += v[c] / n
		}
	}
	for _, v := range kept {
		for a := range channels {
			for b := range channels {
				covariance[a][b] += (v[a] - mean[a]) * (v[b] - mean[b]) / (n * max(1, n-1))
			}
		}
	}
	return mean, covariance, n / float64(len(ratios))
}

// colour turns a ratio to the card into a Lab colour under D65: the card's own
// linear light times the ratio, so that a ratio of 1 is exactly the card.
func (f comparison) colour(at [channels]float64, covariance [channels][channels]float64) spectrum.Measured {
	lab := func(ratio [channels]float64) spectrum.Lab {
		x := ratio
		for c := range x {
			x[c] *= f.white[c]
		}
		if f.correction != nil {
			x = f.correction.Mixed(x)
		}
		return spectrum.LabOfLinear(x[red], x[green], x[blue])
	}
	out := spectrum.Measured{Lab: lab(at)}
	var slope [3][channels]float64
	const h = 1e-4
	for c := range channels {
		up, down := at, at
		up[c] += h
		down[c] -= h
		u, d := lab(up).Vector(), lab(down).Vector()
		for k := range 3 {
			slope[k][c] = (u[k] - d[k]) / (2 * h)
		}
	}
	for i := range 3 {
		for j := range 3 {
			for a := range channels {
				for b := range channels {
					out.Cov[i][j] += slope[i][a] * covariance[a][b] * slope[j][b]
				}
			}
		}
	}
	return out
}
