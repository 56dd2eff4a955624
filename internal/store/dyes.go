package store

import "setshade/internal/wax"

func dyeShelf(s *Store) *Shelf[wax.Dye] {
	return &Shelf[wax.Dye]{
		store: s, noun: "dye", plural: "dyes", table: "dyes",
		columns: []string{"name", "form", "unit_mass_g", "max_dose_g_per_kg", "price_per_g", "lot"},
		fields: func(d *wax.Dye) []any {
			return []any{&d.Name, &d.Form, &d.UnitMassG, &d.MaxDoseGPerKg, &d.PricePerG, &d.Lot}
		},
		uses: []use{
			{"swatch", "swatches", "SELECT count(*) FROM swatch_parts WHERE dye_id = ?"},
			{"batch", "batches", "SELECT count(DISTINCT c.batch_id) FROM batch_parts p JOIN batch_colours c ON c.id = p.colour_id WHERE p.dye_id = ?"},
			{"stock", "stocks", "SELECT count(*) FROM stock_parts WHERE dye_id = ?"},
		},
	}
}
