package page

import (
	"bytes"
	"cmp"
	"crypto/rand"
	"errors"
	"fmt"
	"image"
	"image/jpeg"
	"net/http"
	"slices"

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
	done, err := s.reader(r.Context())
	if err != nil {
		return a, err
	}
	defer done()
	d := &draft{id: rand.Text(), name: u.name, photo: u.photo, chart: beside, plan: card, sameAs: u.text("with")}
	d.sight, d.refusal = s.workshop.Look(r.Context(), u.name, u.photo, card, beside)
	if seen := d.sight.Overlay; seen != nil {
		var picture bytes.Buffer
		if err := jpeg.Encode(&picture, seen, &jpeg.Options{Quality: 88}); err != nil {
			return a, err
		}
		d.overlay, d.size, d.sight.Overlay = picture.Bytes(), seen.Bounds().Size(), nil
	}
	if d.refusal != nil && d.overlay == nil {
		return a, d.refusal
	}
	s.drafts.add(d.id, d)
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
	ID, Name   string
	Plan       plan.Plan
	Notes      []string
	HasPicture bool
	Size       image.Point
	Sight      workshop.Sight
	Rows       []draftRow
	Dyes       []wax.Dye
	Units      []plan.Unit
	// MixedUp says that the drops agree with the plan only once the card is turned.
	MixedUp bool
}

// draftRow is a drop and what is said of it.
type draftRow struct {
	Number int
	// Box is where the drop lies on the picture.
	Box   image.Rectangle
	Lab   spectrum.Lab
	Check bool
	// Undyed says that it was chosen to be undyed wax, Unsaid that nothing was chosen
	// when the card was to be saved.
	Undyed, Unsaid bool
	// Parts are the dyes given, with one empty place more.
	Parts []plan.Amount
}

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
	d, ok := s.drafts.get(r.PathValue("draft"))
	if !ok {
		return s.draftGone(r)
	}
	return s.draftView(r, d, d.plan, nil, d.refusal)
}

// draftGone answers for a photograph that was recorded, or is not kept any more.
func (s *Server) draftGone(r *http.Request) (answer, error) {
	id := r.PathValue("draft")
	if _, recorded := s.told.get(id); recorded {
		return answer{location: "/told/" + id}, nil
	}
	return answer{status: http.StatusNotFound}, errors.New("that photograph is not kept any more; choose it again under Record")
}

// draftView shows the draft with the doses of a plan; of the drops that are unsaid,
// by their numbers, the plan knows nothing.
func (s *Server) draftView(r *http.Request, d *draft, p plan.Plan, unsaid []int, refused error) (answer, error) {
	dyes, err := s.workshop.Store.Dyes.List(r.Context())
	if err != nil {
		return answer{}, err
	}
	page := draftPage{
		ID: d.id, Name: d.name, Plan: p, Notes: d.sight.Notes, Sight: d.sight, Size: d.size, HasPicture: d.overlay != nil, Dyes: dyes, Units: doseUnits,
		MixedUp: errors.As(refused, new(*workshop.MixedUp)),
	}
	bounds := d.sight.Bounds
	for i, lab := range d.sight.Drops {
		row := draftRow{Number: d.sight.Numbers[i], Lab: lab}
		if i < len(bounds) {
			row.Box = bounds[i]
		}
		if planned, ok := plannedFor(p, i, row.Number); ok {
			row.Check, row.Parts = planned.Check, slices.Clone(planned.Parts)
			row.Unsaid = slices.Contains(unsaid, row.Number)
			row.Undyed = len(row.Parts) == 0 && !row.Unsaid
		}
		row.Parts = append(row.Parts, plan.Amount{Unit: plan.Gram})
		if len(row.Parts) == 1 {
			row.Parts = append(row.Parts, plan.Amount{Unit: plan.Gram})
		}
		page.Rows = append(page.Rows, row)
	}
	return answer{page: "draft", title: "Say which drop is which", data: page}, refused
}

// saveDraft records the card with the doses given.
func (s *Server) saveDraft(r *http.Request) (answer, error) {
	d, ok := s.drafts.get(r.PathValue("draft"))
	if !ok {
		return s.draftGone(r)
	}
	f := form{Values: r.PostForm}
	p := d.plan
	var unsaid []int
	p.Drops, unsaid = dropsOf(&f, d.sight.Numbers)
	for i := range p.Drops {
		planned, _ := plannedFor(d.plan, i, p.Drops[i].Number)
		p.Drops[i].MassG = planned.MassG
	}
	p.MassG = f.mass("mass", "mass of a drop")
	if d.sight.Print != "" {
		p.Rows = nil
	}
	if f.err != nil {
		return s.draftView(r, d, p, unsaid, f.err)
	}
	reading, err := s.workshop.Record(r.Context(), workshop.Card{
		PhotoName: d.name, PlanName: "for " + d.name, Photo: d.photo, PlanText: plan.Format(p), Chart: d.chart, SameAs: d.sameAs,
		AsPlanned: f.text("as-planned") != "", Pointed: true,
	})
	if err != nil {
		return s.draftView(r, d, p, nil, err)
	}
	s.drafts.remove(d.id)
	recorded := answer{page: "recorded", title: "Recorded", path: "/record", data: recordedPage{
		reading.Swatches, reading.Notes, reading.Correction, reading.Quality, reading.DropAreaPx(), reading.Print,
	}}
	return s.tell(d.id, func(*http.Request) (answer, error) { return recorded, nil }), nil
}

// recordedPage is what is told of a reading, without the picture that a reading holds.
type recordedPage struct {
	Swatches   []wax.Swatch
	Notes      []string
	Correction wax.Correction
	Quality    wax.Quality
	DropAreaPx int
	Print      string
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
// and unit-3-0 are the first dye of drop 3, which may be the word for undyed wax. It
// returns the numbers of the drops of which nothing was chosen, too.
func dropsOf(f *form, numbers []int) (drops []plan.Drop, unsaid []int) {
	for _, number := range numbers {
		d := plan.Drop{Number: number, Check: f.text(fmt.Sprintf("check-%d", number)) != ""}
		undyed := false
		for k := 0; f.Has(fmt.Sprintf("dye-%d-%d", number, k)); k++ {
			part := f.part(number, k)
			switch part.Dye {
			case "":
			case wax.Undyed:
				undyed = true
			default:
				d.Parts = append(d.Parts, part)
			}
		}
		switch {
		case undyed && len(d.Parts) > 0:
			f.fault(fmt.Errorf("drop %d cannot be undyed wax and have a dye; choose one of the two", number))
		case !undyed && len(d.Parts) == 0:
			unsaid = append(unsaid, number)
			f.fault(fmt.Errorf("drop %d: choose its dye, or say that it is undyed wax", number))
		}
		drops = append(drops, d)
	}
	return drops, unsaid
}

// part reads one dye of a drop.
func (f *form) part(number, k int) plan.Amount {
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
	d, ok := s.drafts.get(r.PathValue("draft"))
	if !ok || d.overlay == nil {
		http.NotFound(w, r)
		return
	}
	w.Header().Set("Content-Type", "image/jpeg")
	w.Write(d.overlay)
}
