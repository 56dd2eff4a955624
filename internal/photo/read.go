package photo

import (
	"fmt"
	"image"
	"math"

	"setshade/internal/spectrum"
)

// ReaderVersion is kept beside every measurement; it grows whenever the same
// photograph may read differently.
const ReaderVersion = 1

// Expect is what is known of the card before looking.
type Expect struct {
	// Drops is how many drops the card's plan names; 0 for any number.
	Drops int
	// Rows is the number of drops in each row, top to bottom; nil for rows as
	// the picture shows them.
	Rows []int
	// Card is the colour of the bare card under D65; drops are read relative
	// to it. Its lightness must be 50 or more.
	Card spectrum.Lab
	// Liquid says that the drops are liquid: a wider part of each is read.
	Liquid bool
}

// Reading is what was read from one photograph.
type Reading struct {
	// Drops in card order: row by row, left to right.
	Drops []Drop
	// Rows is the number of drops in each row.
	Rows []int
	// WidthPx and HeightPx are the size of the upright picture.
	WidthPx, HeightPx int
	// Notes are remarks on the whole picture, in plain words.
	Notes []string

	picture *picture
	corners quad // of the card in p; meaningless unless carded
	carded  bool
	marks   []mark
}

// Drop is one drop as read.
type Drop struct {
	Number int // from 1, in card order
	// Colour is the reflectance-factor colour at the drop's centre under D65.
	// Its covariance holds noise, the light left uneven and the drop's dome;
	// not what differs from one photograph to the next, such as the camera's
	// own colours.
	Colour spectrum.Measured
	// AreaPx and AreaShare are the outline's area in pixels of the upright
	// picture and as a share of the card.
	AreaPx    int
	AreaShare float64
	// CentreX, CentreY and DiameterPx are in pixels of the upright picture;
	// the diameter is that of the circle of the same area.
	CentreX, CentreY, DiameterPx float64
	// Rejected is what was left out of the colour.
	Rejected Rejected
	// Notes are remarks on this drop, in plain words.
	Notes []string
}

// Rejected holds the shares of a drop's area left out of its colour.
type Rejected struct {
	Highlight, Rim, Shadow float64
}

// mark is what the overlay draws for a drop, in pixels of the working picture.
type mark struct {
	hull   []point
	core   []point
	pixels []int32 // of the picture
	uses   []use
	colour *spectrum.Lab // nil when it wasn't read
}

// Read finds the card and its drops and reads their colours. A picture that
// can't be trusted gives a *Refusal; the Reading beside it holds what was found
// until then, for its Overlay. An Expect that contradicts itself is an error
// too.
func Read(data []byte, want Expect) (Reading, error) {
	if err := want.check(); err != nil {
		return Reading{}, err
	}
	img, err := decode(data)
	if err != nil {
		return Reading{}, err
	}
	meta := metadataOf(data)
	space, note := meta.colours()
	var r Reading
	r.picture = linearPicture(img, space).upright(meta.orientation)
	r.picture.code.chromaStep = meta.chromaStep
	r.WidthPx, r.HeightPx = img.Bounds().Dx(), img.Bounds().Dy()
	if meta.orientation >= 5 {
		r.WidthPx, r.HeightPx = r.HeightPx, r.WidthPx
	}
	r.note("%s", note)
	if refusal := r.read(want); refusal != nil {
		return r, refusal
	}
	return r, nil
}

func (want Expect) check() error {
	if !want.Card.IsFinite() || want.Card.L < 50 || want.Card.L > 110 {
		return fmt.Errorf("the card's lightness L* is %g, a white card has about 90 to 100", want.Card.L)
	}
	sum := 0
	for _, n := range want.Rows {
		if n < 1 {
			return fmt.Errorf("the plan has a row of %d drops; a row needs at least one", n)
		}
		sum += n
	}
	if want.Drops < 0 || len(want.Rows) > 0 && want.Drops > 0 && sum != want.Drops {
		return fmt.Errorf("the plan names %d drops but its rows hold %d", want.Drops, sum)
	}
	return nil
}

