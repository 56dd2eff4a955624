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

// waxJSON is the shape of a wax in JSON where all of it is told.
type waxJSON struct{ wax.Wax }

// loadJSON is the shape of a fragrance load in JSON; per is "wax" or "total".
type loadJSON struct {
	Percent float64        `json:"percent"`
	Per     wax.Convention `json:"per"`
}
