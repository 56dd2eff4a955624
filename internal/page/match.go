package page

import (
	"fmt"
	"net/http"
	"strings"

	"setshade/internal/wax"
	"setshade/internal/workshop"
)

// asked is a form of a GET: what was given, and the answer once it was sent.
type asked struct {
	Waxes []string
	Given form
	// Swatches are the set drops to choose from, newest first.
	Swatches []wax.Swatch
	Dyes     []wax.Dye
}

// choice is the drops that a field offers, and the number of the one chosen.
type choice struct {
	Swatches []wax.Swatch
	Chosen   string
}

// Drops is what the field of that name offers.
func (a asked) Drops(field string) choice { return choice{a.Swatches, a.Given.Get(field)} }

// ask gathers what forms offer.
func (s *Server) ask(r *http.Request) (asked, error) {
	p := asked{Given: form{Values: r.URL.Query()}}
	var err error
	if p.Waxes, err = s.waxNames(r); err != nil {
		return p, err
	}
	if p.Dyes, err = s.workshop.Store.Dyes.List(r.Context()); err != nil {
		return p, err
	}
	p.Swatches, err = s.workshop.SetDrops(r.Context(), mostSwatches)
	return p, err
}

// mostSwatches is how many drops a form offers; others can be written by number.
const mostSwatches = 60

// colour is the colour written in a field, or the swatch chosen beside it.
func (f *form) colour(name string) string {
	if id := f.text(name + "-swatch"); id != "" {
		return "swatch " + id
	}
	text := f.text(name)
	if strings.HasPrefix(text, "#") || text == "" || strings.Contains(text, " ") {
		return text
	}
	return "#" + text
}

// matchPage is a colour wanted, and recipes for it.
type matchPage struct {
	asked
	Answer *workshop.Matched
}

func (s *Server) match(r *http.Request) (answer, error) {
	a := answer{page: "match", title: "Match a colour"}
	var p matchPage
	var err error
	p.asked, err = s.ask(r)
	a.data = &p
	if err != nil || r.URL.RawQuery == "" {
		return a, err
	}
	f := &p.Given
	wish := workshop.Wish{
		Wax: f.text("wax"), Colour: f.colour("colour"), UndyedG: f.mass("wax-mass", "wax in the batch"), MaxDyes: f.count("dyes", "dyes at most"),
		ToleranceDE00: f.number("tolerance", "tolerance"), NeverUse: f.Values["never"], Answers: 4,
	}
	if f.err != nil {
		return a, f.err
	}
	if wish.Colour == "" {
		return a, fmt.Errorf("say which colour is wanted: pick one, or choose a swatch")
	}
	m, err := s.workshop.Match(r.Context(), wish)
	if err != nil {
		return a, err
	}
	p.Answer = &m
	return a, nil
}
