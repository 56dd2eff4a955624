package page

import (
	"errors"
	"net/http"

	"setshade/internal/photo"
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
	return f.text(name)
}

// matchPage is a colour wanted, and recipes for it.
type matchPage struct {
	asked
	// Spot says that a spot in a photograph is wanted.
	Spot   bool
	Answer *workshop.Matched
}

func (s *Server) match(r *http.Request) (answer, error) {
	a, p, err := s.matchForm(r, form{Values: r.URL.Query()})
	if err != nil || r.URL.RawQuery == "" {
		return a, err
	}
	wish := wishOf(&p.Given)
	if wish.Colour == "" && p.Given.err == nil {
		return a, errors.New("say which colour is wanted: pick one, choose a swatch, or a spot in a photograph")
	}
	return a, s.findRecipes(r, p, wish)
}

// matchSpot matches the colour at a place of a photograph.
func (s *Server) matchSpot(r *http.Request) (answer, error) {
	u, err := readUpload(r)
	a, p, formErr := s.matchForm(r, u.form)
	if formErr != nil {
		return a, formErr
	}
	if err != nil {
		return a, err
	}
	p.Spot = true
	beside, err := p.Given.chart()
	if err != nil {
		a.at = atColours
		return a, err
	}
	wish := wishOf(&p.Given)
	wish.Spot = &workshop.PhotoSpot{
		Name: u.name, Photo: u.photo, Chart: beside,
		Place: photo.Place{X: p.Given.number("across", "across"), Y: p.Given.number("down", "down"), Percent: true},
	}
	done, err := s.reader(r.Context())
	if err != nil {
		return a, err
	}
	defer done()
	return a, s.findRecipes(r, p, wish)
}

func (s *Server) matchForm(r *http.Request, given form) (answer, *matchPage, error) {
	p := &matchPage{}
	var err error
	p.asked, err = s.ask(r)
	p.Given = given
	return answer{page: "match", title: "Match a colour", data: p}, p, err
}

func (s *Server) findRecipes(r *http.Request, p *matchPage, wish workshop.Wish) error {
	if p.Given.err != nil {
		return p.Given.err
	}
	m, err := s.workshop.Match(r.Context(), wish)
	if err != nil {
		return err
	}
	p.Answer = &m
	return nil
}

func wishOf(f *form) workshop.Wish {
	return workshop.Wish{
		Wax: f.text("wax"), Colour: f.colour("colour"), UndyedG: f.mass("wax-mass", "wax in the batch"), MaxDyes: f.count("dyes", "dyes at most"),
		ToleranceDE00: f.number("tolerance", "tolerance"), NeverUse: f.Values["never"], Answers: workshop.UsualWish().Answers, Load: f.load(), NoStock: f.text("no-stock") != "",
	}
}
