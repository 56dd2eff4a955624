package page

import (
	"cmp"
	"crypto/rand"
	"errors"
	"fmt"
	"image"
	"net/http"
	"net/url"
	"slices"
	"strings"

	"setshade/internal/plan"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
	"setshade/internal/workshop"
)

// recordPage asks for a photograph.
type recordPage struct {
	Waxes []string
	Given form
	// PutBack is the photograph that was sent and has been put back; nil for none.
	PutBack *workshop.PutBack
	// Same is the plan of the card of which this is to be another photograph; nil for
	// another card.
	Same *plan.Plan
}

func (s *Server) record(r *http.Request) (answer, error) {
	return s.recordView(r, form{Values: r.URL.Query()})
}

// cardLights say in which light a card was photographed.
func cardLights() map[wax.Light]string {
	return map[wax.Light]string{
		wax.WindowLight: "by a window", wax.OvercastLight: "under an overcast sky",
		wax.BlackLight: "under something black", wax.LampLight: "under a lamp",
	}
}

// recordView asks for a photograph, with what was given.
func (s *Server) recordView(r *http.Request, given form) (answer, error) {
	names, err := s.waxNames(r)
	p := recordPage{Waxes: names, Given: given}
	if with := given.text("with"); err == nil && with != "" {
		var same plan.Plan
		same, err = s.workshop.PlanOf(r.Context(), with)
		p.Same = &same
	}
	return answer{page: "record", title: "Record a card", data: p}, err
}

// look reads a photograph and keeps it as a draft, to be given its doses. One that the
// store has lost is put back instead.
func (s *Server) look(r *http.Request) (answer, error) {
	u, err := readUpload(r)
	a, viewErr := s.recordView(r, u.form)
	if err := cmp.Or(viewErr, err); err != nil {
		return a, err
	}
	p := a.data.(recordPage)
	if back, err := s.workshop.PutBack(r.Context(), u.photo); err != nil {
		return a, err
	} else if back != nil {
		a.data, a.path = recordPage{Waxes: p.Waxes, PutBack: back}, "/record"
		return s.tell(rand.Text(), func(*http.Request) (answer, error) { return a, nil }), nil
	}
	card, err := planOf(u.form, p.Same)
	if err != nil {
		return a, err
	}
	beside, err := p.Given.chart()
	if err != nil {
		a.at, a.data = atColours, p
		return a, err
	}
	d := &draft{photo: u.photo, Name: u.name, Chart: beside, Plan: card, SameAs: u.text("with")}
	seen, err := s.sighted(r.Context(), d)
	if err == nil && seen.overlay == nil {
		err = seen.refusal
	}
	if err == nil {
		err = s.keep(d)
	}
	if err != nil {
		return a, err
	}
	s.sightings.add(d.id, seen)
	return answer{location: "/record/" + d.id}, nil
}

// planOf is the plan as far as the first form tells it: whole when its text came
// too, else wax and state.
func planOf(f form, same *plan.Plan) (p plan.Plan, err error) {
	switch {
	case same != nil:
		p = *same
		p.State = wax.State(f.text("state"))
	case f.text("plan") != "":
		if p, err = plan.Parse(f.Get("plan")); err != nil {
			return p, fmt.Errorf("plan: %w", err)
		}
	default:
		p = plan.Plan{Wax: f.text("wax"), State: wax.State(f.text("state")), Card: plan.UsualCard}
	}
	if light := f.text("under"); light != "" {
		if p.Light, err = plan.ParseLight(light); err != nil {
			return p, err
		}
	}
	if p.State != wax.SetState && p.State != wax.LiquidState {
		return p, errors.New("say whether the drops are set or liquid")
	}
	return p, nil
}

