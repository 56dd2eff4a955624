package wax

import (
	"fmt"
	"math"
	"strings"
	"unicode/utf8"

	"setshade/internal/plaintext"
)

// Wax is an undyed base and what its supplier says of it. Temperatures and
// times are the wax's own record; the tool repeats them and never invents them.
type Wax struct {
	Name string `json:"name"`
	// RefractiveIndex of the set wax, 1.3..1.6; about 1.44 for common waxes.
	RefractiveIndex float64 `json:"refractive_index"`
	// DensityGPerML of the molten wax, 0.6..1.2.
	DensityGPerML float64 `json:"density_g_per_ml"`
	// MaxLoad is the supplier's maximum fragrance load. The zero Load means
	// that no maximum is recorded.
	MaxLoad Load `json:"max_load" zero:"null"`
	// PricePerKg in the maker's own currency; 0 when not recorded.
	PricePerKg float64 `json:"price_per_kg" zero:"null"`
	// Bench is what to do with the wax, and when.
	Bench Bench `json:",inline"`
}

// Bench records the temperatures and waiting times of a wax. A zero value
// means that the supplier's figure has not been recorded.
type Bench struct {
	HeatToC         float64 `json:"heat_to_c" zero:"null"`
	AddFragranceAtC float64 `json:"add_fragrance_at_c" zero:"null"`
	PourAtC         float64 `json:"pour_at_c" zero:"null"`
	StirMinutes     float64 `json:"stir_minutes" zero:"null"`
	SetHours        float64 `json:"set_hours" zero:"null"`
	CureHours       float64 `json:"cure_hours" zero:"null"`
}

// Usual values for what a maker has not recorded. Refractive index of paraffin
// and vegetable waxes near 1.44, molten density near 0.90 g/ml: common
// practice, no source.
const (
	UsualRefractiveIndex = 1.44
	UsualDensityGPerML   = 0.90
)

// Validate reports the first thing that cannot be true of the wax.
func (w Wax) Validate() error {
	if err := validName("wax", w.Name); err != nil {
		return err
	}
	checks := []struct {
		what     string
		v        float64
		from, to float64
	}{
		{"refractive index", w.RefractiveIndex, 1.3, 1.6},
		{"molten density in g/ml", w.DensityGPerML, 0.6, 1.2},
		{"price per kg", w.PricePerKg, 0, 1e6},
		{"heating temperature in °C", w.Bench.HeatToC, 0, 200},
		{"fragrance temperature in °C", w.Bench.AddFragranceAtC, 0, 200},
		{"pouring temperature in °C", w.Bench.PourAtC, 0, 200},
		{"stirring time in minutes", w.Bench.StirMinutes, 0, 120},
		{"setting time in hours", w.Bench.SetHours, 0, 1000},
		{"curing time in hours", w.Bench.CureHours, 0, 10000},
	}
	for _, c := range checks {
		if !within(c.v, c.from, c.to) {
			return fmt.Errorf("the %s of %s is %g; it must lie between %g and %g", c.what, w.Name, c.v, c.from, c.to)
		}
	}
	if w.MaxLoad != (Load{}) {
		return w.MaxLoad.Validate()
	}
	return nil
}

func within(v, from, to float64) bool { return !math.IsNaN(v) && v >= from && v <= to }

// validName refuses names that plan files and commands could not tell apart
// from their own punctuation.
func validName(what, name string) error {
	switch {
	case strings.TrimSpace(name) != name || name == "":
		return fmt.Errorf("a %s needs a name without blanks around it", what)
	case !utf8.ValidString(name) || strings.ContainsFunc(name, plaintext.IsHidden):
		return fmt.Errorf("the name of a %s has a character that cannot be shown; type it again", what)
	case len(name) > 80:
		return fmt.Errorf("the name of a %s may have 80 bytes; %q… has more", what, strings.ToValidUTF8(name[:20], ""))
	case strings.ContainsAny(name, "+#:,=\""):
		return fmt.Errorf("the name %q may not contain + # : , = or quotes", name)
	case strings.EqualFold(name, Undyed):
		return fmt.Errorf("%q means wax without dye and cannot name a %s", name, what)
	}
	return nil
}
