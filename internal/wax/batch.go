package wax

import "fmt"

// Batch is a melt in the pot: undyed wax, the dyes in it, its fragrance and
// whatever else is mixed in.
type Batch struct {
	// UndyedG is the mass of wax without dye, fragrance and additives, in grams.
	UndyedG float64
	Recipe  Recipe
	Load    Load
	// Additives are what else is mixed in, each once; nil for none.
	Additives []Additive
}

// Validate reports a batch that cannot be.
func (b Batch) Validate() error {
	const speck = 1e-9 // far below what any scale shows, so that shares of it are still numbers
	if !within(b.UndyedG, speck, 1e7) {
		return fmt.Errorf("a batch of %g g of wax cannot be; give its mass in grams", b.UndyedG)
	}
	if _, err := NewRecipe(b.Recipe...); err != nil {
		return err
	}
	if err := b.Load.Validate(); err != nil {
		return err
	}
	return validateAdditives(b.Additives)
}

// DyeG returns the grams of all dyes together.
func (b Batch) DyeG() float64 {
	sum := 0.0
	for _, p := range b.Recipe {
		sum += p.DoseGPerKg * b.UndyedG / 1000
	}
	return sum
}

// FragranceG returns the grams of fragrance. The load counts undyed wax; the
// dye, a few grams a kilogram, is not counted as wax.
func (b Batch) FragranceG() float64 { return b.Load.FragranceG(b.UndyedG) }

// AdditivesG returns the grams of all additives together.
func (b Batch) AdditivesG() float64 {
	sum := 0.0
	for _, a := range b.Additives {
		sum += a.MassG(b.UndyedG)
	}
	return sum
}

// TotalG returns the mass of everything in the pot, in grams.
func (b Batch) TotalG() float64 { return b.UndyedG + b.DyeG() + b.FragranceG() + b.AdditivesG() }
