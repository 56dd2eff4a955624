package units

import (
	"strings"

	"setshade/internal/english"
)

// Dimension is what a quantity measures.
type Dimension string

// The dimensions of the bench.
const (
	Mass   Dimension = "mass"
	Volume Dimension = "volume"
	Count  Dimension = "count"
	Share  Dimension = "share"
)

// Unit is what a quantity is counted in, as it is written after its number.
type Unit string

// The units of the bench.
const (
	Gram               Unit = "g"
	Kilogram           Unit = "kg"
	Ounce              Unit = "oz"
	Pound              Unit = "lb"
	Millilitre         Unit = "ml"
	Litre              Unit = "l"
	USFluidOunce       Unit = "US fl oz"
	ImperialFluidOunce Unit = "imp fl oz"
	Chip               Unit = "chip"
	Drop               Unit = "drop"
	Scoop              Unit = "scoop"
	Percent            Unit = "%"
)

// definition is what is known of a unit.
type definition struct {
	unit      Unit
	dimension Dimension
	// size is one of the unit in the first unit of its dimension: grams,
	// millilitres, percent. Counts do not convert; theirs is 0.
	size float64
	// words are the ways it may be written besides its own, in small letters
	// and without points.
	words []string
}

// definitions has the units of each dimension in the order they are offered.
//
// The avoirdupois ounce is 28.349523125 g and the pound 453.59237 g exactly;
// the US fluid ounce is 29.5735295625 ml exactly (NIST Handbook 44, appendix C;
// NIST SP 811, appendix B). The imperial fluid ounce is a 160th of the gallon
// of 4.54609 l (Weights and Measures Act 1985, schedule 1).
var definitions = []definition{
	{Gram, Mass, 1, []string{"gram", "grams", "gramme", "grammes"}},
	{Kilogram, Mass, 1000, []string{"kilo", "kilos", "kilogram", "kilograms", "kilogramme", "kilogrammes"}},
	{Ounce, Mass, 28.349523125, []string{"ounce", "ounces"}},
	{Pound, Mass, 453.59237, []string{"lbs", "pound", "pounds"}},
	{Millilitre, Volume, 1, []string{"millilitre", "millilitres", "milliliter", "milliliters"}},
	{Litre, Volume, 1000, []string{"litre", "litres", "liter", "liters"}},
	{USFluidOunce, Volume, 29.5735295625, []string{"us fluid ounce", "us fluid ounces"}},
	{ImperialFluidOunce, Volume, 28.4130625, []string{"imperial fl oz", "uk fl oz", "imperial fluid ounce", "imperial fluid ounces"}},
	{Chip, Count, 0, []string{"chips"}},
	{Drop, Count, 0, []string{"drops"}},
	{Scoop, Count, 0, []string{"scoops"}},
	{Percent, Share, 1, []string{"percent", "per cent"}},
}

// Dimension returns what the unit measures.
func (u Unit) Dimension() Dimension { return u.definition().dimension }

func (u Unit) definition() definition {
	for _, d := range definitions {
		if d.unit == u {
			return d
		}
	}
	panic("units: there is no unit " + string(u))
}

// unitOf finds the unit of a word as written, capitals and points aside.
func unitOf(word string) (Unit, bool) {
	word = strings.ToLower(strings.Join(strings.Fields(strings.ReplaceAll(word, ".", " ")), " "))
	for _, d := range definitions {
		if word == strings.ToLower(string(d.unit)) {
			return d.unit, true
		}
		for _, w := range d.words {
			if word == w {
				return d.unit, true
			}
		}
	}
	return "", false
}

// offered lists the units of a dimension as an error offers them.
func offered(dimension Dimension) string {
	var words []string
	for _, d := range definitions {
		if d.dimension == dimension {
			words = append(words, d.written(2))
		}
	}
	return english.Or(words)
}

// written is the unit after a number: "1/2 chip", "2 chips", "0 chips".
func (d definition) written(value float64) string {
	if d.dimension == Count && (value > 1 || value == 0) {
		return string(d.unit) + "s"
	}
	return string(d.unit)
}
