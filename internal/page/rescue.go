package page

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"net/http"
	"net/url"
	"strconv"
	"strings"

	"setshade/internal/plan"
	"setshade/internal/report"
	"setshade/internal/rescue"
	"setshade/internal/wax"
	"setshade/internal/workshop"
)

// rescuePage is three questions and one answer.
type rescuePage struct {
	asked
	Preferences []rescue.Preference
	Answer      *workshop.Remedy
	Bench       report.BenchText
	// Course is a rescue that is not kept yet, which travels in the page, and Number that
	// of one in the store; "" and 0 when there is nothing to go on with.
	Course string
	Number int64
	// Continued says that this goes on with a rescue, so that its questions are
	// answered already.
	Continued bool
	// Kept are the rescues of the store.
	Kept []workshop.KeptRescue
}

var errNoDrop = errors.New("say the colour of a drop taken after the step: choose its swatch, or write it")

// maxCourseBytes is more than any rescue takes.
const maxCourseBytes = 64 << 10

// rescue answers the three questions.
func (s *Server) rescue(r *http.Request) (answer, error) {
	a, p, err := s.rescueForm(r)
	if err != nil || r.URL.RawQuery == "" {
		return a, err
	}
	if kept := p.Given.text("kept"); kept != "" {
		if p.Number, err = strconv.ParseInt(kept, 10, 64); err != nil {
			return a, fmt.Errorf("%.40q is no number of a rescue", kept)
		}
		return a, s.showKept(r, p)
	}
	t, err := troubleOf(&p.Given)
	if err != nil {
		return a, err
	}
	remedy, course, err := s.workshop.Rescue(r.Context(), t)
	if err != nil {
		return a, err
	}
	return a, p.show(remedy, course)
}

// showKept tells a rescue of the store again.
func (s *Server) showKept(r *http.Request, p *rescuePage) error {
	remedy, err := s.workshop.ShowRescue(r.Context(), p.Number)
	if err != nil {
		return err
	}
	p.Answer, p.Bench, p.Continued = &remedy, report.NewBenchText(remedy), true
	return nil
}

// continueRescue goes on with the rescue that the page carries, or names, once a drop of
// the pot was read; it is in the store then.
func (s *Server) continueRescue(r *http.Request) (answer, error) {
	a, p, err := s.rescueForm(r)
	if err != nil {
		return a, err
	}
	p.Given, p.Continued = form{Values: r.PostForm}, true
	drop := p.Given.colour("next")
	carried := p.Given.Get("course")
	if p.Number, err = strconv.ParseInt(p.Given.Get("number"), 10, 64); err != nil {
		if len(carried) > maxCourseBytes {
			return a, fmt.Errorf("the rescue that this page carries is longer than any rescue can be; begin it anew")
		}
		course, err := workshop.ParseCourse([]byte(carried))
		if err != nil {
			return a, fmt.Errorf("the rescue that this page carries cannot be continued: %w; begin it anew", err)
		}
		p.Course = carried
		if drop == "" {
			return a, errNoDrop
		}
		if p.Number, err = s.workshop.AdoptRescue(r.Context(), course); err != nil {
			return a, err
		}
		p.Course = ""
	}
	if drop == "" {
		return a, errNoDrop
	}
	if _, err = s.workshop.ContinueKept(r.Context(), p.Number, p.Given.pieces("added", ";\n"), drop, workshop.Belief(p.Given.text("believe")), false); err != nil {
		return a, err
	}
	return answer{location: fmt.Sprintf("/rescue?kept=%d#answer", p.Number)}, nil
}

// backRescue takes the last step of a rescue back.
func (s *Server) backRescue(r *http.Request) (answer, error) {
	a, p, err := s.rescueForm(r)
	if err != nil {
		return a, err
	}
	if p.Number, err = strconv.ParseInt(r.PathValue("number"), 10, 64); err == nil {
		_, err = s.workshop.TakeRescueBack(r.Context(), p.Number)
	}
	if err != nil {
		return a, err
	}
	return answer{location: fmt.Sprintf("/rescue?kept=%d#answer", p.Number)}, nil
}

