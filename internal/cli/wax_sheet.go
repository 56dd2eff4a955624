package cli

import (
	"io"

	"setshade/internal/batch"
	"setshade/internal/report"
	"setshade/internal/wax"
)

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

// waxJSON is the shape of a wax in JSON.
type waxJSON struct {
	Name            string    `json:"name"`
	RefractiveIndex float64   `json:"refractive_index"`
	DensityGPerML   float64   `json:"density_g_per_ml"`
	MaxLoad         *loadJSON `json:"max_load"`
	PricePerKg      *float64  `json:"price_per_kg"`
	HeatToC         *float64  `json:"heat_to_c"`
	AddFragranceAtC *float64  `json:"add_fragrance_at_c"`
	PourAtC         *float64  `json:"pour_at_c"`
	StirMinutes     *float64  `json:"stir_minutes"`
	SetHours        *float64  `json:"set_hours"`
	CureHours       *float64  `json:"cure_hours"`
}

// loadJSON is the shape of a fragrance load in JSON; per is "wax" or "total".
type loadJSON struct {
	Percent float64        `json:"percent"`
	Per     wax.Convention `json:"per"`
}

func waxJSONOf(w wax.Wax) waxJSON {
	j := waxJSON{
		Name:            w.Name,
		RefractiveIndex: w.RefractiveIndex,
		DensityGPerML:   w.DensityGPerML,
		PricePerKg:      recorded(w.PricePerKg),
		HeatToC:         recorded(w.Bench.HeatToC),
		AddFragranceAtC: recorded(w.Bench.AddFragranceAtC),
		PourAtC:         recorded(w.Bench.PourAtC),
		StirMinutes:     recorded(w.Bench.StirMinutes),
		SetHours:        recorded(w.Bench.SetHours),
		CureHours:       recorded(w.Bench.CureHours),
	}
	if w.MaxLoad != (wax.Load{}) {
		j.MaxLoad = &loadJSON{w.MaxLoad.Percent, w.MaxLoad.Per}
	}
	return j
}
