package cli

import (
	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

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