// draftPage is a photograph with a row for each drop.
type draftPage struct {
	*draft
	*sighting
	Rows  []draftRow
	Dyes  []wax.Dye
	Units []plan.Unit
	// Said says that something is said of every drop, so that the card can be saved.
	Said bool
	// Last says that a card was recorded whose doses these drops can have, too.
	Last bool
	// MixedUp says that the drops agree with the plan only once the card is turned.
	MixedUp bool
}

// HasPicture says that there is something to show, of a Size in pixels.
func (p draftPage) HasPicture() bool { return p.overlay != nil }

// Size is that of the picture.
func (p draftPage) Size() image.Point { return p.size }

// Wrote is what stands in a field.
func (p draftPage) Wrote(name string) string { return p.Given.Get(name) }

// draftRow is a drop and what is said of it.
type draftRow struct {
	Number int
	// Box is where the drop lies on the picture.
	Box   image.Rectangle
	Lab   spectrum.Lab
	Check bool
	// Says is its dose as far as it was given, "" where no dye was chosen.
	Says string
	// Parts are the dyes given, with one empty place more.
	Parts []typedPart
}

// typedPart is one dye of a drop as it stands in the form.
type typedPart struct{ Dye, Amount, Unit string }

var doseUnits = plan.Units()

// unitOf is what a dye is most often written in.
func unitOf(d wax.Dye) plan.Unit {
	switch {
	case d.UnitMassG == 0:
		return plan.Gram
	case d.Form == wax.Chip:
		return plan.Chips
	case d.Form == wax.Liquid:
		return plan.Drops
	}
	return plan.Gram
}

func (s *Server) showDraft(r *http.Request) (answer, error) {
	d, err := s.draft(r.PathValue("draft"))
	if err != nil {
		return s.draftGone(r, err)
	}
	return s.draftView(r, d, nil)
}

// draftGone answers for a photograph that was recorded, or is not kept any more.
func (s *Server) draftGone(r *http.Request, err error) (answer, error) {
	id := r.PathValue("draft")
	if _, recorded := s.told.get(id); recorded {
		return answer{location: "/told/" + id}, nil
	}
	return answer{}, err
}

// draftView shows a draft, and why it was refused.
func (s *Server) draftView(r *http.Request, d *draft, refused error) (answer, error) {
	dyes, err := s.workshop.Store.Dyes.List(r.Context())
	if err != nil {
		return answer{}, err
	}
	seen, err := s.sighted(r.Context(), d)
	if err != nil {
		return answer{}, err
	}
	page := draftPage{draft: d, sighting: seen, Dyes: dyes, Units: doseUnits, Said: true, MixedUp: errors.As(refused, new(*workshop.MixedUp))}
	if _, page.Last, err = s.workshop.SameAsLast(r.Context(), seen.Numbers); err != nil {
		return answer{}, err
	}
	if d.Given == nil {
		said := d.Plan
		said.Drops = nil
		for i, number := range seen.Numbers {
			if drop, ok := plannedFor(d.Plan, i, number); ok {
				drop.Number = number
				said.Drops = append(said.Drops, drop)
			}
		}
		d.Given = givenOf(said)
	}
	for i, lab := range seen.Drops {
		row := rowOf(page.Given, seen.Numbers[i], lab)
		if i < len(seen.Bounds) {
			row.Box = seen.Bounds[i]
		}
		page.Said = page.Said && row.Says != ""
		page.Rows = append(page.Rows, row)
	}
	return answer{page: "draft", title: "Say which drop is which", data: page}, cmp.Or(refused, seen.refusal)
}

