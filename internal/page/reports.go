package page

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"net/http"
	"strconv"

	"setshade/internal/report"
	"setshade/internal/workshop"
)

func (s *Server) dyeReport(w http.ResponseWriter, r *http.Request) {
	sendReport(w, r, report.DyeHTML, report.DyePDF, func(ctx context.Context) (workshop.DyeReport, error) {
		return s.workshop.ReportDye(ctx, r.FormValue("wax"), r.FormValue("dye"))
	})
}

func (s *Server) shelfReport(w http.ResponseWriter, r *http.Request) {
	sendReport(w, r, report.ShelfHTML, report.ShelfPDF, func(ctx context.Context) (workshop.ShelfReport, error) {
		return s.workshop.ReportShelf(ctx, r.FormValue("wax"))
	})
}

func (s *Server) batchReport(w http.ResponseWriter, r *http.Request) {
	sendReport(w, r, report.BatchHTML, report.BatchPDF, func(ctx context.Context) (workshop.BatchReport, error) {
		number, err := strconv.ParseInt(r.FormValue("batch"), 10, 64)
		if err != nil {
			return workshop.BatchReport{}, fmt.Errorf("%.40q is no number of a batch; open its report from the batch log", r.FormValue("batch"))
		}
		return s.workshop.ReportBatch(ctx, number)
	})
}

// sendReport sends a report as the ending of its address says, whole or not at
// all: HTML to be read, PDF as a file to keep.
func sendReport[R any](w http.ResponseWriter, r *http.Request, html, pdf func(io.Writer, R) error, gather func(context.Context) (R, error)) {
	write, kind := html, "text/html; charset=utf-8"
	switch r.PathValue("file") {
	case "report.html":
	case "report.pdf":
		write, kind = pdf, "application/pdf"
	default:
		view(func(*http.Request) (answer, error) {
			return answer{page: "nowhere", title: "Not here", status: http.StatusNotFound}, nil
		}).ServeHTTP(w, r)
		return
	}
	of, err := gather(r.Context())
	var file bytes.Buffer
	if err == nil {
		err = write(&file, of)
	}
	if err != nil {
		view(func(*http.Request) (answer, error) { return answer{}, err }).ServeHTTP(w, r)
		return
	}
	w.Header().Set("Content-Type", kind)
	if kind == "application/pdf" {
		w.Header().Set("Content-Disposition", "attachment; filename=report.pdf")
	}
	w.Header().Set("Content-Security-Policy", reportPolicy)
	file.WriteTo(w)
}
