package page

import (
	"errors"
	"fmt"
	"image/png"
	"net/http"
	"time"

	"setshade/internal/report"
	"setshade/internal/workshop"
)

func (s *Server) learn(r *http.Request) (answer, error) {
	a := answer{page: "learn", title: "Learn"}
	shelf, err := s.workshop.Shelf(r.Context())
	a.data = shelf
	return a, err
}

func (s *Server) startLearning(r *http.Request) (answer, error) {
	a, err := s.learn(r)
	if err != nil {
		return a, err
	}
	if err := r.ParseForm(); err != nil {
		return a, err
	}
	known, err := s.workshop.Store.Waxes.Get(r.Context(), r.PostForm.Get("wax"))
	if err != nil {
		return a, err
	}
	return answer{location: "/learn/" + s.begin(known.Name).id}, nil
}

// lessonPage is learning under way or done.
type lessonPage struct {
	ID, Wax string
	state
	Dyes   []learnedDye
	Checks workshop.Misses
	Held   int
}

// learnedDye is a dye with how far drops left out lay from their prediction.
type learnedDye struct {
	Name                 string
	MinGPerKg, MaxGPerKg float64
	Drops                int
	Typical, Worst       string
}

var errForgotten = errors.New("that lesson is not kept any more; what was learned is on the shelf")

func (s *Server) lesson(r *http.Request) (answer, error) {
	l := s.lessons.find(r.PathValue("lesson"))
	if l == nil {
		return answer{status: http.StatusNotFound}, errForgotten
	}
	now, _ := l.now()
	p := lessonPage{ID: l.id, Wax: l.wax, state: now}
	a := answer{page: "lesson", title: "Learning " + l.wax}
	if now.Ended && now.Err == nil {
		a.title = "Learned " + l.wax
		for _, d := range now.Result.Model.Dyes {
			typical, worst := report.MissTexts(now.Result, d.Name)
			p.Dyes = append(p.Dyes, learnedDye{d.Name, d.MinGPerKg, d.MaxGPerKg, d.Drops, typical, worst})
		}
		p.Checks, p.Held = now.Result.CheckMisses(), now.Result.ChecksHeld()
	}
	a.data = p
	return a, now.Err
}

func (s *Server) stopLearning(r *http.Request) (answer, error) {
	l := s.lessons.find(r.PathValue("lesson"))
	if l == nil {
		return answer{status: http.StatusNotFound}, errForgotten
	}
	l.stop()
	return answer{location: "/learn/" + l.id}, nil
}

// progress tells how learning goes as server-sent events (WHATWG HTML, section
// 9.2): "step" with what is done of how many, and at the end "ended".
func (s *Server) progress(w http.ResponseWriter, r *http.Request) {
	l := s.lessons.find(r.PathValue("lesson"))
	if l == nil {
		http.NotFound(w, r)
		return
	}
	out := http.NewResponseController(w)
	// This answer lasts as long as the learning does.
	out.SetWriteDeadline(time.Time{})
	w.Header().Set("Content-Type", "text/event-stream")
	for {
		now, changed := l.now()
		if now.Ended {
			fmt.Fprint(w, "event: ended\ndata: \n\n")
			out.Flush()
			return
		}
		fmt.Fprintf(w, "event: step\ndata: %d %d\n\n", now.Done, now.Of)
		if out.Flush() != nil {
			return
		}
		select {
		case <-changed:
		case <-r.Context().Done():
			return
		case <-s.life.Done():
			return
		}
	}
}

// beside is the picture of predicted beside measured.
func (s *Server) beside(w http.ResponseWriter, r *http.Request) {
	l := s.lessons.find(r.PathValue("lesson"))
	if l == nil {
		http.NotFound(w, r)
		return
	}
	now, _ := l.now()
	if !now.Ended || now.Err != nil {
		http.NotFound(w, r)
		return
	}
	w.Header().Set("Content-Type", "image/png")
	png.Encode(w, report.LessonPicture(now.Result))
}
