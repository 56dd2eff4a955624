package page

import (
	"bytes"
	"html/template"
	"io"
	"net/http"

	"setshade/internal/batch"
	"setshade/internal/report"
	"setshade/internal/wax"
	"setshade/internal/workshop"
)

// batchPage is an order and its plan.
type batchPage struct {
	asked
	Moulds []wax.Mould
	Sheet  *report.BenchSheet
	Notes  []string
	// Query is the order as an address holds it, for the printable sheet.
	Query template.URL
}

// orderOf reads an order from the form.
func orderOf(f *form) (workshop.Order, error) {
	o := workshop.Order{
		Wax: f.text("wax"), Colours: f.lines("colours"), LossPercent: f.number("loss", "loss"), Load: f.load(),
		Fragrance: batch.Fragrance{FlashPointC: f.number("flash-point", "flash point")}, Wicked: f.text("wicked") != "",
	}
	switch f.text("fill") {
	case "pieces":
		o.Pieces, o.PieceG = f.count("pieces", "pieces"), f.mass("piece-mass", "mass of one piece")
	case "scoops":
		o.Scoops, o.ScoopG = f.number("scoops", "scoops"), f.mass("scoop-mass", "mass of one scoop")
	default:
		o.Mould, o.Times = f.text("mould"), f.count("times", "times")
	}
	return o, f.err
}

func (s *Server) batch(r *http.Request) (answer, error) {
	return s.batchOf(r, form{Values: r.URL.Query()}, r.URL.RawQuery != "")
}

func (s *Server) batchOf(r *http.Request, f form, sent bool) (answer, error) {
	a := answer{page: "batch", title: "Plan a batch"}
	var p batchPage
	var err error
	p.asked, err = s.ask(r)
	p.Given = f
	a.data = &p
	if err != nil {
		return a, err
	}
	if p.Moulds, err = s.workshop.Store.Moulds.List(r.Context()); err != nil || !sent {
		return a, err
	}
	plan, err := s.plan(r, &p.Given)
	if err != nil {
		return a, err
	}
	sheet := report.NewBenchSheet(plan)
	p.Sheet, p.Notes, p.Query = &sheet, plan.Notes, template.URL(p.Given.Encode())
	return a, nil
}

func (s *Server) plan(r *http.Request, f *form) (workshop.BatchPlan, error) {
	o, err := orderOf(f)
	if err != nil {
		return workshop.BatchPlan{}, err
	}
	return s.workshop.PlanBatch(r.Context(), o)
}

func (s *Server) sheetHTML(w http.ResponseWriter, r *http.Request) {
	s.sheet(w, r, "text/html; charset=utf-8", report.BenchSheet.WriteHTML)
}

func (s *Server) sheetPDF(w http.ResponseWriter, r *http.Request) {
	s.sheet(w, r, "application/pdf", report.BenchSheet.WritePDF)
}

// sheet sends the printable sheet of an order, and the form again when it cannot
// be planned.
func (s *Server) sheet(w http.ResponseWriter, r *http.Request, kind string, write func(report.BenchSheet, io.Writer) error) {
	f := form{Values: r.URL.Query()}
	plan, err := s.plan(r, &f)
	var file bytes.Buffer
	if err == nil {
		err = write(report.NewBenchSheet(plan), &file)
	}
	if err != nil {
		view(func(r *http.Request) (answer, error) { return s.batchOf(r, f, true) }).ServeHTTP(w, r)
		return
	}
	w.Header().Set("Content-Type", kind)
	w.Header().Set("Content-Security-Policy", sheetPolicy)
	file.WriteTo(w)
}

// log lists what was poured.
func (s *Server) log(r *http.Request) (answer, error) {
	batches, err := s.workshop.Batches(r.Context())
	return answer{page: "log", title: "Batch log", data: batches}, err
}

// pour keeps a planned batch as poured.
func (s *Server) pour(r *http.Request) (answer, error) {
	f := form{Values: r.PostForm}
	order, err := orderOf(&f)
	if err == nil {
		_, err = s.workshop.LogBatch(r.Context(), workshop.PouredOrder{
			Order: order, Remarks: workshop.Remarks{Notes: f.lines("note"), Lots: f.lines("lots")},
		})
	}
	if err == nil {
		return answer{location: "/log"}, nil
	}
	a, formErr := s.batchOf(r, f, false)
	if formErr != nil {
		return a, formErr
	}
	return a, err
}
