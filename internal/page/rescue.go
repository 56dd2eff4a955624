package page

import (
	"net/http"
	"net/url"
	"strconv"

	"setshade/internal/wax"
	"setshade/internal/workshop"
)

// rescuePage is three questions and one answer.
type rescuePage struct {
	asked
	Answer *workshop.Remedy
	// Again is the address of the same questions for the pot as it is after the
	// first part, where only the drop's colour is open.
	Again string
}

func (s *Server) rescue(r *http.Request) (answer, error) {
	a := answer{page: "rescue", title: "Rescue a batch"}
	var p rescuePage
	var err error
	p.asked, err = s.ask(r)
	a.data = &p
	if err != nil || r.URL.RawQuery == "" || p.Given.Has("ask") {
		return a, err
	}
	f := &p.Given
	t := workshop.Trouble{
		Wax: f.text("wax"), UndyedG: f.mass("wax-mass", "wax in the pot"), Load: f.load(),
		Target: f.colour("target"), LighterPercent: f.number("lighter", "per cent lighter"),
		Limits: workshop.Limits{PotG: f.mass("pot", "what the pot holds"), ToleranceDE00: f.number("tolerance", "tolerance")},
	}
	if t.Load.Percent == 0 {
		t.Load.Per = wax.PerWax // of none, all the same
	}
	if f.text("known") == "drop" {
		t.Drop, t.Dyes = f.colour("drop"), f.Values["dye"]
	} else {
		t.Dose = f.text("dose")
	}
	if f.text("become") == "lighter" {
		t.Target = ""
	} else {
		t.LighterPercent = 0
	}
	if f.err != nil {
		return a, f.err
	}
	remedy, _, err := s.workshop.Rescue(r.Context(), t)
	if err != nil {
		return a, err
	}
	p.Answer, p.Again = &remedy, again(*f, remedy)
	return a, nil
}

// again asks the same of the pot after the first part, with what is in it to be
// read off a drop.
func again(f form, r workshop.Remedy) string {
	if len(r.Steps) == 0 {
		return ""
	}
	q := url.Values{"ask": {"again"}, "known": {"drop"}}
	for _, keep := range []string{"wax", "load", "per", "become", "target", "target-swatch", "lighter", "pot", "tolerance"} {
		if f.text(keep) != "" {
			q.Set(keep, f.text(keep))
		}
	}
	if f.text("become") == "lighter" {
		// Of the pot as it is now, a share of the way is gone already; what was
		// wanted is the shade itself.
		q.Set("become", "colour")
		q.Set("target", r.Wanted.Hex())
		q.Del("lighter")
	}
	q.Set("wax-mass", strconv.FormatFloat(r.Steps[0].After.UndyedG, 'f', 1, 64))
	for _, part := range r.Batch.Recipe {
		q.Add("dye", part.Dye)
	}
	return "/rescue?" + q.Encode()
}
