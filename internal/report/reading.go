package report

import (
	"fmt"
	"math"
	"strings"

	"setshade/internal/english"
	"setshade/internal/photo"
	"setshade/internal/wax"
)

// CorrectionText says in a line how the colours of a photograph were set right.
func CorrectionText(c wax.Correction) string {
	var by string
	switch photo.CorrectionKind(c.Kind) {
	case "":
		return "read before it was kept how colours were set right"
	case photo.ByWhite:
		return "colours relative to the card's white alone; for the rest the camera is taken at its word"
	case photo.ByAnchor:
		by = "brought by the strip to the first photograph of this print"
	case photo.ByReference:
		by = "set right by the strip as measured"
	default:
		by = "set right by the " + c.Kind
	}
	model := c.Model
	if model == "none" {
		model = "which left nothing to correct"
	}
	return fmt.Sprintf("colours %s (%s), %s dE00 left over %s, %s at patches held out, %s at the worst",
		by, model, fixed(c.MedianDE00, 1), english.Count(c.Patches, "patch", "patches"), fixed(c.HeldOutDE00, 1), fixed(c.WorstDE00, 1))
}

// QualityText says in a line what the picture and the light are like: a verdict, then
// the numbers. The area of a drop, in pixels, is what sharpness is judged by; 0 leaves
// that out.
func QualityText(q wax.Quality, dropAreaPx int) string {
	s := verdict(q, dropAreaPx) + fmt.Sprintf(": light %s:1 over the card, its colour even to %s %%; noise %s %%",
		fixed(q.LightRatio, 1), fixed(100*q.TintShift, 0), fixed(100*q.Noise, 1))
	if q.EdgePx > 0 {
		s += fmt.Sprintf("; edges %s pixels wide", fixed(q.EdgePx, 1))
	}
	return s
}

// verdict is what the reader would note of a picture, in a word for each: "sharp,
// evenly lit, quiet".
func verdict(q wax.Quality, dropAreaPx int) string {
	word := func(bad bool, ill, well string) string {
		if bad {
			return ill
		}
		return well
	}
	var words []string
	if q.EdgePx > 0 && dropAreaPx > 0 {
		radius := math.Sqrt(float64(dropAreaPx) / math.Pi)
		words = append(words, word(q.EdgePx > photo.NotedEdge*radius, "blurred", "sharp"))
	}
	words = append(words, word(q.LightRatio > photo.NotedLightRatio, "unevenly lit", "evenly lit"))
	if q.TintShift > photo.NotedTint {
		words = append(words, "in two lights")
	}
	return strings.Join(append(words, word(q.Noise > photo.NotedNoise, "noisy", "quiet")), ", ")
}

// reading writes both, as sentences.
func (t *text) reading(c wax.Correction, q wax.Quality, dropAreaPx int) {
	t.prose("", "%s", sentence(CorrectionText(c)))
	if c.IsKnown() {
		t.prose("", "%s", sentence(QualityText(q, dropAreaPx)))
	}
}
