package photo

import (
	"math"

	"setshade/internal/picture"
	"setshade/internal/plane"
	"setshade/internal/rank"
)

// Quality is what the photograph is like as a measurement.
type Quality struct {
	// LightRatio is the brightest over the darkest light on the card.
	LightRatio float64
	// TintShift is how far the light changes its colour over the card: the
	// change of red over blue, 0.1 for a tenth.
	TintShift float64
	// Noise is the standard deviation of bare card from pixel to pixel, averaged
	// down to about a megapixel, as a share of card white.
	Noise float64
	// EdgePx is how many pixels of the upright picture the light takes from a
	// fifth to four fifths across a sharp edge of the card or of its print; 0
	// when no edge could be measured.
	EdgePx float64
}

// From here on the reader notes what a photograph is like: the ratio of the light over
// the card, its change of colour, the noise, and the width of an edge as a share of a
// drop's radius.
const (
	NotedLightRatio = 1.25
	NotedTint       = 0.08
	NotedNoise      = 0.04
	NotedEdge       = 0.1
)

// Up to here others may be brought to its strip: what is noted in a photograph is set
// right there as well as may be, but in an anchor it would be passed on to all.
const (
	anchorLightRatio = 1.5
	anchorTint       = NotedTint
	anchorNoise      = NotedNoise
	anchorEdge       = 2 * NotedEdge
)

// One lamp or window, and the lens, change the light's colour by less than
// NotedTint over a card (common practice, no source). Up to mostTint it can be
// evened out, though dyes look a little different under each light.
const mostTint = 0.5

const oneLight = "switch one of the lights off, or turn the card so that it lies in one light alone"

// isGrey reports whether a picture has no colour at all, as a file of greys has, or a
// copy. Light and the noise of a camera leave some in each other.
func isGrey(p *picture.Picture) bool {
	const least = 1e-3
	for i, g := range p.Light[green] {
		if math.Abs(float64(p.Light[red][i]-g)) > least || math.Abs(float64(p.Light[blue][i]-g)) > least {
			return false
		}
	}
	return true
}

// judgeLight notes uneven light, and refuses mixed light.
func (r *Reading) judgeLight(white *surface) *picture.Refusal {
	r.Quality.LightRatio, r.Quality.TintShift = white.ratio, white.tint
	if white.ratio > NotedLightRatio {
		r.note("the light on the card is uneven, 1:%.1f; it was evened out", white.ratio)
	}
	if white.tint > mostTint {
		return picture.Refuse(oneLight, "two lights of very different colour fall on the card from two sides")
	}
	if white.tint > NotedTint {
		r.note("the light on the card changes its colour by %.0f %%, as if from two lamps; it was evened out", 100*white.tint)
	}
	return nil
}

// Steps of chroma from which on a file counts as strongly compressed: those of the
// tables that ITU-T T.81 annex K gives, scaled as common encoders do, at a quality
// below 58.
const coarseChroma = 14.0 / 8

// Steps of chroma from which on the blocks of a file pass for edges, highlights and bits of
// another colour, a quality below 45; and from which on drops are missed or found twice,
// one below 28. Of 26 rendered cards, half a megapixel to 12 megapixels large, those read
// at 30 to 50 had all their drops, 0.7 dE00 off in the mean; one in five was refused at 30
// and none from 40 on; at 25 more than half were refused or lacked drops.
const (
	blockyChroma = 20.0 / 8
	mostChroma   = 31.0 / 8
)

const finerFile = "use the camera's own file, or save it at a quality of 90"

// tooCoarse refuses a file whose drops cannot be told from its blocks.
func tooCoarse(p *picture.Picture) *picture.Refusal {
	if p.Code.ChromaStep() <= mostChroma {
		return nil
	}
	return picture.Refuse(finerFile, "the file was saved with so strong a compression that drops cannot be told from its blocks")
}

