package wax

import "math"

// Portion is the least amount of a dye that is measured out in one way.
type Portion struct {
	// Unit is "chip", "drop" or "g", and PerUnit how many portions make one.
	Unit    string
	PerUnit float64
	// MassG is the mass of one portion in grams, above 0.
	MassG float64
}

// Weighed is the portion of a scale to 0.01 g (common practice, no source).
func Weighed() Portion { return Portion{"g", 100, 0.01} }

// Counted is what is counted of the dye, quarter chips or whole drops (common
// practice, no source); Weighed where its form is weighed, or the mass of one is not
// recorded.
//
// This is the one rule of measuring: a dye is counted, and weighed where counting is
// too coarse for what is asked, which whoever asks must judge.
func (d Dye) Counted() Portion {
	switch {
	case d.UnitMassG > 0 && d.Form == Chip:
		return Portion{d.Form.Unit(), 4, d.UnitMassG / 4}
	case d.UnitMassG > 0 && d.Form == Liquid:
		return Portion{d.Form.Unit(), 1, d.UnitMassG}
	}
	return Weighed()
}

// Name is one portion in words: "quarter chip", "drop", "0.01 g".
func (p Portion) Name() string {
	switch p.PerUnit {
	case 4:
		return "quarter " + p.Unit
	case 1:
		return p.Unit
	}
	return "0.01 g"
}

// PortionOf is the way in which grams of the dye were measured out: counted where they
// are whole counted portions, otherwise weighed.
func (d Dye) PortionOf(g float64) Portion {
	const whole = 1e-6
	p := d.Counted()
	if n := g / p.MassG; math.Abs(n-math.Round(n)) > whole*max(1, n) {
		return Weighed()
	}
	return p
}
