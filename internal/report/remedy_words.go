package report

import (
	"strings"

	"setshade/internal/english"
	"setshade/internal/rescue"
	"setshade/internal/wax"
	"setshade/internal/workshop"
)

// The phrases of a rescue, for pages that set them in their own order. Numbers
// are held to their units by a no-break space (U+00A0).

// ToAdd is all that a rescue adds: "600.0 g of undyed wax and 48.0 g of
// fragrance"; "" when it adds nothing.
func ToAdd(r workshop.Remedy) string {
	var parts []string
	add := func(g float64, what string) {
		if g > 0 {
			parts = append(parts, hold(Grams(g))+" of "+what)
		}
	}
	add(r.AddUndyedG, "undyed wax")
	add(r.AddFragranceG, "fragrance")
	for _, x := range r.AddAdditives {
		add(x.G, x.Name)
	}
	if len(r.Dyes) > 0 {
		parts = append(parts, dyesText(r.Dyes))
	}
	return english.And(parts)
}

// StepText is what one step of a rescue adds.
func StepText(s workshop.Step) string { return portion(s) }

// DyesText lists dyes as they are measured out.
func DyesText(dyes []workshop.MeasuredDye) string { return dyesText(dyes) }

// BatchText lists what is in a batch.
func BatchText(b wax.Batch) string { return contents(b) }

// UntestedText joins what was never tested before and after a rescue.
func UntestedText(r workshop.Remedy) []string { return allUntested(r) }

// RoundingText tells what measuring the dyes of a rescue out in whole portions
// costs; "" when it cannot be seen.
func RoundingText(r workshop.Remedy) string {
	var t text
	t.rounding(r)
	return strings.Join(strings.Fields(strings.ReplaceAll(t.String(), noBreak, " ")), " ")
}

// BenchText is when to heat, to add fragrance and to pour, as the wax's record
// has it.
type BenchText struct{ Gently, Heat, Mix, Pour string }

// NewBenchText words the bench record of a rescue's wax.
func NewBenchText(r workshop.Remedy) BenchText {
	return BenchText{Gently: gently(r.Batch), Heat: heat(r.Wax), Mix: mix(r.Wax), Pour: pour(r.Wax)}
}

// PreferenceText says what a rescue goes for within the tolerance; the zero
// Preference is the nearest shade.
func PreferenceText(p rescue.Preference) string {
	switch p {
	case rescue.LeastMass:
		return "the least added"
	case rescue.LeastWaste:
		return "the least set aside"
	case rescue.LeastCost:
		return "the least cost"
	}
	return "the nearest shade"
}
