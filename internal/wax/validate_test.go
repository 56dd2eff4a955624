package wax_test

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/wax"
)

func soy() wax.Wax {
	return wax.Wax{
		Name:            "Harrow Soy", // invented
		RefractiveIndex: wax.UsualRefractiveIndex,
		DensityGPerML:   wax.UsualDensityGPerML,
		MaxLoad:         wax.Load{Percent: 10, Per: wax.PerWax},
		// Common practice, no source: heated to 95 °C, fragrance at 60 °C,
		// stirred two to three minutes, set in one to three hours, cured 48.
		Bench: wax.Bench{HeatToC: 95, AddFragranceAtC: 60, PourAtC: 55, StirMinutes: 3, SetHours: 3, CureHours: 48},
	}
}

func TestWaxValidation(t *testing.T) {
	assert.NoError(t, soy().Validate())

	unrecorded := soy()
	unrecorded.MaxLoad, unrecorded.Bench = wax.Load{}, wax.Bench{}
	assert.NoError(t, unrecorded.Validate(), "what is not recorded is no fault")

	for word, spoil := range map[string]func(*wax.Wax){
		"refractive index":      func(w *wax.Wax) { w.RefractiveIndex = 1 },
		"density":               func(w *wax.Wax) { w.DensityGPerML = 900 }, // kg/m³ by mistake
		"price":                 func(w *wax.Wax) { w.PricePerKg = -1 },
		"heating temperature":   func(w *wax.Wax) { w.Bench.HeatToC = 203 }, // °F by mistake
		"fragrance temperature": func(w *wax.Wax) { w.Bench.AddFragranceAtC = math.NaN() },
		"pouring temperature":   func(w *wax.Wax) { w.Bench.PourAtC = -5 },
		"stirring time":         func(w *wax.Wax) { w.Bench.StirMinutes = 200 },
		"setting time":          func(w *wax.Wax) { w.Bench.SetHours = math.Inf(1) },
		"curing time":           func(w *wax.Wax) { w.Bench.CureHours = -48 },
		"load":                  func(w *wax.Wax) { w.MaxLoad = wax.Load{Percent: 10} },
		"needs a name":          func(w *wax.Wax) { w.Name = "" },
	} {
		w := soy()
		spoil(&w)
		assert.ErrorContains(t, w.Validate(), word)
	}
}

func TestDyeValidation(t *testing.T) {
	chip := wax.Dye{Name: "Bracken", Form: wax.Chip, UnitMassG: 1.1, MaxDoseGPerKg: 5, PricePerG: 0.4, Lot: "7/B"}
	assert.NoError(t, chip.Validate())
	assert.NoError(t, wax.Dye{Name: "Slate", Form: wax.Powder}.Validate())

	for word, spoil := range map[string]func(*wax.Dye){
		"one of chip, liquid, powder, pigment, mica": func(d *wax.Dye) { d.Form = "crayon" },
		"form":         func(d *wax.Dye) { d.Form = "" },
		"unit mass":    func(d *wax.Dye) { d.UnitMassG = -1 },
		"maximum dose": func(d *wax.Dye) { d.MaxDoseGPerKg = math.NaN() },
		"price":        func(d *wax.Dye) { d.PricePerG = math.Inf(1) },
		"lot":          func(d *wax.Dye) { d.Lot = strings.Repeat("x", 81) },
		"needs a name": func(d *wax.Dye) { d.Name = " Bracken" },
	} {
		d := chip
		spoil(&d)
		assert.ErrorContains(t, d.Validate(), word)
	}
}

func TestMouldValidationAndVolume(t *testing.T) {
	tray := wax.Mould{Name: "Heart tray", Cavities: 6, CavityML: 22.5}
	assert.NoError(t, tray.Validate())
	assert.InDelta(t, 135, tray.VolumeML(), 1e-12)

	for word, spoil := range map[string]func(*wax.Mould){
		"cavities":     func(m *wax.Mould) { m.Cavities = 0 },
		"a cavity of":  func(m *wax.Mould) { m.CavityML = math.NaN() },
		"must lie":     func(m *wax.Mould) { m.CavityML = 0 },
		"needs a name": func(m *wax.Mould) { m.Name = "" },
	} {
		m := tray
		spoil(&m)
		assert.ErrorContains(t, m.Validate(), word)
	}
}

// Names must be told apart from the punctuation of plan files and commands.
func TestNames(t *testing.T) {
	for _, good := range []string{"Bracken", "Old rose 2", "Grün", "Moth & Ember", "7-B", strings.Repeat("x", 80)} {
		assert.NoError(t, wax.Dye{Name: good, Form: wax.Chip}.Validate(), good)
	}
	for _, bad := range []string{
		"", " ", "Bracken ", "\tBracken", "Bracken+Slate", "#1", "a:b", "a,b", "a=b", "a\nb", "a\rb", `"a"`,
		"undyed", "Undyed", "UNDYED", strings.Repeat("x", 81), strings.Repeat("é", 41),
	} {
		assert.Error(t, wax.Dye{Name: bad, Form: wax.Chip}.Validate(), "%q", bad)
		assert.Error(t, wax.Mould{Name: bad, Cavities: 1, CavityML: 1}.Validate(), "%q", bad)
	}
}

// Common practice, no source: chips, liquids and powders are dyes that
// dissolve; pigment and mica are particles. Chips and drops are counted.
func TestForms(t *testing.T) {
	dissolves := map[wax.Form]bool{wax.Chip: true, wax.Liquid: true, wax.Powder: true}
	unit := map[wax.Form]string{wax.Chip: "chip", wax.Liquid: "drop"}
	assert.Len(t, wax.Forms(), 5)
	for _, form := range wax.Forms() {
		assert.Equal(t, dissolves[form], form.Dissolves(), form)
		assert.Equal(t, unit[form], form.Unit(), form)
	}
}

// A name is cut between letters, not inside one.
func TestLongNameIsQuotedWhole(t *testing.T) {
	err := wax.Dye{Name: "a" + strings.Repeat("é", 60), Form: wax.Chip}.Validate()
	require.Error(t, err)
	assert.NotContains(t, err.Error(), `\x`)
}