// orCoarse tells of blocks beside a refusal that they may be the reason of.
func (r *Reading) orCoarse(refusal *picture.Refusal) *picture.Refusal {
	if r.picture.Code.ChromaStep() <= blockyChroma {
		return refusal
	}
	return &picture.Refusal{
		What: "the file was saved with strong compression, whose blocks look like edges and highlights, and " + refusal.What,
		Do:   finerFile, Cause: refusal.Cause,
	}
}

// judgeExposure notes a dark picture and a coarse file.
func (r *Reading) judgeExposure(white *surface) {
	const wellExposed, notedStops = 0.8, 2.0 // of full scale, for the brightest card
	if stops := math.Log2(wellExposed / white.brightest); stops > notedStops {
		r.note("the picture is %.0f stops under-exposed, so that dark shades are uncertain: use more light, or a longer exposure", stops)
	}
	if r.picture.Code.ChromaStep() > coarseChroma {
		r.note("the file was saved with strong compression, which rounds the colour of whole drops: %s", finerFile)
	}
}

// judgeNoise notes noise that is large beside a pale tint.
func (r *Reading) judgeNoise(f *flattened) {
	r.Quality.Noise = noiseOf(f)
	if r.Quality.Noise > NotedNoise {
		r.note("the picture is noisy, %.0f %% from pixel to pixel: photograph the card in more light", 100*r.Quality.Noise)
	}
}

// noiseOf compares neighbours, so that light, shadows and drops hardly count.
func noiseOf(f *flattened) float64 {
	const every = 13
	changes := make([]float64, 0, 1+len(f.inside)/every)
	for i := 1; i < len(f.inside); i += every {
		if i%f.w > 0 && f.inside[i] && f.inside[i-1] {
			a, b := f.ratio[green][i-1], f.ratio[green][i]
			if min(a, b) > 0.85 && max(a, b) < 1.15 { // bare card
				changes = append(changes, math.Abs(float64(a-b)))
			}
		}
	}
	if len(changes) == 0 {
		return 0
	}
	return rank.Sigma(changes) / math.Sqrt2
}

// edgeOfCard is the width of the card's edges on a darker table, the blurrier
// pair of sides, since a moved camera blurs in one direction; 0 when the table is
// too light to tell.
func edgeOfCard(p *picture.Picture, corners plane.Quad) float64 {
	const samples, leastShare, least = 60, 0.08, 6.0
	widest := 0.0
	for pair := range 2 {
		var widths []float64
		for _, side := range [2]int{pair, pair + 2} {
			a, b := corners[side], corners[(side+1)%4]
			along := b.Minus(a)
			inward := plane.Point{X: -along.Y, Y: along.X}.Times(1 / max(along.Length(), 1e-9))
			reach := max(least, leastShare*along.Length())
			for k := range samples {
				at := plane.Between(a, b, 0.1+0.8*float64(k)/samples)
				if from, to := at.Minus(inward.Times(reach)), at.Plus(inward.Times(reach)); holds(p, from) && holds(p, to) {
					if width, ok := edgeWidth(p, from, to); ok {
						widths = append(widths, width)
					}
				}
			}
		}
		if len(widths) > samples/4 {
			widest = max(widest, rank.Median(widths))
		}
	}
	return widest
}

// edgeWidth is how long the light takes from dark to bright on the way.
func edgeWidth(p *picture.Picture, from, to plane.Point) (float64, bool) {
	length := to.Minus(from).Length()
	steps := int(2 * length)
	profile := make([]float64, steps+1)
	for s := range profile {
		profile[s] = lightAt(p, plane.Between(from, to, float64(s)/float64(steps)))
	}
	_, width, ok := crossing(profile)
	return width * length / float64(steps), ok
}

// spreadOfTint is the change of log red over blue over the whites.
func spreadOfTint(whites [][channels]float64) float64 {
	tints := make([]float64, 0, len(whites))
	for _, w := range whites {
		tints = append(tints, math.Log(max(w[red], 1e-6)/max(w[blue], 1e-6)))
	}
	if len(tints) == 0 {
		return 0
	}
	return rank.Quantile(tints, 0.98) - rank.Quantile(tints, 0.02)
}
