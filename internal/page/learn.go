package page

import (
	"cmp"
	"context"
	"math"
	"net/http"
	"net/url"
	"slices"

	"setshade/internal/plan"
	"setshade/internal/report"
	"setshade/internal/spectrum"
	"setshade/internal/workshop"
)

func (s *Server) learn(r *http.Request) (answer, error) {
	a := answer{page: "learn", title: "Learn"}
	shelf, err := s.workshop.Shelf(r.Context(), math.MaxInt64)
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

// learnedDye is what was learned of a dye, as a maker sees it.
type learnedDye struct {
	Name     string
	Standing workshop.Standing
	Why      string
	Doses    []doseShade
	Pairs    []pair
	Plot     *ladderPlot
	// Predict is where other doses are told.
	Predict string
}

// doseShade is a dose in the maker's words, with its shade.
type doseShade struct {
	Says string
	spectrum.Lab
}

// pair is a drop beside its prediction.
type pair struct {
	workshop.FitPair
	Number  int64
	Says    string
	Outlier bool
}

// mostPairs is how many drops of a dye are shown.
const mostPairs = 8

// ladderPlot is the lightness of a dye's own drops over their doses, drawn on 300 by 100.
type ladderPlot struct {
	Low, High int
	From, To  string
	Points    []plotPoint
}

type plotPoint struct {
	X, Y, Predicted float64
	Lab             spectrum.Lab
}

func learnedOf(l workshop.Lesson, name string) learnedDye {
	d := learnedDye{Name: name, Predict: "/predict?" + url.Values{"wax": {l.Wax.Name}}.Encode()}
	d.Standing, d.Why = l.Standing(name)
	pairs := l.Pairs(name)
	d.Plot = plotOf(pairs)
	for _, p := range pairs[:min(mostPairs, len(pairs))] {
		says := report.DoseText(p.Swatch.Recipe)
		if p.Suspicion != "" {
			says += ", " + p.Suspicion
		}
		d.Pairs = append(d.Pairs, pair{p, p.Swatch.ID, says, p.Suspicion != ""})
	}
	for _, dye := range l.Dyes {
		if dye.Name != name {
			continue
		}
		doses, err := l.Doses(dye)
		if err != nil {
			continue // of a dye whose unit has lost its mass meanwhile
		}
		for _, dose := range doses {
			d.Doses = append(d.Doses, doseShade{plan.FormatDose([]plan.Amount{dose.Dose})[len(name)+1:], dose.Lab})
		}
	}
	return d
}

// plotOf is nil where there are fewer than two doses of the dye alone.
func plotOf(pairs []workshop.FitPair) *ladderPlot {
	pairs = slices.DeleteFunc(slices.Clone(pairs), func(p workshop.FitPair) bool { return len(p.Swatch.Recipe) != 1 || p.Swatch.Card.L < 50 })
	dose := func(p workshop.FitPair) float64 { return p.Swatch.Recipe[0].DoseGPerKg }
	slices.SortFunc(pairs, func(a, b workshop.FitPair) int { return cmp.Compare(dose(a), dose(b)) })
	if len(pairs) < 2 || dose(pairs[0]) == dose(pairs[len(pairs)-1]) {
		return nil
	}
	low, high := 100.0, 0.0
	for _, p := range pairs {
		low, high = min(low, p.Measured.L, p.Predicted.L), max(high, p.Measured.L, p.Predicted.L)
	}
	low, high = math.Floor(low/5)*5, math.Ceil(high/5)*5
	from, to := dose(pairs[0]), dose(pairs[len(pairs)-1])
	plot := &ladderPlot{Low: int(low), High: int(high), From: report.Dose(from), To: report.Dose(to)}
	down := func(l float64) float64 { return 100 * (high - l) / max(high-low, 1) }
	for _, p := range pairs {
		plot.Points = append(plot.Points, plotPoint{300 * (dose(p) - from) / (to - from), down(p.Measured.L), down(p.Predicted.L), p.Measured})
	}
	return plot
}

func (s *Server) lesson(r *http.Request) (answer, error) {
	l := s.lessons.find(r)
	if l == nil {
		return s.lessons.notFound()
	}
	p := s.lessonOf(l)
	a := answer{page: "lesson", title: "Learning " + l.of, data: p}
	if p.Ended && p.Err == nil {
		a.title = "Learned " + l.of
	}
	return a, p.Err
}

func (s *Server) lessonOf(l *job[workshop.Lesson]) lessonPage {
	now, _ := l.now()
	p := lessonPage{ID: l.id, state: now, UnderWay: underWayOf(&s.lessons, l, "Leaving each drop out once", "Fitting all drops together.")}
	if now.Ended && now.Err == nil {
		for _, d := range now.Result.Model.Dyes {
			p.Dyes = append(p.Dyes, learnedOf(now.Result, d.Name))
		}
		p.Checks, p.Held = now.Result.CheckMisses(), now.Result.ChecksHeld()
	}
	return p
}
