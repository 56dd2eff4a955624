package page

import (
	"net/http"

	"setshade/internal/workshop"
)

// homePage says what to do next.
type homePage struct {
	workshop.Today
	Waiting []*draft
	// Last is the change that can be taken back, "" for none.
	Last string
}

func (s *Server) home(r *http.Request) (answer, error) {
	today, err := s.workshop.Today(r.Context())
	if err != nil {
		return answer{}, err
	}
	last, err := s.workshop.Store.LastChange(r.Context())
	return answer{page: "home", title: "At the bench", data: homePage{today, s.waiting(), last}}, err
}

// undo takes the last change back, and says so on the page where it can be done again.
func (s *Server) undo(r *http.Request) (answer, error) {
	_, err := s.workshop.Store.Undo(r.Context())
	return answer{location: "/#undo"}, err
}

// more leads to what is wanted seldom.
func (s *Server) more(*http.Request) (answer, error) {
	return answer{page: "more", title: "More"}, nil
}
