package batch

import (
	"fmt"
	"math"

	"setshade/internal/wax"
)

// Measured is one dye of a pot as it is counted or weighed out.
type Measured struct {
	Dye  string   `json:"dye"`
	Form wax.Form `json:"form"`
	// AskedGPerKg is the recipe's dose, AskedG what it is in this pot.
	AskedGPerKg float64 `json:"asked_g_per_kg"`
	AskedG      float64 `json:"asked_g"`
	// Count is the practical amount in Unit, "chip", "drop" or "g": a multiple
	// of a quarter chip, a whole drop or 0.01 g. It is 0 when the dye is too
	// little to measure.
	Count float64 `json:"count"`
	Unit  string  `json:"unit"`
	// G is the mass of Count, ReachedGPerKg the dose it gives this pot.
	G             float64 `json:"g"`
	ReachedGPerKg float64 `json:"reached_g_per_kg"`
	// Remarks say in plain words what is unusual about the amount.
	Remarks []string `json:"remarks"`
}

// Measure rounds the dye for a mass of undyed wax to the nearest amount that can
// be measured; an amount that would round to nothing is weighed instead. A dose
// within the dye's maximum is not rounded above it. A mass that is not above 0
// panics, and so does what is no number.
func Measure(d wax.Dye, doseGPerKg, undyedG float64) Measured {
	const most = 1e100
	if !within(doseGPerKg, -most, most) || !within(undyedG, 1/most, most) {
		panic(fmt.Sprintf("batch: a dose of %g g/kg cannot be measured into %g g of wax", doseGPerKg, undyedG))
	}
	m := Measured{Dye: d.Name, Form: d.Form, AskedGPerKg: doseGPerKg, AskedG: doseGPerKg * undyedG / 1000}
	p, weighed := d.Counted(), wax.Weighed()
	if p == weighed && d.Form.Unit() != "" {
		m.remark("the mass of one %s is not recorded, so it is weighed", d.Form.Unit())
	}
	maxG := d.MaxDoseGPerKg * undyedG / 1000
	m.count(p, maxG)
	if m.Count == 0 && p != weighed {
		m.remark("too little to count in %ss, so it is weighed", p.Unit)
		m.count(weighed, maxG)
	}
	m.ReachedGPerKg = m.G * 1000 / undyedG
	switch {
	case m.Count == 0:
		m.remark("%.2g g is less than a scale to 0.01 g shows, so it is left out; make a larger batch, or add it from dyed wax of a known dose", m.AskedG)
	case d.MaxDoseGPerKg > 0 && doseGPerKg > d.MaxDoseGPerKg:
		m.remark("the dose asked, %.4g g/kg, is above its maximum of %.4g g/kg", doseGPerKg, d.MaxDoseGPerKg)
	}
	return m
}

// count rounds the grams asked to portions; maxG is 0 when there is no maximum.
func (m *Measured) count(p wax.Portion, maxG float64) {
	n := math.Round(m.AskedG / p.MassG)
	if maxG > 0 && m.AskedG <= maxG && n*p.MassG > maxG*(1+1e-12) {
		n--
	}
	m.Unit, m.Count, m.G = p.Unit, n/p.PerUnit, n*p.MassG
}

func (m *Measured) remark(format string, args ...any) {
	m.Remarks = append(m.Remarks, fmt.Sprintf(format, args...))
}
