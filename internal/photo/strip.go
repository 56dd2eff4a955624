package photo

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"

	"setshade/internal/camera"
	"setshade/internal/card"
	"setshade/internal/english"
	"setshade/internal/picture"
	"setshade/internal/plane"
	"setshade/internal/spectrum"
)

// Patch is a patch of a printed card's strip as read.
type Patch struct {
	// Colour is relative to card white and not corrected.
	Colour spectrum.Lab
	// Corrected is the colour after the correction that the drops were read with: of
	// the first photograph of a card, it is what Expect.Anchor wants for the later
	// ones. Without a correction it is Colour.
	Corrected spectrum.Lab
	// Sound says that no channel is clipped, and that no edge of a shadow lies by it.
	Sound bool
	// light and white are the linear light of the patch, and of card white there.
	light, white [channels]float64
	unsound      string // why it is not sound
	unlike       bool   // what a printer prints there
}

// Why a patch takes no part in a correction.
const (
	patchBright  = "over-exposed"
	patchDark    = "too dark in one channel"
	patchOutside = "out of the picture"
	patchShaded  = "by the edge of a shadow"
	patchUnknown = "without a colour given"
	patchOff     = "far from what the other patches say, as under wax, dirt or a shadow"
)

// readStrip reads the patches off a picture that the surface was fitted to a
// coarser copy of. What rounding took from their chroma is put back in the picture.
func readStrip(c *printedCard, p *picture.Picture, white *surface, scale float64, bare spectrum.Lab) []Patch {
	var patches []Patch
	paper := linearOf(bare)
	unroundStrip(c, p, white, scale)
	beside := newPatchLight(c, p, white, scale)
	for _, printed := range c.geometry.Strip {
		patch := patchOf(p, c.outlineOf(shrunk(printed.Rect)), white, scale)
		light, even := beside.at(printed.Rect)
		for k := range patch.white {
			patch.white[k] *= light[k]
		}
		if patch.Sound && !even {
			patch.Sound, patch.unsound = false, patchShaded
		}
		var x [channels]float64
		for k := range x {
			x[k] = patch.light[k] / max(patch.white[k], 1e-6) * paper[k]
		}
		patch.Colour = spectrum.LabOfLinear(x[red], x[green], x[blue])
		patches = append(patches, patch)
	}
	return patches
}

// shrunk leaves out the border of a patch, where light of the gap spreads in.
func shrunk(r card.Rect) card.Rect {
	const border = 1.5 // mm
	return card.Rect{
		Min: card.Point{X: r.Min.X + border, Y: r.Min.Y + border},
		Max: card.Point{X: r.Max.X - border, Y: r.Max.Y - border},
	}
}

// patchOf averages the light inside an outline.
func patchOf(p *picture.Picture, outline []plane.Point, white *surface, scale float64) (out Patch) {
	n, clipped, crushed := 0.0, 0.0, 0.0
	plane.EachRow(outline, p.W, p.H, func(y, from, to int) {
		var row [channels][degree + 1]float64
		if white != nil {
			row = white.row(float64(y)+0.5, scale)
		}
		for x := from; x < to; x++ {
			i := y*p.W + x
			for c := range channels {
				out.light[c] += float64(p.Light[c][i])
				if white != nil {
					out.white[c] += horner(&row[c], (float64(x)+0.5)/scale/white.halfW-1)
				}
			}
			clipped += float64(p.Clipped[i]) / 255
			crushed += float64(p.Crushed[i]) / 255
			n++
		}
	})
	const mostCut, leastPixels = 0.05, 6
	if n < leastPixels {
		out.unsound = patchOutside
		return out
	}
	for c := range channels {
		out.light[c] /= n
		out.white[c] /= n
	}
	switch {
	case clipped >= mostCut*n:
		out.unsound = patchBright
	case crushed >= mostCut*n:
		out.unsound = patchDark
	default:
		out.Sound = true
	}
	return out
}

// correctPatches fills in what the patches are once corrected.
func (r *Reading) correctPatches(e evenLight, bare spectrum.Lab) {
	for i := range r.Patches {
		p := &r.Patches[i]
		if p.Corrected = p.Colour; e.correction != nil {
			p.Corrected = e.correction.Colour(&camera.Sample{Light: p.light, White: p.white}, linearOf(bare))
		}
	}
	judgePrint(r.Patches, r.Printed.Strip, bare)
}

// barOf reads the bare black bar between the drops. A drop that has run into a gap
// makes it lighter and the shadow of a high one darker, so that the gap counts which is
// most like the black patch of the strip, of the same ink.
func barOf(c *printedCard, e evenLight, scale float64, bare, black spectrum.Lab) *spectrum.Lab {
	paper := linearOf(bare)
	var seen []spectrum.Lab
	for _, gap := range barGaps(c.geometry) {
		patch := patchOf(e.picture, c.outlineOf(gap), e.white, scale)
		if patch.white[green] == 0 { // outside the picture
			continue
		}
		var x [channels]float64
		for k := range x {
			x[k] = patch.light[k] / max(patch.white[k], 1e-6) * paper[k]
		}
		if e.correction != nil {
			x = e.correction.Mixed(x)
		}
		seen = append(seen, spectrum.LabOfLinear(x[red], x[green], x[blue]))
	}
	if len(seen) == 0 {
		return nil
	}
	like := slices.MinFunc(seen, func(a, b spectrum.Lab) int {
		return cmp.Compare(spectrum.DE00(a, black), spectrum.DE00(b, black))
	})
	return &like
}

