package photo

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"setshade/internal/picture"
	"setshade/internal/plane"
	"setshade/internal/rank"
)

// degree of the polynomial of x and y that stands for the light on the card,
// and its number of terms. A lamp or window at the side and the falling off of
// a lens towards the corners are followed by the fourth degree to well below a
// percent; a higher one would begin to follow the drops.
const (
	degree = 4
	terms  = (degree + 1) * (degree + 2) / 2
)

// surface is how bright card white is at each place, per channel:
//
//	white(x, y) = Σ c_ij X^i Y^j,  i + j <= 4
//
// X, Y run over -1..1 across the picture it was fitted in.
type surface struct {
	coefficient  [channels][terms]float64
	halfW, halfH float64
	// level is the middling light of card white and brightest its brightest channel
	// in the best light, ratio the lightest to the darkest, tint the change of log
	// red over blue, and warm that itself.
	level, brightest, ratio, tint, warm float64
	// clipped is the share of bare card that is.
	clipped float64
}

// basis fills the terms in the order of j, then i.
func basis(x, y float64) (t [terms]float64) {
	k, yj := 0, 1.0
	for j := 0; j <= degree; j++ {
		v := yj
		for i := 0; i+j <= degree; i++ {
			t[k] = v
			v *= x
			k++
		}
		yj *= y
	}
	return t
}

// row returns the polynomial of X that the surface is at height y, given in
// pixels of a picture scale times as fine.
func (s *surface) row(y, scale float64) [channels][degree + 1]float64 {
	return s.along(y/scale/s.halfH - 1)
}

// along returns the polynomial of X that the surface is at a Y.
func (s *surface) along(Y float64) (poly [channels][degree + 1]float64) {
	for c := range poly {
		k, yj := 0, 1.0
		for j := 0; j <= degree; j++ {
			for i := 0; i+j <= degree; i++ {
				poly[c][i] += s.coefficient[c][k] * yj
				k++
			}
			yj *= Y
		}
	}
	return poly
}

func horner(poly *[degree + 1]float64, x float64) float64 {
	return (((poly[4]*x+poly[3])*x+poly[2])*x+poly[1])*x + poly[0]
}

// cardSample is one coarse pixel of the card.
type cardSample struct {
	term  [terms]float64
	light [channels]float64
	index int // of the coarse pixel
	used  bool
}

// x and y are the coordinates that the terms are of.
func (s *cardSample) x() float64 { return s.term[1] }
func (s *cardSample) y() float64 { return s.term[degree+1] }

// sampledInset is how much along the card's edges is not sampled.
const sampledInset = 0.02

// fitWhite fits the surface to bare card. Which pixels are bare card is found
// together with the surface: at first those of the even region, then again and
// again those that lie on it to within the noise. What is darker or coloured is
// drop or shadow, what is brighter is glare.
//
// The chroma of a JPEG is unrounded in what is fitted, and in those pixels of p, when
// file is the picture that p was averaged from; nil leaves it as it is.
func fitWhite(p *picture.Picture, card bareCard, file *picture.Picture) (*surface, *picture.Refusal) {
	s := &surface{halfW: float64(p.W) / 2, halfH: float64(p.H) / 2}
	inner := card.corners.Inset(sampledInset)
	samples := make([]cardSample, 0, int(inner.Area()/4)+p.H)
	plane.EachRow(inner[:], p.W, p.H, func(y, from, to int) {
		if y%2 != 0 {
			return
		}
		for x := from; x < to; x += 2 { // one pixel of four is plenty
			i := y*p.W + x
			if card.bare != nil && !card.bare[i] {
				continue
			}
			at := plane.Point{X: float64(x) + 0.5, Y: float64(y) + 0.5}
			sample := cardSample{index: i, term: basis(at.X/s.halfW-1, at.Y/s.halfH-1), used: card.even[i]}
			for c := range sample.light {
				sample.light[c] = float64(p.Light[c][i])
			}
			samples = append(samples, sample)
		}
	})
	const rounds = 8
	var sums normalSums
	sums.addUsed(samples)
	for range rounds {
		if !s.solve(&sums) {
			return nil, picture.Refuse(stepBack, "too little bare card is left between the drops to judge the light")
		}
		if !s.judge(samples, &sums) {
			break
		}
	}
	if file != nil && roundedChroma(file) != nil {
		s.unround(p, file, samples, card)
	}
	s.measure(samples, p)
	return s, nil
}

// normalSums are the normal equations of the used samples, the upper triangle and
// the right-hand sides.
type normalSums struct {
	upper [terms][terms]float64
	side  [terms][channels]float64
	used  int
}

