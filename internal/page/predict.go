package page

import (
	"fmt"
	"math"
	"net/http"
	"strings"

	"setshade/internal/report"
	"setshade/internal/wax"
	"setshade/internal/workshop"
)

// predictPage has a slider for each dye, and the shade of where they stand.
type predictPage struct {
	Wax      string
	Waxes    []string
	Sliders  []slider
	Forecast workshop.Forecast
	// Dose is the dose written as in a plan.
	Dose string
}

// slider sets the dose of one dye.
type slider struct {
	Dye                         string
	Value, Most, Step, From, To float64
	// Counted is the dose in the dye's own unit; "" when it is weighed.
	Counted string
}

// part asks for the shade alone, to take the place of the one shown.
func isPart(r *http.Request) bool { return r.URL.Query().Get("part") == "1" }

func (s *Server) predict(r *http.Request) (answer, error) {
	a := answer{page: "predict", title: "Predict"}
	if isPart(r) {
		a.part = "shade"
	}
	f := form{Values: r.URL.Query()}
	p := predictPage{Wax: f.text("wax")}
	a.data = &p
	shelf, err := s.workshop.Shelf(r.Context(), math.MaxInt64)
	if err != nil {
		return a, err
	}
	var learned []workshop.ShelvedWax
	for _, x := range shelf.Waxes {
		if x.Learned != nil {
			learned, p.Waxes = append(learned, x), append(p.Waxes, x.Name)
		}
	}
	if len(learned) == 0 {
		return a, nil
	}
	chosen := learned[0]
	for _, x := range learned {
		if x.Name == p.Wax {
			chosen = x
		}
	}
	p.Wax = chosen.Name
	p.Sliders, p.Dose = slidersOf(chosen, shelf.Dyes, &f)
	if f.err != nil {
		return a, f.err
	}
	p.Forecast, err = s.workshop.Predict(r.Context(), p.Wax, p.Dose)
	return a, err
}

// slidersOf sets a slider for every learned dye to the field "dose DYE". On first
// sight the first dye stands in the middle of its doses, so that there is
// something to see.
func slidersOf(x workshop.ShelvedWax, dyes []workshop.ShelvedDye, f *form) ([]slider, string) {
	var sliders []slider
	var parts []string
	for i, d := range x.Learned {
		most := math.Min(1.25*d.MaxGPerKg, wax.MaxDoseGPerKg)
		sl := slider{Dye: d.Name, From: d.MinGPerKg, To: d.MaxGPerKg, Step: tidyStep(most)}
		sl.Most = sl.Step * math.Ceil(most/sl.Step-1e-9)
		field := "dose " + d.Name
		if !anyDose(f) && i == 0 {
			sl.Value = sl.Step * math.Round(d.ReferenceGPerKg/sl.Step)
		} else {
			sl.Value = f.number(field, d.Name)
		}
		if sl.Value > 0 {
			parts = append(parts, fmt.Sprintf("%s %.4g g/kg", d.Name, sl.Value))
		}
		for _, owned := range dyes {
			if unit := owned.Form.Unit(); owned.Name == d.Name && unit != "" && owned.UnitMassG > 0 {
				sl.Counted = report.Counted(math.Round(100*sl.Value/owned.UnitMassG)/100, unit) + "/kg"
			}
		}
		sliders = append(sliders, sl)
	}
	if len(parts) == 0 {
		return sliders, wax.Undyed
	}
	return sliders, strings.Join(parts, " + ")
}

// tidyStep is 1, 2 or 5 times a power of ten, at most a hundredth of a range: a
// slider stands where a dose is easily said.
func tidyStep(most float64) float64 {
	step := math.Pow10(int(math.Floor(math.Log10(most / 100))))
	for _, times := range []float64{5, 2} {
		if times*step <= most/100 {
			return times * step
		}
	}
	return step
}

func anyDose(f *form) bool {
	for name := range f.Values {
		if strings.HasPrefix(name, "dose ") {
			return true
		}
	}
	return false
}
