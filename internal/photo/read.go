package photo

import (
	"cmp"
	"fmt"
	"image"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"setshade/internal/camera"
	"setshade/internal/card"
	"setshade/internal/drop"
	"setshade/internal/english"
	"setshade/internal/picture"
	"setshade/internal/plane"
	"setshade/internal/rank"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// ReaderVersion is kept beside every measurement; it grows whenever the same
// photograph may read differently.
const ReaderVersion = 6

// Expect is what is known of the card before looking.
//
// On a printed card the rows go to the rows of places, each filled from its
// first place on. Rows that don't fit, or a number of drops alone, fill the
// places in the order of their numbers without a gap.
type Expect struct {
	// Drops is how many drops the card's plan names; 0 for any number.
	Drops int
	// Rows is the number of drops in each row, top to bottom; nil for rows as
	// the picture shows them. Only a printed card may have a row of none.
	Rows []int
	// Places are the numbers, in order, of those places of a printed card that hold
	// a drop, one for each of Drops; nil where drops are counted from 1 without a gap.
	Places []int
	// Card is the colour of the bare card under D65; drops are read relative
	// to it. Its lightness must be 50 or more.
	Card spectrum.Lab
	// Liquid says that the drops are liquid: a wider part of each is read.
	Liquid bool
	// Thick says that they are pieces of several millimetres. Their own shadows lie on
	// the card around them, which then tells nothing of the light on the pieces.
	Thick bool
	// Reference are the colours, under D65, of a printed card's strip as an
	// instrument measured them, from left to right. With them colours are
	// absolute in daylight.
	Reference []spectrum.Lab
	// Anchor are the colours of the strip as Reading.Patches has them from another
	// photograph of the same print, to which this one is made to agree. It is not
	// used when there is a Reference.
	Anchor []spectrum.Lab
	// StripOf, when not nil, gives the Reference and the Anchor of the printed card
	// that is recognised, in place of those above.
	StripOf func(card.Geometry) (reference, anchor []spectrum.Lab)
	// Chart are the 24 colours, under D65, of a chart that lies beside the card in
	// the same light; nil for none. It goes before the strip.
	Chart []spectrum.Lab
	// Light is the kind of light as the maker tells it.
	Light wax.Light
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
	// Printed is the test card that was recognised by its print, nil for a plain
	// card.
	Printed *card.Geometry
	// Patches are those of the printed card's strip, from left to right.
	Patches []Patch
	// Bar is the colour of the bare black bar of a printed card, corrected like the
	// drops; nil on a plain card, or where nothing of it is bare.
	Bar     *spectrum.Lab
	Quality Quality
	// Correction says how the camera's colours were set right.
	Correction Correction
	// UnderLamp is what tells that the card lay under a lamp and not in daylight, in
	// plain words; "" where nothing does.
	UnderLamp string
	// Light is the kind of light as the maker or the picture tells it.
	Light wax.Light
	// Joint is the covariance of L*, a* and b* of all Drops, in their order: what
	// they have alike in error, and what is their own. Nil where it is not known.
	Joint *mat.SymDense

	picture *picture.Picture
	told    picture.Lit // by the file, of the light
	corners plane.Quad  // of the card in p; meaningless unless carded
	carded  bool
	blurred bool // and said so
	marks   []mark
	// splashes are the outlines of what was left out as too small for a drop, or off
	// the places of a printed card.
	splashes [][]plane.Point
	// missing are the drops of the plan that were not found, where they must lie.
	missing []mark
	turned  [4][]int // see Turned
	// The light on the card, fitted in a picture lightScale times as coarse, and
	// the card without it; nil when the picture was refused before.
	light      *surface
	lightScale float64
	flat       *flattened
}

// Drop is one drop as read.
type Drop struct {
	// Number counts from 1 in card order; on a printed card it is the place's.
	Number int
	// Colour is the reflectance-factor colour at the drop's centre under D65.
	// Its covariance holds noise, the light left uneven, the drop's dome and
	// what is left of the light mirrored around highlights, which all drops of
	// a photograph have alike; not what else differs from one photograph to
	// the next, such as the camera's own colours.
	Colour spectrum.Measured
	// AreaPx and AreaShare are the outline's area in pixels of the upright
	// picture and as a share of the card.
	AreaPx    int
	AreaShare float64
	// CentreX, CentreY and DiameterPx are in pixels of the upright picture;
	// the diameter is that of the circle of the same area.
	CentreX, CentreY, DiameterPx float64
	// DiameterMM is that of the circle of the same area on a printed card, 0 on a
	// plain one, whose size is not known.
	DiameterMM float64
	// OverBlack is the colour of the part that lies over the black bar of a
	// printed card, nil of a drop that does not; Colour is then that of the part
	// over white.
	OverBlack *spectrum.Measured
	// Rejected is what was left out of the colour.
	Rejected Rejected
	// Notes are remarks on this drop, in plain words.
	Notes []string
}

// Rejected holds the shares of a drop's area left out of its colour.
type Rejected struct {
	// Rim is what lies too far out to be read.
	Rim float64
	// Foreign is what neither wax nor light mirrored in it explains.
	Foreign float64
}

// use says what a pixel of a drop was used for.
type use uint8

const (
	useRead    use = iota
	useForeign     // something that is no wax: a bit of flower, a bubble, a fibre
	useRim
)

// mark is what the overlay draws for a drop, in pixels of the working picture.
type mark struct {
	number int
	hull   []plane.Point
	core   []plane.Point
	own    []int32 // pixels of the flattened window
	pixels []int32 // the same, of the picture
	uses   []use
	colour *spectrum.Lab // nil when it wasn't read
}

// Read finds the card and its drops and reads their colours. A picture that
// can't be trusted gives a *picture.Refusal; the Reading beside it holds what was found
// until then, for its Overlay. An Expect that contradicts itself is an error
// too.
func Read(data []byte, want Expect) (Reading, error) {
	if err := want.check(); err != nil {
		return Reading{}, err
	}
	r, err := open(data)
	if err != nil {
		return Reading{}, err
	}
	r.Light = want.Light
	if refusal := tooCoarse(r.picture); refusal != nil {
		return r, refusal
	}
	if refusal := r.read(want); refusal != nil {
		return r, r.orCoarse(refusal)
	}
	return r, nil
}

// open decodes a photograph into an upright picture in linear light.
func open(data []byte) (Reading, error) {
	f, err := picture.Open(data)
	if err != nil {
		return Reading{}, err
	}
	r := Reading{picture: f.Picture, told: f.Lit, WidthPx: f.WidthPx, HeightPx: f.HeightPx}
	r.note("%s", f.Note)
	return r, nil
}

func (want Expect) check() error {
	if want.Chart != nil && len(want.Chart) != chartPatches {
		return fmt.Errorf("%d colours are given for the chart, which has %d patches", len(want.Chart), chartPatches)
	}
	if !want.Card.IsFinite() || want.Card.L < 50 || want.Card.L > 110 {
		return fmt.Errorf("the card's lightness L* is %g, a white card has about 90 to 100", want.Card.L)
	}
	sum := 0
	for _, n := range want.Rows {
		if n < 0 {
			return fmt.Errorf("the plan has a row of %d drops; count those of each row", n)
		}
		sum += n
	}
	if want.Drops < 0 || len(want.Rows) > 0 && want.Drops > 0 && sum != want.Drops {
		return fmt.Errorf("the plan names %d drops but its rows hold %d", want.Drops, sum)
	}
	if n := len(want.Places); n > 0 && want.Drops > 0 && n != want.Drops {
		return fmt.Errorf("the plan names %d drops but %d places", want.Drops, n)
	}
	last := 0
	for _, n := range want.Places {
		if n <= last {
			return fmt.Errorf("the plan names place %d after place %d; number the places from 1 in order", n, last)
		}
		last = n
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
func (r *Reading) read(want Expect) *picture.Refusal {
	printed, refusal := findPrinted(r.picture)
	switch {
	case refusal != nil:
		return r.orBlur(refusal)
	case printed != nil:
		return r.readPrinted(printed, want)
	}
	return r.readPlain(want)
}

// readPlain reads drops off a card without print.
func (r *Reading) readPlain(want Expect) *picture.Refusal {
	small := r.picture.Coarse(findSide)
	card, refusal := findCard(small)
	if refusal != nil {
		return r.orBlur(refusal)
	}
	scale := float64(small.Scale) / float64(r.picture.Scale)
	r.corners, r.carded = card.corners.Times(scale), true
	if refusal := want.ofPlain(); refusal != nil {
		return refusal
	}
	if card.cut {
		r.note("the card runs out of the picture: the share of its area told of each drop is too large; no colour hangs on it")
	}
	white, refusal := r.lit(small, card)
	if refusal != nil {
		return refusal
	}
	even, refusal := r.evened(want, small, card, white)
	if refusal != nil {
		return refusal
	}
	flat := even.flat
	edge := edgeOfCard(r.picture, r.corners)
	finder := newSegmenter(flat, even.white.level, edge, r.picture.Code)
	found, splashes := finder.blobs(want.drops())
	r.leaveOut(flat, splashes)
	origin := plane.Point{X: float64(flat.x0), Y: float64(flat.y0)}
	corners := r.corners
	for i := range corners {
		corners[i] = corners[i].Minus(origin)
	}
	drops := place(found, corners)
	missing := missingOf(drops, want.Rows)
	if missing != nil {
		drops = place(finder.seek(missing, found, corners), corners)
	}
	var rowRefusal *picture.Refusal
	if refusal := checkCount(len(drops), want.drops()); refusal != nil {
		r.Rows, _ = inCardOrder(drops, nil)
		rowRefusal = refusal
		if missing = missingOf(drops, want.Rows); missing != nil {
			rowRefusal = r.notFound(missing, corners, drops[len(drops)/2].diameter()/2, origin)
		}
	} else {
		rowRefusal = r.putInOrder(drops, corners, want.Rows)
	}
	rowRefusal = r.judgeTouched(card, rowRefusal)
	for i := range drops {
		drops[i].number = i + 1
	}
	blurred := r.judgeSharpness(edge, drops)
	m := r.newMeter(even, finder, drops, want)
	m.leftOut = splashes
	return r.measure(m, drops, blurred, r.orBlur(m.orShadow(andTouching(rowRefusal, drops), drops)))
}

// ofPlain refuses what can only be said of places with a number printed beside them.
func (want Expect) ofPlain() *picture.Refusal {
	for i, number := range want.Places {
		if number != i+1 {
			return picture.Refuse("number the drops from 1 without a gap",
				"no printed card was recognised, and drop %d is given but there is no drop %d", number, i+1)
		}
	}
	if slices.Contains(want.Rows, 0) {
		return picture.Refuse("write for each row how many drops it has",
			"no printed card was recognised, and the plan has a row of 0 drops")
	}
	return nil
}

// printedSide is the longer side of the picture that the light on a printed
// card is fitted in: finer than on a plain one, since only the gaps are bare.
const printedSide = 400

// ofPrint is what is expected once the printed card is recognised.
func (want Expect) ofPrint(g card.Geometry) Expect {
	if want.StripOf != nil {
		want.Reference, want.Anchor = want.StripOf(g)
	}
	return want
}

// readPrinted reads drops off the places of a printed card.
func (r *Reading) readPrinted(c *printedCard, want Expect) *picture.Refusal {
	r.Printed = &c.geometry
	r.corners, r.carded = c.corners(), true
	r.note("%s", c.spoiltCells())
	want = want.ofPrint(c.geometry)
	planned, refusal := want.filled(c.geometry)
	if refusal != nil {
		return refusal
	}
	small := r.picture.Coarse(printedSide)
	bare := bareOf(c, small, r.picture.Scale)
	white, refusal := r.lit(small, bare)
	if refusal != nil {
		return refusal
	}
	scale := float64(small.Scale) / float64(r.picture.Scale)
	r.Patches = readStrip(c, r.picture, white, scale, want.Card)
	even, refusal := r.evened(want, small, bare, white)
	if refusal != nil {
		return refusal
	}
	flat := even.flat
	r.correctPatches(even, want.Card)
	r.Bar = barOf(c, even, scale, want.Card, r.Patches[0].Corrected)
	site := newSite(c, flat)
	edge := edgeOfPrint(r.picture, c.spots)
	site.clean(flat, edge)
	finder := newSegmenter(flat, even.white.level, edge, r.picture.Code)
	finder.longest = longestHalf
	found, splashes := finder.blobs(want.drops())
	drops, stray := site.onPlaces(found, flat)
	drops = site.seekOverBar(drops, flat)
	for _, d := range stray {
		splashes = append(splashes, d.blob)
	}
	r.leaveOut(flat, splashes)
	r.Rows, r.turned = rowsOfPlaces(numbersOf(drops)), turnedPrinted(len(drops))
	blurred := r.judgeSharpness(edge, drops)
	m := r.newMeter(even, finder, drops, want)
	m.leftOut = splashes
	return r.measure(m, drops, blurred, r.orBlur(m.orShadow(andTouching(checkPlaces(drops, stray, planned), drops), drops)))
}

// bareOf says where the paper of a printed card is bare, in the coarse picture.
func bareOf(c *printedCard, small *picture.Picture, scale int) bareCard {
	shrink := float64(scale) / float64(small.Scale)
	card := bareCard{corners: c.corners().Times(shrink), bare: make([]bool, small.W*small.H)}
	back := plane.Homography{shrink, 0, 0, 0, shrink, 0, 0, 0, 1}.After(c.onto).Inverse()
	j := back.Jacobian(card.corners[0].Plus(card.corners[2]).Times(0.5))
	pixelMM := math.Sqrt(math.Abs(j[0]*j[3] - j[1]*j[2]))
	mask := newPrintMask(c.geometry, 0.8*pixelMM, true)
	for y := range small.H {
		row, onCard := card.bare[y*small.W:(y+1)*small.W], back.AlongRow(float64(y)+0.5)
		for x := range row {
			row[x] = mask.isBare(onCard(float64(x) + 0.5))
		}
	}
	card.even = card.bare
	return card
}

// edgeShare is how much along the card's edges is left out: the table's
// reflection, worn edges.
const edgeShare = 0.015

// lit checks the exposure and fits the light on the card.
func (r *Reading) lit(small *picture.Picture, card bareCard) (*surface, *picture.Refusal) {
	if isGrey(small) {
		return nil, picture.Refuse("take it in colour, or use the camera's own file", "the picture is black and white, so that it tells nothing of colours")
	}
	white, refusal := fitWhite(small, card, r.picture)
	if refusal != nil {
		return nil, refusal
	}
	if refusal := r.checkExposure(small, card, white); refusal != nil {
		return nil, refusal
	}
	r.judgeExposure(white)
	return white, r.judgeLight(white)
}

// evenLight is the card with the camera's tone curve and the unevenness of the
// light taken away.
type evenLight struct {
	picture    *picture.Picture
	white      *surface
	flat       *flattened
	correction *camera.Corrector // nil for none
}

// evened chooses the correction and divides by the light.
func (r *Reading) evened(want Expect, small *picture.Picture, card bareCard, white *surface) (evenLight, *picture.Refusal) {
	correction, refusal := r.correctBy(want)
	if refusal != nil {
		return evenLight{}, refusal
	}
	r.judgeLamp(white, want.Card)
	e := evenLight{picture: r.picture, white: white, correction: correction}
	if correction != nil && correction.BendsTones() {
		e.picture, small = correction.Straightened(e.picture), correction.Straightened(small)
		if e.white, refusal = fitWhite(small, card, nil); refusal != nil {
			return e, refusal
		}
	}
	scale := float64(small.Scale) / float64(r.picture.Scale)
	e.flat = flatten(e.picture, e.white, r.corners.Inset(edgeShare), scale)
	r.judgeNoise(e.flat)
	r.light, r.lightScale, r.flat = e.white, scale, e.flat
	return e, nil
}

// leaveOut notes the splashes, and keeps where they lie for the overlay.
func (r *Reading) leaveOut(f *flattened, splashes []blob) {
	n := len(splashes)
	if n > 0 {
		r.note("%d small %s left out", n, english.Plural(n, "splash was", "splashes were"))
	}
	origin := plane.Point{X: float64(f.x0), Y: float64(f.y0)}
	for _, b := range splashes {
		var outline []plane.Point
		for _, p := range b.hull {
			outline = append(outline, p.Plus(origin))
		}
		r.splashes = append(r.splashes, outline)
	}
}

const darken = "photograph it again with the exposure darkened by one stop"

// checkExposure refuses a card that is clipped or nearly black.
func (r *Reading) checkExposure(p *picture.Picture, card bareCard, white *surface) *picture.Refusal {
	bright, n := 0.0, 0.0
	for i, on := range card.even {
		if on {
			bright += p.Luminance(i)
			n++
		}
	}
	const mostClipped, darkest = 0.02, 0.03
	if share := max(white.clipped, piledUp(p, card, r.picture.Code.Space)); share > mostClipped {
		return picture.Refuse(darken, "%.0f %% of the card is overexposed, so its white is not known", 100*share)
	}
	if bright/n < darkest {
		return picture.Refuse("photograph it in more light", "the picture is too dark to read")
	}
	return nil
}

func checkCount(found, expected int) *picture.Refusal {
	const look = "look at the overlay to see which were found, then correct the plan or photograph the card again"
	switch {
	case found == 0:
		return picture.Refuse("check that this is the photograph of the card with its drops", "no drops were found on the card")
	case expected > 0 && found < expected:
		return picture.Refuse(look, "only %d of the plan's %d drops were found", found, expected)
	case expected > 0 && found > expected:
		return picture.Refuse(look, "%d drops were found, the plan has %d", found, expected)
	}
	return nil
}

func (r *Reading) newMeter(even evenLight, s *segmenter, drops []placed, want Expect) *meter {
	f := even.flat
	taken := make([]bool, len(f.inside))
	var sizes []float64
	for _, d := range drops {
		sizes = append(sizes, d.diameter())
		for _, i := range d.pixels {
			taken[i] = true
		}
	}
	m := &meter{p: even.picture, f: f, white: even.white, scale: r.lightScale, corners: r.corners,
		correction: even.correction, card: want.Card, liquid: want.Liquid, thick: want.Thick}
	if len(drops) > 0 {
		m.uneven = unevenness(f, taken, max(6, int(rank.Median(sizes)/3)), s.bright)
	}
	return m
}

// measure reads the drops and marks them for the overlay, then refuses the picture if
// one of them can't be trusted, unless there are earlier reasons.
func (r *Reading) measure(m *meter, drops []placed, earlier ...*picture.Refusal) *picture.Refusal {
	around := unshaded(len(drops))
	if !m.thick {
		around = surroundings(m.f, drops, m.leftOut)
	}
	looks := m.looks(drops, around)
	for k := range drops {
		r.Drops = append(r.Drops, r.dropOf(m, &drops[k]))
		r.marks = append(r.marks, r.markOf(m, &drops[k]))
	}
	if small := tooSmall(r.Drops, float64(r.picture.Scale)); small != nil {
		return small
	}
	early := cmp.Or(append(earlier, hidden(looks, r.Drops))...)
	seen := make([]drop.Seen, len(looks))
	for i := range looks {
		seen[i] = looks[i].seen
		if len(seen[i].Cells) < drop.FewestCells {
			return early
		}
	}
	fit, ok := drop.Read(seen, m.toXYZ(), m.liquid)
	if !ok {
		return cmp.Or(early, picture.Refuse(turnFromGlare, "the drops look like nothing that wax under one light can be"))
	}
	colours := m.coloursOf(looks, &fit)
	var refusal *picture.Refusal
	var onWhite []int
	for i := range looks {
		l := &looks[i]
		d, mark := &r.Drops[l.drop], &r.marks[l.drop]
		lost := l.mark(fit.Wax[i], mark)
		if l.black {
			over := colours.at(i)
			d.OverBlack = &over
			continue
		}
		onWhite = append(onWhite, i)
		d.Colour = colours.at(i)
		mark.colour = &d.Colour.Lab
		d.Notes = append(d.Notes, l.notes(lost, fit.Mirrored[i])...)
		refusal = cmp.Or(refusal, l.trust(d, lost, m.card))
	}
	for k := range drops {
		if drops[k].onBlack != nil && r.Drops[k].OverBlack == nil {
			r.Drops[k].Notes = append(r.Drops[k].Notes, "too little of it lies over the black bar to read its hiding power")
		}
		r.Drops[k].Rejected = shares(r.marks[k].uses)
	}
	r.Joint = jointOf(colours.joint, onWhite)
	return cmp.Or(early, r.orBlur(refusal), r.orBlur(andTouching(r.judgeSurroundings(around, drops), drops)))
}

// jointOf takes some of the colours' covariance, in the order given.
func jointOf(all *mat.SymDense, some []int) *mat.SymDense {
	out := mat.NewSymDense(3*len(some), nil)
	for a := range 3 * len(some) {
		for b := a; b < 3*len(some); b++ {
			out.SetSym(a, b, all.At(3*some[a/3]+a%3, 3*some[b/3]+b%3))
		}
	}
	return out
}

// dropOf is a drop before its colour is read.
func (r *Reading) dropOf(m *meter, p *placed) Drop {
	scale := float64(r.picture.Scale)
	return Drop{
		Number:     p.number,
		AreaPx:     int(math.Round(float64(len(p.pixels)) * scale * scale)),
		AreaShare:  p.share,
		CentreX:    (p.Centre.X + float64(m.f.x0)) * scale,
		CentreY:    (p.Centre.Y + float64(m.f.y0)) * scale,
		DiameterPx: p.diameter() * scale,
		DiameterMM: p.diameterMM,
		Notes:      notesOf(p),
	}
}

// tooSmall refuses drops whose middle can't be told from the rim. It goes
// before the count: of drops so small some are missed.
func tooSmall(drops []Drop, scale float64) *picture.Refusal {
	for _, d := range drops {
		if d.DiameterPx < leastDiameter*scale {
			return picture.Refuse("photograph the card from nearer, or make larger drops",
				"drop %d is only %.0f pixels wide, too small to read", d.Number, d.DiameterPx)
		}
	}
	return nil
}

// A cell that the model explains this little, five and more times its usual residual off,
// is no wax: the bumps of a drop stay within that. Of a drop that shows more than
// mostLost of others beside its wax, the others may be the wax.
const (
	noWax    = 0.12
	mostLost = 0.45
)

// mark paints what a look was used for on the overlay's mark, and returns the share of
// its cells that are no wax.
func (l *look) mark(wax []float64, onto *mark) float64 {
	at := make(map[int32]use)
	lost := 0.0
	for i, pixels := range l.pixels {
		u := useRead
		if wax[i] < noWax {
			u = useForeign
			lost++
		}
		for _, p := range pixels {
			at[p] = u
		}
	}
	for k, i := range onto.own {
		if u, ok := at[i]; ok {
			onto.uses[k] = u
		}
	}
	return lost / float64(len(l.pixels))
}

// hidden refuses a drop of which too little is seen, or whose middle is overexposed: a lit
// flank that is clipped says that it is no darker, and the rest tells the colour.
func hidden(looks []look, drops []Drop) *picture.Refusal {
	const mostClipped = 0.5
	for i := range looks {
		l := &looks[i]
		switch n := drops[l.drop].Number; {
		case l.clipped > mostClipped:
			return picture.Refuse(darken, "drop %d is overexposed", n)
		case len(l.seen.Cells) < drop.FewestCells:
			return picture.Refuse("photograph the card from nearer, or drip the drop farther from the bar and the card's edge",
				"drop %d shows too little of its wax", n)
		}
	}
	return nil
}

// trust refuses a drop whose colour would be a guess.
func (l *look) trust(d *Drop, lost float64, card spectrum.Lab) *picture.Refusal {
	if lost > mostLost {
		return picture.Refuse("take off what lies on it, or drip the drop again",
			"drop %d shows too little of its wax beside something of another colour", d.Number)
	}
	return whiterThanCard(d, card)
}

// notesOf says in plain words what is unusual about where and how a drop lies.
func notesOf(p *placed) []string {
	var notes []string
	if p.offMM > notedOff {
		notes = append(notes, fmt.Sprintf("it lies %.0f mm off its place", p.offMM))
	}
	if p.parted {
		notes = append(notes, "it touches another drop and was parted from it")
	} else if !p.isRound() {
		notes = append(notes, "not round: it may touch another drop or have run")
	}
	return notes
}

// notes says what is unusual about how a drop was read.
func (l *look) notes(lost, mirrored float64) (notes []string) {
	const fewLost, strong, duller = 0.08, 0.12, 0.2
	if lost > fewLost {
		notes = append(notes, "bits of another colour, or a shadow, lie on it; they were left out")
	}
	if mirrored > strong {
		notes = append(notes, "a window or lamp mirrors in its middle: "+turnFromGlare)
	}
	if l.crushed > duller {
		notes = append(notes, "its colour is stronger than the picture's colour space holds, so it reads duller than it is")
	}
	return notes
}

// markOf keeps what the overlay needs, in pixels of the picture.
func (r *Reading) markOf(m *meter, p *placed) mark {
	b := &p.blob
	k := mark{number: p.number, own: b.pixels, uses: make([]use, len(b.pixels)), pixels: make([]int32, len(b.pixels))}
	for i := range k.uses {
		k.uses[i] = useRim
	}
	for i, at := range b.pixels {
		k.pixels[i] = int32(m.pictureIndex(at))
	}
	origin := plane.Point{X: float64(m.f.x0), Y: float64(m.f.y0)}
	for _, p := range b.hull {
		k.hull = append(k.hull, p.Plus(origin))
	}
	centre := b.Centre.Plus(origin)
	for step := range 72 {
		angle := 2 * math.Pi * float64(step) / 72
		dir := plane.Point{X: math.Cos(angle), Y: math.Sin(angle)}
		reach := drop.Within / b.Radius(b.Centre.Plus(dir))
		k.core = append(k.core, centre.Plus(dir.Times(reach)))
	}
	return k
}

func shares(uses []use) Rejected {
	var count [useRim + 1]float64
	for _, u := range uses {
		count[u]++
	}
	n := float64(max(1, len(uses)))
	return Rejected{Rim: count[useRim] / n, Foreign: count[useForeign] / n}
}

// Overlay draws what was read where, nil when the picture could not be decoded.
func (r Reading) Overlay() image.Image {
	if r.picture == nil {
		return nil
	}
	return r.drawOverlay()
}
