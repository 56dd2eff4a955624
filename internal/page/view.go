package page

import (
	"bytes"
	"cmp"
	"context"
	"embed"
	"errors"
	"fmt"
	"html/template"
	"net/http"
	"slices"
	"strings"

	"setshade/internal/batch"
	"setshade/internal/chart"
	"setshade/internal/english"
	"setshade/internal/plan"
	"setshade/internal/recipe"
	"setshade/internal/report"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
	"setshade/internal/workshop"
)

//go:embed templates
var templateFiles embed.FS

// templates holds each page by its name, in the common frame.
var templates = parseTemplates()

func parseTemplates() map[string]*template.Template {
	frame := template.Must(template.New("frame.html").Funcs(words).ParseFS(templateFiles, "templates/frame.html", "templates/parts.html"))
	entries, err := templateFiles.ReadDir("templates")
	if err != nil {
		panic(err)
	}
	all := map[string]*template.Template{}
	for _, e := range entries {
		name := strings.TrimSuffix(e.Name(), ".html")
		if name != "frame" && name != "parts" {
			all[name] = template.Must(template.Must(frame.Clone()).ParseFS(templateFiles, "templates/"+e.Name()))
		}
	}
	return all
}

// words are what templates say with; all come from the report of the terminal,
// so that page and commands speak alike.
var words = template.FuncMap{
	"editions":        chart.Editions,
	"hex":             spectrum.Lab.Hex,
	"word":            report.ColourWord,
	"lab":             report.LabText,
	"de00":            report.DE00,
	"grams":           report.Grams,
	"dose":            report.DoseText,
	"gPerKg":          report.Dose,
	"amount":          plan.FormatDose,
	"light":           workshop.LightName,
	"seen":            workshop.Seen,
	"once":            onceKey,
	"dropWords":       func() []string { return []string{wax.Undyed, leftOut} },
	"megabytes":       func(bytes int64) string { return fmt.Sprintf("%.1f MB", float64(bytes)/(1<<20)) },
	"number":          func(v float64) string { return fmt.Sprintf("%.4g", v) },
	"patch":           func(label string, c spectrum.Lab) patch { return patch{label, c} },
	"upper":           func(s string) string { return strings.ToUpper(s[:min(1, len(s))]) + s[min(1, len(s)):] },
	"plus":            func(a, b int) int { return a + b },
	"unitOf":          unitOf,
	"seenAt":          func(de00 float64) bool { return de00 >= 0.05 }, // what DE00 does not round to 0
	"times":           func(a, b int) int { return a * b },
	"toAdd":           report.ToAdd,
	"verdict":         report.VerdictText,
	"ways":            report.WayRows,
	"why":             report.OutOfProportionText,
	"fresh":           report.FreshText,
	"stepText":        report.StepText,
	"dyes":            report.DyesText,
	"inBatch":         report.BatchText,
	"untested":        report.UntestedText,
	"unseen":          report.UnseenText,
	"rounding":        report.RoundingText,
	"doubt":           report.UndyedDoubtText,
	"correction":      report.CorrectionText,
	"putBack":         report.PutBackText,
	"quality":         report.QualityText,
	"hotWax":          func() string { return batch.HotWax },
	"flashPoint":      func() string { return batch.FlashPoint },
	"skin":            func() string { return batch.SkinAndPets },
	"cardLights":      cardLights,
	"howToPhotograph": func() string { return report.HowToPhotograph },
	"changes":         report.MostChangedTexts,
	"preferred":       report.PreferenceText,
	"trueScale":       report.TrueScaleText,
	"lights":          workshop.StripLights,
	"colours":         func(given form, f frame) coloursField { return coloursField{given, f} },
	"counted":         report.Counted,
	"listed":          english.And,
	"count":           english.Count,
	"usualWish":       workshop.UsualWish,
	"means":           workshop.UsualMeans,
	"mostDyes":        func() int { return recipe.MostDyes },
	"within":          within,
	"tab": func(path, name, to string, also ...string) tab {
		return tab{to, name, within(path, append(also, to)...)}
	},
	"has": slices.Contains[[]string],
}

// patch is a colour with what it is of.
type patch struct {
	Label string
	Lab   spectrum.Lab
}

// RefusedAt reports a refusal that a part of the page shows.
func (f frame) RefusedAt(part string) bool { return f.Refused != "" && f.At == part }

// tab leads to a page; Here says that the page is there, or within it.
type tab struct {
	To, Name string
	Here     bool
}

func within(path string, places ...string) bool {
	return slices.ContainsFunc(places, func(p string) bool { return path == p || p != "/" && strings.HasPrefix(path, p+"/") })
}

// answer is what a handler says: a page, a part of one, or another address.
type answer struct {
	page, title string
	// part names a template of the page to be sent alone; "" for the whole.
	part     string
	location string
	// path is the address that the page belongs to; "" for the one asked for.
	path   string
	status int
	data   any
	// refused is an error in the maker's words, and advice what to do. At names the
	// part of the page that shows them; "" shows them above all.
	refused, advice, at string
}

// view is a handler that returns its page. With an error beside it, the page
// shows the error and keeps the form.
type view func(*http.Request) (answer, error)

func (v view) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	a, err := v(r)
	if err != nil {
		a.refuse(err)
	}
	a.send(w, r)
}

// maxFormBytes bounds a form without a photograph.
const maxFormBytes = 256 << 10

func (a *answer) refuse(err error) {
	a.advice = workshop.Advice(err)
	a.refused = strings.TrimSuffix(err.Error(), "; "+a.advice)
	if errors.Is(err, context.Canceled) {
		a.refused = "stopped before it was done; nothing was kept of it"
	}
	if a.page == "" {
		a.page, a.title = "refused", "Refused"
	}
	var tooLarge *http.MaxBytesError
	switch {
	case a.status != 0:
	case errors.As(err, &tooLarge):
		a.status, a.refused = http.StatusRequestEntityTooLarge, "this is larger than the page takes; send one photograph at a time, as the camera wrote it"
		if tooLarge.Limit < maxUploadBytes {
			a.refused = "this is longer than the page takes in one form; send less of it"
		}
	case workshop.IsNotFound(err):
		a.status = http.StatusNotFound
	default:
		a.status = http.StatusUnprocessableEntity
	}
}

// frame is what every page has.
type frame struct {
	Title, Path string
	// Part says that this is sent alone, without the frame.
	Part                bool
	Refused, Advice, At string
	Data                any
}

// send writes a page to a buffer first, so that one that cannot be made is a
// clean failure.
func (a answer) send(w http.ResponseWriter, r *http.Request) {
	if a.location != "" {
		http.Redirect(w, r, a.location, http.StatusSeeOther)
		return
	}
	name := "frame.html"
	if a.part != "" {
		name = a.part
	}
	var page bytes.Buffer
	err := templates[a.page].ExecuteTemplate(&page, name, frame{a.title, cmp.Or(a.path, r.URL.Path), a.part != "", a.refused, a.advice, a.at, a.data})
	if err != nil {
		http.Error(w, "The page could not be made: "+err.Error(), http.StatusInternalServerError)
		return
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	if a.status != 0 {
		w.WriteHeader(a.status)
	}
	page.WriteTo(w)
}
