package page

import (
	"context"
	"image/png"
	"net/http"

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
	known, err := s.workshop.Store.Waxes.Get(r.Context(), r.PostForm.Get("wax"))
	if err != nil {
		return a, err
	}
	return answer{location: s.lessons.path + s.beginLesson(known.Name).id}, nil
}

func (s *Server) beginLesson(waxName string) *job[workshop.Lesson] {
	return s.lessons.begin(s, waxName, func(ctx context.Context, progress func(done, of int)) (workshop.Lesson, error) {
		return s.workshop.Learn(ctx, waxName, progress)
	})
}

// lessonPage is learning under way or done.
type lessonPage struct {
	ID string
	state[workshop.Lesson]
	UnderWay underWay
	Dyes     []learnedDye
	Checks   workshop.Misses
	Held     int
}

// learnedDye is a dye with how far drops left out lay from their prediction.
type learnedDye struct {
	Name                 string
	MinGPerKg, MaxGPerKg float64
	Drops                int
	Typical, Worst       string
}

func (s *Server) lesson(r *http.Request) (answer, error) {
	l := s.lessons.find(r)
	if l == nil {
		return s.lessons.notFound()
	}
	now, _ := l.now()
	p := lessonPage{ID: l.id, state: now, UnderWay: underWayOf(&s.lessons, l, "Leaving each drop out once", "Fitting all drops together.")}
	a := answer{page: "lesson", title: "Learning " + l.of}
	if now.Ended && now.Err == nil {
		a.title = "Learned " + l.of
		for _, d := range now.Result.Model.Dyes {
			typical, worst := report.MissTexts(now.Result, d.Name)
			p.Dyes = append(p.Dyes, learnedDye{d.Name, d.MinGPerKg, d.MaxGPerKg, d.Drops, typical, worst})
		}
		p.Checks, p.Held = now.Result.CheckMisses(), now.Result.ChecksHeld()
	}
	a.data = p
	return a, now.Err
}

// beside is the picture of predicted beside measured.
func (s *Server) beside(w http.ResponseWriter, r *http.Request) {
	l := s.lessons.find(r)
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
