package page

import (
	"cmp"
	"context"
	"errors"
	"net/http"

	"setshade/internal/report"
	"setshade/internal/workshop"
)

// What reading the photographs again is for.
const (
	toLook = "look" // tells what would change
	toKeep = "keep" // puts the new numbers in place of the old
)

// rereadPage says how many photographs there are, and how many are from an older
// reader.
type rereadPage struct {
	Photographs, Old int
	// Replaced is when numbers were last put in place of others, and BroughtBack says
	// that those are back; "" for never and for not.
	Replaced, BroughtBack string
}

func (s *Server) reread(r *http.Request) (answer, error) {
	photographs, err := s.workshop.Photographs(r.Context())
	p := rereadPage{Photographs: len(photographs)}
	if at, atErr := s.workshop.Store.ReplacedAt(r.Context()); atErr != nil || !at.IsZero() {
		p.Replaced, err = at.UTC().Format("2 January 2006 15:04 UTC"), cmp.Or(err, atErr)
	}
	for _, one := range photographs {
		if one.IsOld() {
			p.Old++
		}
	}
	return answer{page: "reread", title: "Read photographs again", data: p}, err
}

// bringBack puts back what was replaced.
func (s *Server) bringBack(r *http.Request) (answer, error) {
	since, failed := s.workshop.BringBack(r.Context())
	a, err := s.reread(r)
	if p, ok := a.data.(rereadPage); ok && failed == nil {
		p.BroughtBack = report.BroughtBack(since)
		a.data = p
	}
	return a, cmp.Or(failed, err)
}

func (s *Server) startReading(*http.Request) (answer, error) {
	return answer{location: s.rereads.path + s.beginReading(toLook).id}, nil
}

// keepReading reads once more, to keep the numbers that were shown.
func (s *Server) keepReading(r *http.Request) (answer, error) {
	looked := s.rereads.find(r)
	if looked == nil {
		return s.rereads.notFound()
	}
	if now, _ := looked.now(); looked.of != toLook || !now.Ended || now.Err != nil {
		return answer{}, errors.New("what would change was not shown yet; wait until all photographs are read")
	}
	return answer{location: s.rereads.path + s.beginReading(toKeep).id}, nil
}

func (s *Server) beginReading(to string) *job[workshop.Reread] {
	return s.rereads.begin(s, to, func(ctx context.Context, progress func(done, of int)) (workshop.Reread, error) {
		return s.workshop.Reread(ctx, to == toLook, progress)
	})
}

// readAgainPage is reading again under way or done.
type readAgainPage struct {
	ID string
	state[workshop.Reread]
	UnderWay underWay
	// Fresh have new numbers, Staying keep their old ones.
	Fresh, Staying []workshop.RereadPhoto
	// Most is the drop that changes most; nil without any.
	Most *workshop.RereadDrop
}

func (s *Server) readAgain(r *http.Request) (answer, error) {
	j := s.rereads.find(r)
	if j == nil {
		return s.rereads.notFound()
	}
	now, _ := j.now()
	p := readAgainPage{ID: j.id, state: now, UnderWay: underWayOf(&s.rereads, j, "Reading photographs again", "Reading photographs again.")}
	a := answer{page: "readagain", title: "Reading photographs again"}
	switch {
	case now.Ended && now.Result.Replaced:
		a.title = "Photographs read again"
	case now.Ended && now.Err == nil:
		a.title = "What would change"
	}
	for _, one := range now.Result.Photos {
		if one.Refusal != nil {
			p.Staying = append(p.Staying, one)
			continue
		}
		p.Fresh = append(p.Fresh, one)
		if len(one.Drops) > 0 && (p.Most == nil || one.WorstDE00() > p.Most.DE00()) {
			p.Most = &one.MostChanged()[0]
		}
	}
	a.data = p
	return a, now.Err
}
