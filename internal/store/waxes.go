package store

import "setshade/internal/wax"

func waxShelf(s *Store) *Shelf[wax.Wax] {
	return &Shelf[wax.Wax]{
		store: s, noun: "wax", plural: "waxes", table: "waxes",
		columns: []string{
			"name", "refractive_index", "density_g_per_ml",
			"max_load_percent", "max_load_per", "price_per_kg",
			"heat_to_c", "add_fragrance_at_c", "pour_at_c",
			"stir_minutes", "set_hours", "cure_hours",
		},
		fields: func(w *wax.Wax) []any {
			return []any{
				&w.Name, &w.RefractiveIndex, &w.DensityGPerML,
				&w.MaxLoad.Percent, &w.MaxLoad.Per, &w.PricePerKg,
				&w.Bench.HeatToC, &w.Bench.AddFragranceAtC, &w.Bench.PourAtC,
				&w.Bench.StirMinutes, &w.Bench.SetHours, &w.Bench.CureHours,
			}
		},
		uses: []use{
			{"swatch", "swatches", "SELECT count(*) FROM swatches WHERE wax_id = ?"},
			{"batch", "batches", "SELECT count(*) FROM batches WHERE wax_id = ?"},
			{"stock", "stocks", "SELECT count(*) FROM stocks WHERE wax_id = ?"},
			{"rescue", "rescues", "SELECT count(*) FROM rescues WHERE wax_id = ?"},
		},
	}
}
