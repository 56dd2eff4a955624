package cli

import (
	"errors"
	"fmt"
	"io"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"setshade/internal/batch"
	"setshade/internal/report"
	"setshade/internal/store"
	"setshade/internal/wax"
)

var waxKind = kind[wax.Wax]{
	noun: "wax", plural: "waxes",
	example:       "Harrow Soy",
	exampleAdd:    "--density 0.9 --max-load 10 --load-per wax --heat-to 85 --pour-at 60 --cure-hours 48",
	exampleChange: "--pour-at 58",
	usual: wax.Wax{
		RefractiveIndex: wax.UsualRefractiveIndex,
		DensityGPerML:   wax.UsualDensityGPerML,
	},
	name:    func(w *wax.Wax) *string { return &w.Name },
	shelf:   func(s *store.Store) *store.Shelf[wax.Wax] { return s.Waxes },
	flags:   waxFlags,
	check:   func(w wax.Wax) error { return checkLoad("max-load", w.MaxLoad) },
	choices: map[string][]string{"load-per": {string(wax.PerWax), string(wax.PerTotal)}},
	columns: []report.Column{
		{Title: "wax"}, {Title: "density", Right: true}, {Title: "max load", Right: true},
		{Title: "heat to", Right: true}, {Title: "pour at", Right: true}, {Title: "price", Right: true},
	},
	row: func(w wax.Wax) []string {
		return []string{
			w.Name, report.Quantity(w.DensityGPerML, "g/ml"), loadText(w.MaxLoad),
			report.Quantity(w.Bench.HeatToC, "°C"), report.Quantity(w.Bench.PourAtC, "°C"), report.Quantity(w.PricePerKg, "per kg"),
		}
	},
	sheet: waxSheet,
	json:  func(w wax.Wax) any { return waxJSON{w} },
}

func newWax(a *app) *cobra.Command {
	k := waxKind
	group := newGroup("wax", "Undyed waxes: add, list, show, change, remove", "  setshade wax list")
	group.AddCommand(k.newAdd(a), k.newList(a), k.newShow(a), k.newChange(a), k.newRemove(a))
	return group
}

func waxFlags(flags *pflag.FlagSet, w *wax.Wax) {
	numberFlag(flags, &w.DensityGPerML, "density", "density of the molten wax in `g/ml`")
	numberFlag(flags, &w.RefractiveIndex, "refractive-index", "refractive index of the set wax")
	numberFlag(flags, &w.MaxLoad.Percent, "max-load", "supplier's maximum fragrance load in `%`; say of what with --load-per")
	flags.StringVar((*string)(&w.MaxLoad.Per), "load-per", string(w.MaxLoad.Per), "what the load is a share of: `wax|total`")
	numberFlag(flags, &w.PricePerKg, "price", "price per kg in your currency")
	numberFlag(flags, &w.Bench.HeatToC, "heat-to", "supplier's heating temperature in `degrees` Celsius")
	numberFlag(flags, &w.Bench.AddFragranceAtC, "add-fragrance-at", "supplier's temperature for fragrance in `degrees` Celsius")
	numberFlag(flags, &w.Bench.PourAtC, "pour-at", "supplier's pouring temperature in `degrees` Celsius")
	numberFlag(flags, &w.Bench.StirMinutes, "stir-minutes", "supplier's stirring time in `minutes`")
	numberFlag(flags, &w.Bench.SetHours, "set-hours", "supplier's setting time in `hours`")
	numberFlag(flags, &w.Bench.CureHours, "cure-hours", "supplier's curing time in `hours`")
}

// waxSheet writes the record of a wax as it hangs at the bench.
func waxSheet(w io.Writer, x wax.Wax) error {
	return writeSheet(w, x.Name, []line{
		{"density, molten", report.Quantity(x.DensityGPerML, "g/ml")},
		{"refractive index", report.Quantity(x.RefractiveIndex, "")},
		{"maximum fragrance load", loadText(x.MaxLoad)},
		{"price", report.Quantity(x.PricePerKg, "per kg")},
		{"heat to", report.Quantity(x.Bench.HeatToC, "°C")},
		{"add fragrance at", report.Quantity(x.Bench.AddFragranceAtC, "°C")},
		{"pour at", report.Quantity(x.Bench.PourAtC, "°C")},
		{"stir", report.Quantity(x.Bench.StirMinutes, "minutes")},
		{"set", report.Quantity(x.Bench.SetHours, "hours")},
		{"cure", report.Quantity(x.Bench.CureHours, "hours")},
	}, "Loads, temperatures and times are the supplier's figures.", batch.HotWax)
}

// waxJSON is the shape of a wax in JSON where all of it is told.
type waxJSON struct{ wax.Wax }

// loadJSON is the shape of a fragrance load in JSON; per is "wax" or "total".
type loadJSON struct {
	Percent float64        `json:"percent"`
	Per     wax.Convention `json:"per"`
}

// checkLoad refuses a load, as the flag and --load-per gave it, of which it is
// not said what it is a share of.
func checkLoad(flag string, l wax.Load) error {
	switch {
	case l.Percent != 0 && l.Per == "":
		return errors.New("say what the fragrance load is a share of: --load-per wax, or --load-per total")
	case l.Percent == 0 && l.Per != "":
		return fmt.Errorf("--load-per says what a load is a share of; give the load too, with --%s", flag)
	}
	return nil
}

func loadText(l wax.Load) string {
	if l == (wax.Load{}) {
		return "not recorded"
	}
	return l.String()
}