// rowOf is what the form has of a drop.
func rowOf(given url.Values, number int, lab spectrum.Lab) draftRow {
	row := draftRow{Number: number, Lab: lab, Check: given.Get(fmt.Sprintf("check-%d", number)) != ""}
	var says []string
	for k := 0; k == 0 || given.Has(fmt.Sprintf("dye-%d-%d", number, k)); k++ {
		at := func(name string) string { return given.Get(fmt.Sprintf("%s-%d-%d", name, number, k)) }
		part := typedPart{at("dye"), at("amount"), at("unit")}
		if part.Dye == "" && k > 0 {
			continue
		}
		row.Parts = append(row.Parts, part)
		if part.Dye != "" {
			says = append(says, strings.TrimSpace(part.Dye+" "+strings.TrimSpace(part.Amount+" "+part.Unit)))
		}
		if part.Dye == wax.Undyed || part.Dye == leftOut {
			says[len(says)-1] = part.Dye
		}
	}
	row.Says = strings.Join(says, " + ")
	row.Parts = append(row.Parts, typedPart{})
	return row
}

// saveDraft keeps what was said of a card, and then does what the button asks: fill in
// the doses of the last card or a ladder, throw the photograph away, or record the card.
func (s *Server) saveDraft(r *http.Request) (answer, error) {
	d, err := s.draft(r.PathValue("draft"))
	if err != nil {
		return s.draftGone(r, err)
	}
	f := form{Values: r.PostForm}
	do := f.text("do")
	f.Del("do")
	again := answer{location: "/record/" + d.id}
	if do == "drop" {
		return answer{location: "/"}, s.workshop.Store.Drafts().Remove(d.id)
	}
	if d.Given = f.Values; do == "" {
		err = s.keep(d)
	}
	seen, lookErr := s.sighted(r.Context(), d)
	if err := cmp.Or(err, lookErr); err != nil {
		return answer{}, err
	}
	var filled plan.Plan
	switch do {
	case "":
		return s.recordDraft(r, d, seen)
	case "last":
		filled, _, err = s.workshop.SameAsLast(r.Context(), seen.Numbers)
	case "ladder":
		filled, err = ladderOf(&f, seen.Numbers)
	}
	if err != nil {
		return s.draftView(r, d, err)
	}
	if filled.Drops != nil {
		d.Given = givenOf(filled)
	}
	return again, s.keep(d)
}

// recordDraft records the card with the doses given, and begins to learn from it.
func (s *Server) recordDraft(r *http.Request, d *draft, seen *sighting) (answer, error) {
	f := form{Values: d.Given}
	p := d.Plan
	p.Drops = dropsOf(&f, seen.Numbers)
	for i := range p.Drops {
		planned, _ := plannedFor(d.Plan, i, p.Drops[i].Number)
		p.Drops[i].MassG = planned.MassG
	}
	p.MassG = f.mass("mass", "mass of a drop")
	if seen.Print != "" {
		p.Rows = nil
	}
	if f.err != nil {
		return s.draftView(r, d, f.err)
	}
	reading, err := s.workshop.Record(r.Context(), workshop.Card{
		PhotoName: d.Name, PlanName: "for " + d.Name, Photo: d.photo, PlanText: plan.Format(p), Chart: d.Chart, SameAs: d.SameAs, Replans: d.Replans,
		AsPlanned: f.text("as-planned") != "", Pointed: true,
	})
	if err != nil {
		return s.draftView(r, d, err)
	}
	if err := s.workshop.Store.Drafts().Remove(d.id); err != nil {
		return answer{}, err
	}
	told := recordedPage{
		Swatches: reading.Swatches, Notes: reading.Notes, Correction: reading.Correction, Quality: reading.Quality, DropAreaPx: reading.DropAreaPx(), Print: reading.Print,
	}
	return s.tellRecorded(d.id, told, d.Replans != ""), nil
}

// tellRecorded tells what was recorded, and what is learned from it meanwhile; after a
// change nothing is, so that it stays the last change, which can be taken back.
func (s *Server) tellRecorded(id string, told recordedPage, isChange bool) answer {
	first := told.Swatches[0]
	var learning *job[workshop.Lesson]
	if first.State == wax.SetState && !isChange {
		s.lessons.supersede(first.Wax)
		learning = s.beginLesson(first.Wax)
	}
	return s.tell(id, func(*http.Request) (answer, error) {
		now := told
		if learning != nil {
			lesson := s.lessonOf(learning)
			now.Lesson = &lesson
		}
		now.Changed = isChange
		return answer{page: "recorded", title: "Recorded", path: "/record", data: now}, nil
	})
}

