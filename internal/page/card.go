package page

import (
	"bytes"
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"net/http"

	"setshade/internal/card"
	"setshade/internal/workshop"
)

// cardPage is the test card to print, and what the strips of its prints are taken
// to be.
type cardPage struct {
	Papers []workshop.Paper
	Sizes  []card.Size
	// Patches is how many the strip of a card has.
	Patches int
	Prints  []workshop.Print
	Given   form
	// Chosen is the anchor just chosen, with notes on it; Kept the strip just kept.
	Chosen, Kept *workshop.PrintStrip
	Notes        []string
}

// Parts of the page that show what was refused of them.
const (
	atPrint   = "print"
	atAnchor  = "anchor"
	atColours = "colours"
)

func (s *Server) card(r *http.Request) (answer, error) {
	a, _, err := s.cardOf(r, form{Values: r.URL.Query()})
	return a, err
}

func (s *Server) cardOf(r *http.Request, given form) (answer, *cardPage, error) {
	p := &cardPage{Papers: workshop.Papers(), Sizes: card.Sizes(), Patches: len(card.Layout(card.A5).Strip), Given: given}
	var err error
	p.Prints, err = s.workshop.Prints(r.Context())
	return answer{page: "card", title: "Test card", data: p}, p, err
}

// testCard sends the card as a file to print.
func (s *Server) testCard(w http.ResponseWriter, r *http.Request) {
	f := form{Values: r.URL.Query()}
	paper, g, err := cardToPrint(&f)
	var file bytes.Buffer
	if err == nil {
		err = workshop.WriteCard(&file, g, paper.Sheet)
	}
	if err != nil {
		view(func(r *http.Request) (answer, error) {
			a, _, pageErr := s.cardOf(r, f)
			a.at = atPrint
			return a, errors.Join(pageErr, err)
		}).ServeHTTP(w, r)
		return
	}
	w.Header().Set("Content-Type", "application/pdf")
	w.Header().Set("Content-Disposition", fmt.Sprintf("attachment; filename=test-card-%s-print-%d.pdf", paper.Name, g.PrintNumber))
	file.WriteTo(w)
}

func cardToPrint(f *form) (workshop.Paper, card.Geometry, error) {
	paper, err := workshop.PaperNamed(f.text("paper"))
	if err != nil {
		return paper, card.Geometry{}, err
	}
	number := f.count("print", "number of the print")
	if f.err != nil {
		return paper, card.Geometry{}, f.err
	}
	g, err := workshop.CardOfPrint(paper.Card, number)
	return paper, g, err
}

// printOf is the print that a form names by its paper and number.
func (f *form) printOf() (card.Geometry, error) {
	size, err := card.SizeNamed(f.text("size"))
	if err != nil {
		return card.Geometry{}, err
	}
	number := f.count("print", "number of the print")
	if f.err != nil {
		return card.Geometry{}, f.err
	}
	return workshop.CardOfPrint(size, number)
}

// chooseAnchor makes the photograph of a swatch the anchor of its print.
func (s *Server) chooseAnchor(r *http.Request) (answer, error) {
	f := form{Values: r.PostForm}
	chosen, notes, err := workshop.PrintStrip{}, []string(nil), errors.New("choose the photograph that later ones are to be brought to")
	if f.text("from") != "" {
		chosen, notes, err = s.readAnchor(r.Context(), "swatch "+f.text("from"))
	}
	if err == nil {
		return s.tellOnCard("#prints", func(p *cardPage) { p.Chosen, p.Notes = &chosen, notes }), nil
	}
	a, _, pageErr := s.cardOf(r, f)
	a.at = atAnchor
	return a, errors.Join(pageErr, err)
}

// tellOnCard tells what was done, at its place on the page of cards.
func (s *Server) tellOnCard(place string, say func(*cardPage)) answer {
	a := s.tell(rand.Text(), func(r *http.Request) (answer, error) {
		a, p, err := s.cardOf(r, form{})
		say(p)
		a.path = "/card"
		return a, err
	})
	a.location += place
	return a
}

func (s *Server) readAnchor(ctx context.Context, from string) (workshop.PrintStrip, []string, error) {
	done, err := s.reader(ctx)
	if err != nil {
		return workshop.PrintStrip{}, nil, err
	}
	defer done()
	return s.workshop.ChooseAnchor(ctx, from)
}

// keepReference keeps the strip of a print as it was measured.
func (s *Server) keepReference(r *http.Request) (answer, error) {
	u, err := readParts(r, maxFormBytes)
	var kept workshop.PrintStrip
	if err == nil {
		kept, err = s.keepStrip(r.Context(), &u.form)
	}
	if err == nil {
		return s.tellOnCard("#measured", func(p *cardPage) { p.Kept = &kept }), nil
	}
	a, _, pageErr := s.cardOf(r, u.form)
	a.at = atColours
	return a, errors.Join(pageErr, err)
}

func (s *Server) keepStrip(ctx context.Context, f *form) (workshop.PrintStrip, error) {
	g, err := f.printOf()
	if err != nil {
		return workshop.PrintStrip{}, err
	}
	file, err := f.colourFile()
	if err != nil {
		return workshop.PrintStrip{}, err
	}
	if file.Text == "" {
		return workshop.PrintStrip{}, errors.New("choose the file of colours, or write its lines")
	}
	strip, err := file.Strip(len(g.Strip))
	if err != nil {
		return workshop.PrintStrip{}, err
	}
	return workshop.PrintStrip{Print: g.Print(), Name: file.Name, Patches: strip}, s.workshop.SaveReference(ctx, g, file.Name, strip)
}

func (s *Server) forgetAnchor(r *http.Request) (answer, error) {
	return s.forgetStrip(r, s.workshop.ForgetAnchor)
}

func (s *Server) forgetReference(r *http.Request) (answer, error) {
	return s.forgetStrip(r, s.workshop.ForgetReference)
}

func (s *Server) forgetStrip(r *http.Request, forget func(context.Context, card.Geometry) error) (answer, error) {
	f := form{Values: r.PostForm}
	g, err := f.printOf()
	if err == nil {
		err = forget(r.Context(), g)
	}
	if err == nil {
		return answer{location: "/card#prints"}, nil
	}
	a, _, pageErr := s.cardOf(r, f)
	a.at = atAnchor
	return a, errors.Join(pageErr, err)
}
