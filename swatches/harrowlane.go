package swatches

import (
	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// Wax returns the one wax of Harrow Lane Wax (invented).
func Wax() wax.Wax {
	return wax.Wax{
		Name:            "Harrow Soy",
		RefractiveIndex: 1.44,
		DensityGPerML:   0.90,
		MaxLoad:         wax.Load{Percent: 10, Per: wax.PerWax},
		PricePerKg:      7.80,
		Bench: wax.Bench{
			HeatToC: 85, AddFragranceAtC: 60, PourAtC: 55,
			StirMinutes: 3, SetHours: 2, CureHours: 48,
		},
	}
}

// Dyes returns the dyes on the shelf (invented), in order of name. All dissolve.
func Dyes() []wax.Dye {
	return []wax.Dye{
		{Name: "Bracken", Form: wax.Chip, UnitMassG: 0.5, MaxDoseGPerKg: 10, PricePerG: 0.22, Lot: "HL-B14"},
		{Name: "Foxglove", Form: wax.Powder, MaxDoseGPerKg: 4, PricePerG: 0.95, Lot: "HL-F03"},
		{Name: "Marigold Lane", Form: wax.Chip, UnitMassG: 0.5, MaxDoseGPerKg: 10, PricePerG: 0.24, Lot: "HL-M21"},
		{Name: "Slate Hill", Form: wax.Powder, MaxDoseGPerKg: 3, PricePerG: 0.88, Lot: "HL-S09"},
		{Name: "Sorrel", Form: wax.Liquid, UnitMassG: 0.03, MaxDoseGPerKg: 6, PricePerG: 0.61, Lot: "HL-R17"},
		{Name: "Tidewater", Form: wax.Liquid, UnitMassG: 0.03, MaxDoseGPerKg: 6, PricePerG: 0.58, Lot: "HL-T11"},
	}
}

// Mould returns the workshop's mould.
func Mould() wax.Mould { return wax.Mould{Name: "Linnet clamshell", Cavities: 6, CavityML: 14} }

// OverDyed is a batch that came out too strong, and what it should have been.
type OverDyed struct {
	// Photo names the photograph of two drops of it, as in Files.
	Photo string
	// Batch is what went into the pot, Intended what should have.
	Batch    wax.Batch
	Intended wax.Recipe
	// Target is the shade that was wanted, of a thick piece, as on the order.
	Target spectrum.Lab
	// PotG is what the pot holds, in grams.
	PotG float64
	// Story tells it in the maker's words.
	Story string
}

// Rescue returns the over-dyed batch of Harrow Lane Wax: the dyes of a large
// batch went into a small one. Foxglove is a little further over than Marigold
// Lane, so that undyed wax alone brings it close and not quite there.
func Rescue() OverDyed {
	return OverDyed{
		Photo: "overdyed.jpg",
		Batch: wax.Batch{
			UndyedG: 900,
			Recipe:  wax.Recipe{{Dye: "Foxglove", DoseGPerKg: 0.9}, {Dye: "Marigold Lane", DoseGPerKg: 2}},
			Load:    wax.Load{Percent: 8, Per: wax.PerWax},
		},
		Intended: wax.Recipe{{Dye: "Foxglove", DoseGPerKg: 0.3}, {Dye: "Marigold Lane", DoseGPerKg: 0.75}},
		Target:   spectrum.Lab{L: 63.1, A: 19.2, B: 5.5},
		PotG:     4000,
		Story: "The order was for dusty rose, 0.3 g/kg Foxglove and 1.5 chips/kg Marigold Lane. " +
			"The dye weighed out for the big pot went into the small one: 900 g of wax at 8 % fragrance per wax, about three times too strong.",
	}
}
