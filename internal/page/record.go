package page

import (
	"bytes"
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
}

func (s *Server) record(r *http.Request) (answer, error) {
	names, err := s.waxNames(r)
	return answer{page: "record", title: "Record a card", data: recordPage{Waxes: names, Given: form{Values: r.URL.Query()}}}, err
}

// look reads a photograph and keeps it as a draft, to be given its doses.
func (s *Server) look(r *http.Request) (answer, error) {
	u, err := readUpload(r)
	a, namesErr := s.record(r)
	if namesErr != nil {
		return a, namesErr
	}
	p := a.data.(recordPage)
	p.Given = u.form
	a.data = p
	if err != nil {
		return a, err
	}
	card, err := planOf(u.form)
	if err != nil {
		return a, err
	}
	beside, err := u.form.chart()
	if err != nil {
		return a, err
	}
	select {
	case s.readers <- struct{}{}:
		defer func() { <-s.readers }()
	case <-r.Context().Done():
		return a, r.Context().Err()
	}
	d := &draft{name: u.name, photo: u.photo, chart: beside, plan: card}
	d.sight, d.refusal = s.workshop.Look(r.Context(), u.name, u.photo, card.State, beside)
	if seen := d.sight.Overlay(); seen != nil {
		var picture bytes.Buffer
		if err := jpeg.Encode(&picture, seen, &jpeg.Options{Quality: 88}); err != nil {
			return a, err
		}
		d.overlay, d.size = picture.Bytes(), seen.Bounds().Size()
	}
	if d.refusal != nil && d.overlay == nil {
		return a, d.refusal
	}
	s.drafts.add(d)
	return answer{location: "/record/" + d.id}, nil
}

// planOf is the plan as far as the first form tells it: whole when its text came
// too, else wax and state.
func planOf(f form) (plan.Plan, error) {
	if f.text("plan") != "" {
		p, err := plan.Parse(f.Get("plan"))
		if err != nil {
			return p, fmt.Errorf("plan: %w", err)
		}
		return p, nil
	}
	p := plan.Plan{Wax: f.text("wax"), State: wax.State(f.text("state")), Card: plan.UsualCard}
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
}

// draftRow is a drop and what is said of it.
type draftRow struct {
	Number int
	// Box is where the drop lies on the picture.
	Box   image.Rectangle
	Lab   spectrum.Lab
	Check bool
	// Parts are the dyes given, with one empty place more.
	Parts []plan.Amount
}

var doseUnits = []plan.Unit{plan.Gram, plan.Chips, plan.Drops, plan.Milligram, plan.Percent}

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
	d := s.drafts.get(r.PathValue("draft"))
	if d == nil {
		return answer{status: http.StatusNotFound}, errors.New("that photograph is not kept any more; choose it again under Record")
	}
	return s.draftView(r, d, d.plan, d.refusal)
}

func (s *Server) draftView(r *http.Request, d *draft, p plan.Plan, refused error) (answer, error) {
	dyes, err := s.workshop.Store.Dyes.List(r.Context())
	if err != nil {
		return answer{}, err
	}
	page := draftPage{
		ID: d.id, Name: d.name, Plan: p, Notes: d.sight.Notes, Sight: d.sight, Size: d.size, HasPicture: d.overlay != nil, Dyes: dyes, Units: doseUnits,
	}
	bounds := d.sight.Bounds()
	for i, lab := range d.sight.Drops {
		row := draftRow{Number: i + 1, Lab: lab}
		if i < len(bounds) {
			row.Box = bounds[i]
		}
		if i < len(p.Drops) {
			row.Check, row.Parts = p.Drops[i].Check, slices.Clone(p.Drops[i].Parts)
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
	d := s.drafts.get(r.PathValue("draft"))
	if d == nil {
		return answer{status: http.StatusNotFound}, errors.New("that photograph is not kept any more; choose it again under Record")
	}
	if err := r.ParseForm(); err != nil {
		return s.draftView(r, d, d.plan, err)
	}
	f := form{Values: r.PostForm}
	p := d.plan
	p.Drops = dropsOf(&f, len(d.sight.Drops))
	if len(d.plan.Drops) != len(p.Drops) {
		p.Rows = nil
	}
	if f.err != nil {
		return s.draftView(r, d, p, f.err)
	}
	reading, err := s.workshop.Record(r.Context(), workshop.Card{
		PhotoName: d.name, PlanName: "for " + d.name, Photo: d.photo, PlanText: plan.Format(p), Chart: d.chart,
	})
	if err != nil {
		return s.draftView(r, d, p, err)
	}
	s.drafts.remove(d.id)
	return answer{page: "recorded", title: "Recorded", data: reading}, nil
}

// dropsOf reads the rows of the form: fields dye-3-0, amount-3-0 and unit-3-0 are
// the first dye of drop 3. A row without a dye is undyed wax.
func dropsOf(f *form, count int) []plan.Drop {
	drops := make([]plan.Drop, count)
	for i := range drops {
		d := &drops[i]
		d.Number = i + 1
		d.Check = f.text(fmt.Sprintf("check-%d", d.Number)) != ""
		for k := 0; f.Has(fmt.Sprintf("dye-%d-%d", d.Number, k)); k++ {
			at := fmt.Sprintf("-%d-%d", d.Number, k)
			part := plan.Amount{
				Dye: f.text("dye" + at), Unit: plan.Unit(f.text("unit" + at)),
				Value: f.number("amount"+at, fmt.Sprintf("drop %d", d.Number)),
			}
			switch {
			case part.Dye == "" && part.Value != 0 && f.err == nil:
				f.err = fmt.Errorf("drop %d has an amount and no dye; choose the dye, or clear the amount", d.Number)
			case part.Dye != "" && part.Value <= 0 && f.err == nil:
				f.err = fmt.Errorf("drop %d: how much %s is in it? Write an amount above 0", d.Number, part.Dye)
			case part.Dye != "" && !slices.Contains(doseUnits, part.Unit) && f.err == nil:
				f.err = fmt.Errorf("drop %d: %q is not a unit of a dose", d.Number, part.Unit)
			}
			if part.Dye != "" {
				d.Parts = append(d.Parts, part)
			}
		}
	}
	return drops
}

func (s *Server) overlay(w http.ResponseWriter, r *http.Request) {
	d := s.drafts.get(r.PathValue("draft"))
	if d == nil || d.overlay == nil {
		http.NotFound(w, r)
		return
	}
	w.Header().Set("Content-Type", "image/jpeg")
	w.Write(d.overlay)
}
