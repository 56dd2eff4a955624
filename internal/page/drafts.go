package page

import (
	"bytes"
	"context"
	"crypto/rand"
	"encoding/json"
	"fmt"
	"image"
	"image/jpeg"
	"net/http"
	"net/url"
	"slices"

	"setshade/internal/plan"
	"setshade/internal/wax"
	"setshade/internal/workshop"
)

// draft is a photograph that was looked at and is not recorded yet, with what was said of
// it so far. It is kept in the store, so that neither a reload nor a restart loses it.
type draft struct {
	id    string
	photo []byte

	Name string
	// Chart lies beside the card.
	Chart workshop.Chart
	// SameAs is the SHA-256 of a photograph of the same card, "" for another card, and
	// Replans that of this photograph where it is recorded and gets another plan.
	SameAs, Replans string
	// Plan is what was said of the card at first, and Given what stands in the rows of its
	// drops; nil before anything was said there.
	Plan  plan.Plan
	Given url.Values
}

// sighting is what a draft's photograph shows.
type sighting struct {
	workshop.Sight
	// overlay is the picture of what was seen where, as JPEG, and size its pixels;
	// nil without one.
	overlay []byte
	size    image.Point
	// refusal is why the photograph cannot be read, nil when it can.
	refusal error
}

// mostSightings bounds memory; a photograph whose sighting went is looked at again.
const mostSightings = 6

// keep keeps a draft in the store, with its photograph when it is new.
func (s *Server) keep(d *draft) error {
	text, err := json.Marshal(d)
	if err != nil {
		return err
	}
	photo := d.photo
	if d.id != "" {
		photo = nil
	} else {
		d.id = rand.Text()
	}
	return s.workshop.Store.Drafts().Put(d.id, text, photo)
}

func (s *Server) draft(id string) (*draft, error) {
	text, photo, err := s.workshop.Store.Drafts().Get(id)
	if err != nil {
		return nil, err
	}
	d := &draft{id: id, photo: photo}
	return d, json.Unmarshal(text, d)
}

// waiting are the drafts, the one told of last first.
func (s *Server) waiting() (all []*draft) {
	ids, _ := s.workshop.Store.Drafts().List()
	for _, id := range ids {
		if d, err := s.draft(id); err == nil {
			all = append(all, d)
		}
	}
	return all
}

// ID is the draft's place among the pages.
func (d *draft) ID() string { return d.id }

// sighted looks at a draft's photograph, unless that was done a moment ago.
func (s *Server) sighted(ctx context.Context, d *draft) (*sighting, error) {
	if seen, ok := s.sightings.get(d.id); ok {
		return seen, nil
	}
	done, err := s.reader(ctx)
	if err != nil {
		return nil, err
	}
	defer done()
	seen := &sighting{}
	seen.Sight, seen.refusal = s.workshop.Look(ctx, d.Name, d.photo, d.Plan, d.Chart)
	if shown := seen.Overlay; shown != nil {
		var picture bytes.Buffer
		if err := jpeg.Encode(&picture, shown, &jpeg.Options{Quality: 88}); err != nil {
			return nil, err
		}
		seen.overlay, seen.size, seen.Overlay = picture.Bytes(), shown.Bounds().Size(), nil
	}
	if d.id != "" {
		s.sightings.add(d.id, seen)
	}
	return seen, nil
}

// What a row says in place of a dye.
const leftOut = "left out"

// givenOf are the rows of the form that say what a plan says.
func givenOf(p plan.Plan) url.Values {
	given := url.Values{}
	for _, d := range p.Drops {
		at := func(name string, k int) string { return fmt.Sprintf("%s-%d-%d", name, d.Number, k) }
		switch {
		case d.LeftOut:
			given.Set(at("dye", 0), leftOut)
		case len(d.Parts) == 0:
			given.Set(at("dye", 0), wax.Undyed)
		}
		for k, part := range d.Parts {
			given.Set(at("dye", k), part.Dye)
			given.Set(at("amount", k), fmt.Sprintf("%.4g", part.Value))
			given.Set(at("unit", k), string(part.Unit))
		}
		if d.Check {
			given.Set(fmt.Sprintf("check-%d", d.Number), "1")
		}
	}
	if p.MassG != 0 {
		given.Set("mass", fmt.Sprintf("%.4g g", p.MassG))
	}
	return given
}

// ladderOf fills the rows of drops with one dye, said once: each drop has twice as much
// as the one before, or so much more as the first has.
func ladderOf(f *form, numbers []int) (plan.Plan, error) {
	first := plan.Amount{Dye: f.text("ladder-dye"), Value: f.number("ladder-from", "the first dose"), Unit: plan.Unit(f.text("ladder-unit"))}
	switch {
	case f.err != nil:
		return plan.Plan{}, f.err
	case first.Dye == "":
		return plan.Plan{}, fmt.Errorf("choose the dye of the ladder")
	case first.Value <= 0 || !slices.Contains(doseUnits, first.Unit):
		return plan.Plan{}, fmt.Errorf("say how much %s its first dyed drop has, above 0", first.Dye)
	}
	var p plan.Plan
	next := first
	for i, number := range numbers {
		d := plan.Drop{Number: number}
		if i > 0 || f.text("ladder-undyed") == "" {
			d.Parts = []plan.Amount{next}
			if f.text("ladder-by") == "step" {
				next.Value += first.Value
			} else {
				next.Value *= 2
			}
		}
		p.Drops = append(p.Drops, d)
	}
	return p, nil
}

// redraft makes a draft of a recorded photograph, with what its plan says.
func (s *Server) redraft(r *http.Request) (*draft, error) {
	hash := r.PathValue("sha256")
	kept, err := s.workshop.Store.Photo(r.Context(), hash)
	if err != nil {
		return nil, err
	}
	said, err := plan.Parse(kept.PlanText)
	return &draft{photo: kept.Bytes, Name: kept.Name, Chart: workshop.Chart{Colours: kept.Chart}, Replans: hash, Plan: said}, err
}

// changeCard opens a recorded card again, to say other doses or leave drops out.
func (s *Server) changeCard(r *http.Request) (answer, error) {
	d, err := s.redraft(r)
	if err == nil {
		err = s.keep(d)
	}
	if err != nil {
		return answer{}, err
	}
	return answer{location: "/record/" + d.id}, nil
}

// removeCard removes the swatches of a photograph; the home page offers to undo that.
func (s *Server) removeCard(r *http.Request) (answer, error) {
	ids, err := s.workshop.SwatchesOf(r.Context(), r.PathValue("sha256"))
	if err == nil {
		err = s.workshop.Store.RemoveSwatches(r.Context(), ids...)
	}
	return answer{location: "/#undo"}, err
}