func (s *Server) rescueForm(r *http.Request) (answer, *rescuePage, error) {
	p := &rescuePage{Preferences: rescue.Preferences()}
	var err error
	if p.asked, err = s.ask(r); err == nil {
		p.Kept, err = s.workshop.Rescues(r.Context())
	}
	return answer{page: "rescue", title: "Rescue a batch", data: p}, p, err
}

func (p *rescuePage) show(r workshop.Remedy, c workshop.Course) error {
	p.Answer, p.Bench, p.Course = &r, report.NewBenchText(r), ""
	if c.Next == nil {
		return nil
	}
	carried, err := json.Marshal(c)
	p.Course = string(carried)
	return err
}

// troubleOf reads the three answers.
func troubleOf(f *form) (workshop.Trouble, error) {
	t := workshop.Trouble{
		Wax: f.text("wax"), UndyedG: f.mass("wax-mass", "wax in the pot"), Load: f.load(), Dose: f.text("dose"), Drop: f.colour("drop"), Believe: workshop.Belief(f.text("believe")),
		Means: workshop.Means{
			PotG: f.mass("pot", "what the pot holds"), MouldsG: f.mass("moulds", "what the moulds take"),
			HoweverMuch:   f.text("however-much") != "",
			ToleranceDE00: f.number("tolerance", "tolerance"), Prefer: rescue.Preference(f.text("prefer")),
		},
	}
	if t.Load.Percent == 0 {
		t.Load.Per = wax.PerWax // of none, all the same
	}
	if t.Dose == "" {
		t.Dyes = f.Values["dye"]
	}
	if f.text("become") == "lighter" {
		t.LighterPercent = f.number("lighter", "per cent lighter")
	} else {
		t.Target = f.colour("target")
	}
	if f.text("undyed") != "" {
		undyedG := f.mass("undyed", "undyed wax in the cupboard")
		t.Means.UndyedG = &undyedG
	}
	switch f.text("use") {
	case "wax":
		t.WaxOnly = true
	case "these":
		if t.With = f.Values["with"]; len(t.With) == 0 && f.err == nil {
			f.err = errors.New("tick the dyes that may be added, or choose undyed wax only")
		}
	}
	additives, err := workshop.ParseAdditives(f.lines("additives"))
	if err != nil && f.err == nil {
		f.err = err
	}
	t.Additives = additives
	return t, f.err
}

// HoweverMuchAddress is this answer with its steps, however much they add.
func (p rescuePage) HoweverMuchAddress() string {
	p.Given.Set("however-much", "1")
	return "/rescue?" + p.Given.Encode() + "#answer"
}

// RecordAddress is where the drop of a step is recorded, its dose written already
// and kept back, so that it does not teach what it is to check.
func (p rescuePage) RecordAddress(s workshop.Step) string {
	card := plan.Plan{
		Wax: p.Answer.Wax.Name, State: wax.SetState, Card: plan.UsualCard,
		Drops: []plan.Drop{{Number: 1, Check: true, Parts: amountsOf(s.After.Recipe)}},
	}
	return "/record?" + url.Values{"plan": {plan.Format(card)}}.Encode()
}

// StockAddress is where what is set aside, or else the whole batch, is kept as stock,
// written already.
func (p rescuePage) StockAddress() string {
	aside := p.Answer.SetAside
	if len(p.Answer.Steps) == 0 {
		aside = &wax.Stock{Wax: p.Answer.Wax.Name, Batch: p.Answer.Batch}
	}
	q := url.Values{
		"wax": {aside.Wax}, "dose": {plan.FormatDose(amountsOf(aside.Recipe))}, "mass": {report.Grams(aside.TotalG())},
	}
	if aside.Load.Percent > 0 {
		q.Set("load", fmt.Sprint(aside.Load.Percent))
		q.Set("per", string(aside.Load.Per))
	}
	for _, x := range aside.Additives {
		q.Set("additives", strings.TrimSpace(fmt.Sprintf("%s\n%s %g%%", q.Get("additives"), x.Name, x.Percent)))
	}
	return "/stock?" + q.Encode()
}

// amountsOf writes a recipe as doses of a plan, to a ten-thousandth.
func amountsOf(r wax.Recipe) []plan.Amount {
	var parts []plan.Amount
	for _, part := range r {
		parts = append(parts, plan.Amount{Dye: part.Dye, Value: math.Round(1e4*part.DoseGPerKg) / 1e4, Unit: plan.Gram})
	}
	return parts
}