func (m *normalSums) addUsed(samples []cardSample) {
	for i := range samples {
		if samples[i].used {
			m.add(&samples[i], 1)
		}
	}
}

// add takes a sample in, or out for a weight of -1.
func (m *normalSums) add(sample *cardSample, weight float64) {
	m.used += int(weight)
	for a, ta := range sample.term {
		ta *= weight
		row := &m.upper[a]
		for b := a; b < terms; b++ {
			row[b] += ta * sample.term[b]
		}
		for c, v := range sample.light {
			m.side[a][c] += ta * v
		}
	}
}

// solve is the least squares fit by the normal equations.
func (s *surface) solve(sums *normalSums) bool {
	normal := mat.NewSymDense(terms, nil)
	right := mat.NewDense(terms, channels, nil)
	if sums.used < 20*terms {
		return false
	}
	for a := range terms {
		for b := a; b < terms; b++ {
			normal.SetSym(a, b, sums.upper[a][b])
		}
		right.SetRow(a, sums.side[a][:])
	}
	var factor mat.Cholesky
	if !factor.Factorize(normal) {
		return false
	}
	var solution mat.Dense
	if err := factor.SolveTo(&solution, right); err != nil {
		return false
	}
	for c := range channels {
		for k := range terms {
			s.coefficient[c][k] = solution.At(k, c)
		}
	}
	return true
}

func (s *surface) white(sample *cardSample) (white [channels]float64) {
	for c := range white {
		for k, t := range sample.term {
			white[c] += s.coefficient[c][k] * t
		}
	}
	return white
}

// departure returns how far a sample's light and its chromaticity lie from the
// surface, relative to it.
func departure(sample *cardSample, row *[channels][degree + 1]float64) (light, colour float64) {
	var ratio [channels]float64
	for c := range ratio {
		ratio[c] = sample.light[c] / max(horner(&row[c], sample.x()), 1e-6)
	}
	return mean3(ratio) - 1, math.Abs(ratio[red]-ratio[green]) + math.Abs(ratio[blue]-ratio[green])
}

// judge marks as used the samples that lie on the surface. Darker ones are
// left out earlier than brighter ones, since shadows have soft ends. It reports
// whether that changed any.
func (s *surface) judge(samples []cardSample, sums *normalSums) (changed bool) {
	lights, colours := make([]float64, len(samples)), make([]float64, len(samples))
	usedLights, usedColours := make([]float64, 0, len(samples)), make([]float64, 0, len(samples))
	var row [channels][degree + 1]float64
	for i := range samples {
		if i == 0 || samples[i].y() != samples[i-1].y() {
			row = s.along(samples[i].y())
		}
		lights[i], colours[i] = departure(&samples[i], &row)
		if samples[i].used {
			usedLights = append(usedLights, math.Abs(lights[i]))
			usedColours = append(usedColours, colours[i])
		}
	}
	// A JPEG rounds the colour of a whole corner alike, by up to a hundredth;
	// taken for a drop, the corner would be left out and the surface turn away.
	const floor, colourFloor = 0.003, 0.008
	sigma := max(floor, rank.Sigma(usedLights))
	colour := max(colourFloor, rank.Sigma(usedColours))
	for i := range samples {
		used := lights[i] > -2.5*sigma && lights[i] < 3*sigma && colours[i] < 3*colour
		if used == samples[i].used {
			continue
		}
		changed, samples[i].used = true, used
		if used {
			sums.add(&samples[i], 1)
		} else {
			sums.add(&samples[i], -1)
		}
	}
	return changed
}

// measure sets the level of card white and the ratio of lightest to darkest.
func (s *surface) measure(samples []cardSample, p *picture.Picture) {
	whites := make([]float64, 0, len(samples))
	colours := make([][channels]float64, 0, len(samples))
	for i := range samples {
		if samples[i].used {
			s.clipped += float64(p.Clipped[samples[i].index]) / 255
			colours = append(colours, s.white(&samples[i]))
			whites = append(whites, mean3(colours[len(colours)-1]))
		}
	}
	s.clipped /= max(float64(len(colours)), 1)
	var tops []float64
	for _, c := range colours {
		tops = append(tops, max(c[red], c[green], c[blue]))
	}
	s.brightest = max(rank.Quantile(tops, 0.98), 1e-6)
	s.tint, s.warm = spreadOfTint(colours), warmthOf(colours)
	s.level = max(rank.Median(whites), 1e-6)
	s.ratio = rank.Quantile(whites, 0.98) / max(rank.Quantile(whites, 0.02), 1e-6)
}
