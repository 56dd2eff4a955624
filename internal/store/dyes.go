package store

import "setshade/internal/wax"

func dyeShelf(s *Store) *Shelf[wax.Dye] {
	return &Shelf[wax.Dye]{
		store: s, noun: "dye", plural: "dyes", table: "dyes",
		columns: []string{"name", "form", "unit_mass_g", "max_dose_g_per_kg", "price_per_g", "lot"},
		fields: func(d *wax.Dye) []any {
			return []any{&d.Name, &d.Form, &d.UnitMassG, &d.MaxDoseGPerKg, &d.PricePerG, &d.Lot}
		},
		uses: "SELECT count(*) FROM swatch_parts WHERE dye_id = ?",
	}
}
