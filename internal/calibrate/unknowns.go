package calibrate

import (
	"math"
	"slices"

	"setshade/internal/wax"
)

// The unknowns stand in one vector: first the wax (its curve, then three
// numbers), then dye after dye (its curve, then its exponent).
const (
	waxUnknowns = knots + 3
	dyeUnknowns = knots + 1

	logSX    = knots     // place of log S·X in the vector
	logGain  = knots + 1 // place of the log of the light's gain at the surface
	bend     = knots + 2 // place of the bend q of K/S over absorption
	exponent = knots     // place of the exponent within a dye's unknowns
)

// DyeRange says what was tested of a dye.
type DyeRange struct {
	Name string `json:"name"`
	// ReferenceGPerKg is the geometric mean of its doses; the curve is told at
	// this dose.
	ReferenceGPerKg float64 `json:"reference_g_per_kg"`
	MinGPerKg       float64 `json:"min_g_per_kg"`
	MaxGPerKg       float64 `json:"max_g_per_kg"`
	Drops           int     `json:"drops"`
}

// rangesOf lists the dyes of the samples in order of name.
func rangesOf(samples []Sample) []DyeRange {
	doses := map[string][]float64{}
	for _, s := range samples {
		for _, p := range s.Recipe {
			doses[p.Dye] = append(doses[p.Dye], p.DoseGPerKg)
		}
	}
	var out []DyeRange
	for name, d := range doses {
		sum := 0.0
		for _, c := range d {
			sum += math.Log(c)
		}
		out = append(out, DyeRange{
			Name: name, ReferenceGPerKg: math.Exp(sum / float64(len(d))),
			MinGPerKg: slices.Min(d), MaxGPerKg: slices.Max(d), Drops: len(d),
		})
	}
	slices.SortFunc(out, func(a, b DyeRange) int { return compareNames(a.Name, b.Name) })
	return out
}

func compareNames(a, b string) int {
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	}
	return 0
}

// dyeAt returns the place of a dye among the ranges, -1 when it is not there.
func dyeAt(dyes []DyeRange, name string) int {
	return slices.IndexFunc(dyes, func(d DyeRange) bool { return d.Name == name })
}

// offset returns where the unknowns of dye number d begin.
func offset(d int) int { return waxUnknowns + d*dyeUnknowns }

// count returns how many unknowns a wax with so many dyes has.
func count(dyes int) int { return waxUnknowns + dyes*dyeUnknowns }

// ingredient is one dye of a recipe, ready to be computed with.
type ingredient struct {
	at      int     // where its unknowns begin
	logDose float64 // log (c / reference)
}

func ingredients(dyes []DyeRange, recipe wax.Recipe) []ingredient {
	out := make([]ingredient, 0, len(recipe))
	for _, p := range recipe {
		d := dyeAt(dyes, p.Dye)
		if d < 0 {
			panic("calibrate: no such dye: " + p.Dye)
		}
		out = append(out, ingredient{offset(d), math.Log(p.DoseGPerKg / dyes[d].ReferenceGPerKg)})
	}
	return out
}