// barGaps are the parts of the black bar between its places.
func barGaps(g card.Geometry) []card.Rect {
	const beside, border = 1.5, 1.5 // mm, to the rings and the bar's edges
	var row []card.Place
	for _, p := range g.Drops {
		if p.OverBlack {
			row = append(row, p)
		}
	}
	var gaps []card.Rect
	for i := 1; i < len(row); i++ {
		a, b := row[i-1], row[i]
		gaps = append(gaps, card.Rect{
			Min: card.Point{X: a.Centre.X + a.RadiusMM + beside, Y: g.BlackBar.Min.Y + border},
			Max: card.Point{X: b.Centre.X - b.RadiusMM - beside, Y: g.BlackBar.Max.Y - border},
		})
	}
	return gaps
}

// LeastPatches is how many patches of a strip must be sound to correct by them.
const LeastPatches = 8

// correctBy chooses the correction that takes the strip to its known colours; by
// white alone when none are known. A nil corrector changes nothing.
func (r *Reading) correctBy(want Expect) (*camera.Corrector, *picture.Refusal) {
	if want.Chart != nil {
		return r.correctByChart(want.Chart)
	}
	known, kind := want.Reference, ByReference
	if known == nil {
		known, kind = want.Anchor, ByAnchor
	}
	r.Correction = Correction{ByWhite, camera.Untouched()}
	if known == nil {
		return nil, nil
	}
	if r.Printed == nil {
		r.note("the colours given for a strip were not used: this card has no print, so colours are relative to its white alone")
		return nil, nil
	}
	if len(known) != len(r.Patches) {
		return nil, picture.Refuse("give one colour for each patch, from left to right",
			"%d colours are given for the %d patches of the card's strip", len(known), len(r.Patches))
	}
	var samples []camera.Sample
	var patches []int // of the samples
	left := map[string][]int{}
	for i, p := range r.Patches {
		switch {
		case !known[i].IsFinite():
			left[patchUnknown] = append(left[patchUnknown], i+1)
		case !p.Sound:
			left[p.unsound] = append(left[p.unsound], i+1)
		default:
			samples = append(samples, camera.NewSample(p.light, p.white, known[i], plane.Point{}).Rounded(r.picture.Code))
			patches = append(patches, i+1)
		}
	}
	if len(samples) < LeastPatches {
		advice := darken
		if len(left[patchShaded]) > len(left[patchBright]) {
			advice = evenLightAdvice
		}
		return nil, picture.Refuse(advice, "only %d of the strip's %d patches can be used; left out were %s", len(samples), len(known), leftOut(left))
	}
	fit := camera.Fit{White: linearOf(want.Card), Space: r.picture.Code.Space}
	k, fitted := fit.Choose(samples)
	correction := Correction{kind, fitted}
	if correction.MedianDE00 > mostLeft { // r.Correction stays that by white
		r.note("%s; colours are therefore relative to the card's white alone: see what it is compared with by setshade card reference and setshade card anchor, "+
			"and whether the card is of another print", correction.misfit())
		return nil, nil
	}
	r.Correction = correction
	if off := len(samples) - correction.Patches; off > 0 {
		for _, i := range fit.Farthest(k, samples, off) {
			left[patchOff] = append(left[patchOff], patches[i])
		}
	}
	if len(left) > 0 {
		r.note("of the strip, left out of the correction were %s", leftOut(left))
	}
	r.judgeStrip(len(samples) - correction.Patches)
	return k, nil
}

// leftOut writes which patches were left out and why: "patch 3 (too dark in one
// channel)".
func leftOut(why map[string][]int) string {
	var words []string
	for _, reason := range slices.Sorted(maps.Keys(why)) {
		words = append(words, fmt.Sprintf("%s (%s)", listed("patch", "patches", why[reason]), reason))
	}
	return strings.Join(words, ", ")
}

// judgeStrip tells of a strip that no camera makes of the one it is taken for: some
// of its patches were unlike what the others foretell, or all of them are.
//
// The same print by other cameras, in other light, at JPEG 60 and with noise, left at
// most 1.6 dE00 at patches held out and 2.6 at the worst patch; prints by other
// printers more than 2.2, 4.0 or a patch left out (rendered, a dozen and more of each).
func (r *Reading) judgeStrip(unlike int) {
	const heldOut, worst = 2.0, 4.0
	c := r.Correction
	fits := c.HeldOutDE00 <= heldOut && c.WorstDE00 <= worst
	if unlike == 0 && fits {
		r.noteLeft()
		r.noteMixed()
		return
	}
	of := "as it was measured"
	if c.Kind == ByAnchor {
		of = "of the first photograph of this print"
	}
	const otherPrint = "if the card is from another printer, ink or paper, print such cards with a number of their own (setshade help card)"
	if fits {
		r.note("the strip is not the one %s: %s %s not what the others foretell. Keep wax and shadows off it; %s",
			of, english.Count(unlike, "patch", "patches"), english.Plural(unlike, "is", "are"), otherPrint)
		return
	}
	r.note("the strip is not the one %s, by more than a camera explains: %.1f dE00 at patches held out, %s left out. Keep wax and shadows off it; %s",
		of, c.HeldOutDE00, english.Count(unlike, "patch", "patches"), otherPrint)
}