// recordedPage is what is told of a reading, without the picture that a reading holds.
type recordedPage struct {
	Swatches   []wax.Swatch
	Notes      []string
	Correction wax.Correction
	Quality    wax.Quality
	DropAreaPx int
	Print      string
	// Changed says that the card was recorded before.
	Changed bool
	// Lesson is what is learned from it, nil of liquid drops and after a change.
	Lesson *lessonPage
}

// plannedFor is the drop that a plan has for the one of a number that was seen as the
// i-th.
func plannedFor(p plan.Plan, i, number int) (plan.Drop, bool) {
	if p.Places() != nil {
		i = slices.IndexFunc(p.Drops, func(d plan.Drop) bool { return d.Number == number })
	}
	if i < 0 || i >= len(p.Drops) {
		return plan.Drop{}, false
	}
	return p.Drops[i], true
}

// dropsOf reads the rows of the form, one for each number: fields dye-3-0, amount-3-0
// and unit-3-0 are the first dye of drop 3, which may be the word for undyed wax or for a
// drop of which nothing is to be kept.
func dropsOf(f *form, numbers []int) (drops []plan.Drop) {
	for _, number := range numbers {
		d := plan.Drop{Number: number, Check: f.text(fmt.Sprintf("check-%d", number)) != ""}
		undyed := false
		for k := 0; f.Has(fmt.Sprintf("dye-%d-%d", number, k)); k++ {
			switch f.text(fmt.Sprintf("dye-%d-%d", number, k)) {
			case leftOut:
				d = plan.Drop{Number: number, LeftOut: true}
			case wax.Undyed:
				undyed = true
			}
			if part := f.part(number, k, d.LeftOut); part.Dye != "" && part.Dye != wax.Undyed && !d.LeftOut {
				d.Parts = append(d.Parts, part)
			}
		}
		switch {
		case undyed && len(d.Parts) > 0:
			f.fault(fmt.Errorf("drop %d cannot be undyed wax and have a dye; choose one of the two", number))
		case !undyed && !d.LeftOut && len(d.Parts) == 0:
			f.fault(fmt.Errorf("drop %d: choose its dye, or say that it is undyed wax or left out", number))
		}
		drops = append(drops, d)
	}
	return drops
}

// part reads one dye of a drop.
func (f *form) part(number, k int, isLeftOut bool) plan.Amount {
	if isLeftOut {
		return plan.Amount{}
	}
	at := fmt.Sprintf("-%d-%d", number, k)
	part := plan.Amount{
		Dye: f.text("dye" + at), Unit: plan.Unit(f.text("unit" + at)),
		Value: f.number("amount"+at, fmt.Sprintf("drop %d", number)),
	}
	switch {
	case part.Dye == "" || part.Dye == wax.Undyed:
		if part.Value != 0 {
			f.fault(fmt.Errorf("drop %d has an amount and no dye; choose the dye, or clear the amount", number))
		}
	case part.Value <= 0:
		f.fault(fmt.Errorf("drop %d: how much %s is in it? Write an amount above 0", number, part.Dye))
	case !slices.Contains(doseUnits, part.Unit):
		f.fault(fmt.Errorf("drop %d: %q is not a unit of a dose", number, part.Unit))
	}
	return part
}

func (s *Server) overlay(w http.ResponseWriter, r *http.Request) {
	var seen *sighting
	d, err := s.draft(r.PathValue("draft"))
	if err == nil {
		seen, err = s.sighted(r.Context(), d)
	}
	if err != nil || seen.overlay == nil {
		http.NotFound(w, r)
		return
	}
	w.Header().Set("Content-Type", "image/jpeg")
	w.Write(seen.overlay)
}