// drops is the number the plan names, 0 for any.
func (want Expect) drops() int {
	if want.Drops > 0 {
		return want.Drops
	}
	sum := 0
	for _, n := range want.Rows {
		sum += n
	}
	return sum
}

func (r *Reading) note(format string, args ...any) {
	if text := fmt.Sprintf(format, args...); text != "" {
		r.Notes = append(r.Notes, text)
	}
}

// read is the way from linear light to drops.
func (r *Reading) read(want Expect) *Refusal {
	small := r.picture.coarse(findSide)
	card, refusal := findCard(small)
	if refusal != nil {
		return refusal
	}
	scale := float64(small.scale) / float64(r.picture.scale)
	r.corners, r.carded = card.corners.times(scale), true
	if card.cut {
		r.note("the card runs out of the picture: shares of its area are too large")
	}
	if refusal := r.checkExposure(small, card); refusal != nil {
		return refusal
	}
	white, refusal := fitWhite(small, card)
	if refusal != nil {
		return refusal
	}
	if white.ratio > 1.25 {
		r.note("the light on the card is uneven, 1:%.1f; it was evened out", white.ratio)
	}
	const margin = 0.015 // the table's reflection, worn edges
	flat := flatten(r.picture, white, r.corners.inset(margin), scale)
	finder := newSegmenter(flat, white.level, r.picture.code, want.Liquid)
	found, splashes := finder.blobs()
	if len(splashes) > 0 {
		r.note("%d small %s left out", len(splashes), plural(len(splashes), "splash was", "splashes were"))
	}
	origin := point{float64(flat.x0), float64(flat.y0)}
	corners := r.corners
	for i := range corners {
		corners[i] = corners[i].minus(origin)
	}
	drops := place(found, corners)
	var rowRefusal *Refusal
	if refusal := checkCount(len(drops), want.drops()); refusal != nil {
		r.Rows, _ = inCardOrder(drops, nil)
		rowRefusal = refusal
	} else {
		r.Rows, rowRefusal = inCardOrder(drops, want.Rows)
	}
	m := newMeter(r.picture, flat, finder, drops, want)
	refusal = r.measure(m, drops)
	if small := tooSmall(r.Drops, float64(r.picture.scale)); small != nil {
		return small
	}
	if rowRefusal != nil {
		return rowRefusal
	}
	return refusal
}

func plural(n int, one, many string) string {
	if n == 1 {
		return one
	}
	return many
}

const darken = "photograph it again with the exposure darkened by one stop"

// checkExposure refuses a card that is clipped or nearly black.
func (r *Reading) checkExposure(p *picture, card bareCard) *Refusal {
	clipped, bright, n := 0.0, 0.0, 0.0
	for i, on := range card.even {
		if on {
			clipped += float64(p.clipped[i]) / 255
			bright += p.luminance(i)
			n++
		}
	}
	const mostClipped, darkest = 0.02, 0.03
	if clipped/n > mostClipped {
		return refuse(darken, "%.0f %% of the card is overexposed, so its white is not known", 100*clipped/n)
	}
	if bright/n < darkest {
		return refuse("photograph it in more light", "the picture is too dark to read")
	}
	return nil
}

func checkCount(found, expected int) *Refusal {
	const look = "look at the overlay to see which were found, then correct the plan or photograph the card again"
	switch {
	case found == 0:
		return refuse("check that this is the photograph of the card with its drops", "no drops were found on the card")
	case expected > 0 && found < expected:
		return refuse(look, "only %d of the plan's %d drops were found", found, expected)
	case expected > 0 && found > expected:
		return refuse(look, "%d drops were found, the plan has %d", found, expected)
	}
	return nil
}

func newMeter(p *picture, f *flattened, s *segmenter, drops []placed, want Expect) *meter {
	taken := make([]bool, len(f.inside))
	var sizes []float64
	for _, d := range drops {
		sizes = append(sizes, d.diameter())
		for _, i := range d.pixels {
			taken[i] = true
		}
	}
	m := &meter{p: p, f: f, card: linearOf(want.Card), core: coreSet}
	if want.Liquid {
		m.core = coreLiquid
	}
	if len(drops) > 0 {
		m.uneven = unevenness(f, taken, max(6, int(median(sizes)/3)), s.bright)
	}
	return m
}

