package page

import (
	"net/http"

	"setshade/internal/workshop"
)

// nextPage is the drops worth making.
type nextPage struct {
	asked
	Answer *workshop.NextDrops
}

func (s *Server) next(r *http.Request) (answer, error) {
	a := answer{page: "next", title: "Next drop"}
	var p nextPage
	var err error
	p.asked, err = s.ask(r)
	a.data = &p
	if err != nil || r.URL.RawQuery == "" {
		return a, err
	}
	drops, err := s.workshop.Next(r.Context(), p.Given.text("wax"), p.Given.lines("for"))
	if err != nil {
		return a, err
	}
	p.Answer = &drops
	return a, nil
}
