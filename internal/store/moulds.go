package store

import "setshade/internal/wax"

func mouldShelf(s *Store) *Shelf[wax.Mould] {
	return &Shelf[wax.Mould]{
		store: s, noun: "mould", plural: "moulds", table: "moulds",
		columns: []string{"name", "cavities", "cavity_ml"},
		fields: func(m *wax.Mould) []any {
			return []any{&m.Name, &m.Cavities, &m.CavityML}
		},
	}
}