// measure reads every drop and marks it for the overlay, then refuses the
// picture if one of them can't be trusted.
func (r *Reading) measure(m *meter, drops []placed) *Refusal {
	var refusal *Refusal
	scale := float64(r.picture.scale)
	for k := range drops {
		b := &drops[k].blob
		reading, ok := m.read(b)
		d := Drop{
			Number:     k + 1,
			AreaPx:     int(math.Round(float64(len(b.pixels)) * scale * scale)),
			AreaShare:  drops[k].share,
			CentreX:    (b.centre.x + float64(m.f.x0)) * scale,
			CentreY:    (b.centre.y + float64(m.f.y0)) * scale,
			DiameterPx: b.diameter() * scale,
			Rejected:   reading.share,
		}
		mark := r.markOf(m, b, reading.uses)
		if ok {
			d.Colour = m.colour(&reading)
			mark.colour = &d.Colour.Lab
			d.Notes = notesOf(b, &reading)
		}
		if refusal == nil {
			refusal = trust(&d, &reading, ok)
		}
		r.Drops = append(r.Drops, d)
		r.marks = append(r.marks, mark)
	}
	return refusal
}

// tooSmall refuses drops whose middle can't be told from the rim. It goes
// before the count: of drops so small some are missed.
func tooSmall(drops []Drop, scale float64) *Refusal {
	for _, d := range drops {
		if d.DiameterPx < leastDiameter*scale {
			return refuse("photograph the card from nearer, or make larger drops",
				"drop %d is only %.0f pixels wide, too small to read", d.Number, d.DiameterPx)
		}
	}
	return nil
}

// trust refuses a drop whose colour would be a guess.
func trust(d *Drop, r *domeReading, ok bool) *Refusal {
	const mostClipped = 0.1
	switch {
	case !ok:
		return refuse("turn the card or move the lamp so that the light does not mirror in the drops",
			"drop %d shows too little of its wax beside highlights", d.Number)
	case r.clipped > mostClipped:
		return refuse(darken, "drop %d is overexposed", d.Number)
	}
	return nil
}

// notesOf says in plain words what was unusual about a drop.
func notesOf(b *blob, r *domeReading) []string {
	var notes []string
	long, short := b.axes()
	if b.solid < 0.93 || long > 1.35*short {
		notes = append(notes, "not round: it may touch another drop or have run")
	}
	if r.share.Highlight > 0.12 {
		notes = append(notes, fmt.Sprintf("large highlight: %.0f %% of the drop left out", 100*r.share.Highlight))
	}
	if r.share.Shadow > 0.05 {
		notes = append(notes, "a shadow or dark specks lie on it")
	}
	if r.crushed > 0.2 {
		notes = append(notes, "its colour is stronger than the picture's colour space holds, so it reads a little dull")
	}
	if r.spread > 0.04 {
		notes = append(notes, "its colour is uneven")
	}
	return notes
}

// markOf keeps what the overlay needs, in pixels of the picture.
func (r *Reading) markOf(m *meter, b *blob, uses []use) mark {
	k := mark{uses: uses, pixels: make([]int32, len(b.pixels))}
	for i, at := range b.pixels {
		k.pixels[i] = int32(m.pictureIndex(at))
	}
	origin := point{float64(m.f.x0), float64(m.f.y0)}
	for _, p := range b.hull {
		k.hull = append(k.hull, p.plus(origin))
	}
	centre := b.centre.plus(origin)
	for step := range 72 {
		angle := 2 * math.Pi * float64(step) / 72
		dir := point{math.Cos(angle), math.Sin(angle)}
		reach := m.core / b.radius(b.centre.plus(dir))
		k.core = append(k.core, centre.plus(dir.times(reach)))
	}
	return k
}

// Overlay draws what was read where, nil when the picture could not be decoded.
func (r Reading) Overlay() image.Image {
	if r.picture == nil {
		return nil
	}
	return r.drawOverlay()
}
