package plan

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/wax"
)

// The shelf of the demo's workshop (invented).
var shelf = []wax.Dye{
	{Name: "Bracken", Form: wax.Chip, UnitMassG: 2.5, MaxDoseGPerKg: 4},
	{Name: "Slate Hill", Form: wax.Liquid, UnitMassG: 0.03},
	{Name: "Mere", Form: wax.Powder},
	{Name: "Gorse", Form: wax.Chip},
}

func TestResolveTurnsUnitsIntoGrams(t *testing.T) {
	// Worked by hand: 2 chips of 2.5 g are 5 g; 10 drops of 0.03 g are 0.3 g;
	// 500 mg are 0.5 g; 0.2 % of a kilogram is 2 g.
	for dose, want := range map[string]float64{
		"Bracken 2 chips/kg":     5,
		"Bracken 1 chip/kg":      2.5,
		"Slate Hill 10 drops/kg": 0.3,
		"Mere 500 mg/kg":         0.5,
		"Mere 0.2 %":             2,
		"mere 0,2 g/kg":          0.2,
	} {
		parts, err := ParseDose(dose)
		require.NoError(t, err, dose)
		recipe, _, err := ResolveDose(parts, shelf)
		require.NoError(t, err, dose)
		require.Len(t, recipe, 1, dose)
		assert.InEpsilon(t, want, recipe[0].DoseGPerKg, 1e-12, dose)
	}
}

func TestResolveKeepsOrderChecksAndNotes(t *testing.T) {
	p, err := Parse("wax Harrow Soy\nstate set\n1 undyed\n2 Mere 1 g/kg + Bracken 2 chips/kg check")
	require.NoError(t, err)
	got, err := p.Resolve(shelf)
	require.NoError(t, err)
	require.Len(t, got, 2)
	assert.Equal(t, Resolved{Number: 1}, got[0].withoutEmptyRecipe())
	assert.Equal(t, Resolved{
		Number: 2,
		Recipe: wax.Recipe{{Dye: "Bracken", DoseGPerKg: 5}, {Dye: "Mere", DoseGPerKg: 1}},
		Check:  true,
		Notes:  []string{"Bracken at 5 g/kg is above its maximum of 4 g/kg"},
	}, got[1])
}

// withoutEmptyRecipe lets an empty and a nil recipe compare: both are undyed.
func (r Resolved) withoutEmptyRecipe() Resolved {
	if len(r.Recipe) == 0 {
		r.Recipe = nil
	}
	return r
}

// A drop's own mass goes before that of the card.
func TestResolveMass(t *testing.T) {
	p, err := Parse("wax Harrow Soy\nstate set\nmass 0.4 g\n1 undyed\n2 undyed mass 300 mg")
	require.NoError(t, err)
	got, err := p.Resolve(shelf)
	require.NoError(t, err)
	assert.Equal(t, []float64{0.4, 0.3}, []float64{got[0].MassG, got[1].MassG})
}

func TestResolveRefuses(t *testing.T) {
	for dose, says := range map[string]string{
		"Braken 1 g/kg":         `did you mean "Bracken"?`,
		"Quartz 1 g/kg":         `there is no dye "Quartz" on the shelf; add it first`,
		"Gorse 1 chip/kg":       "the mass of one chip of Gorse is not recorded; weigh ten",
		"Mere 1 chip/kg":        "Mere is a powder and is not counted in chips; write its dose in g/kg",
		"Bracken 3 drops/kg":    "Bracken is a chip and is not counted in drops",
		"Bracken 500 chips/kg":  "at most 1000",
		"Slate Hill 1 chips/kg": "is not counted in chips",
	} {
		p, err := Parse("wax Harrow Soy\nstate set\n1 " + dose)
		require.NoError(t, err, dose)
		_, err = p.Resolve(shelf)
		require.ErrorContains(t, err, "drop 1: ", dose)
		assert.ErrorContains(t, err, says, dose)
	}
}

// Doses of guides are told for a pound as often as for a kilogram. The avoirdupois
// pound is 453.59237 g and the ounce a sixteenth of it, 28.349523125 g (NIST Handbook
// 44, appendix C), so 1 oz in 1 lb is 62.5 g in 1 kg.
func TestDosesForAPoundAndInFractions(t *testing.T) {
	shelf := []wax.Dye{{Name: "Bracken", Form: wax.Chip, UnitMassG: 0.5}, {Name: "Sorrel", Form: wax.Liquid, UnitMassG: 0.03}, {Name: "Foxglove 7", Form: wax.Powder}}
	for text, want := range map[string]float64{
		"Bracken 1 oz/lb": 62.5, "Foxglove 7 2 g/lb": 2000 / 453.59237, "foxglove 7 1/2 g/kg": 0.5,
		"Bracken 1 chip/lb": 500 / 453.59237, "Bracken 1 1/2 chips/lb": 750 / 453.59237, "Bracken 1/4 chip/kg": 0.125,
		"Sorrel 10 Drops/lb": 300 / 453.59237, "Sorrel 10drops/lb": 300 / 453.59237,
	} {
		parts, err := ParseDose(text)
		require.NoError(t, err, text)
		recipe, _, err := ResolveDose(parts, shelf)
		if strings.HasPrefix(text, "foxglove 7 1/2") {
			assert.ErrorContains(t, err, "did you mean", "7 1/2 is a number, so the name must say which")
			continue
		}
		require.NoError(t, err, text)
		assert.InEpsilon(t, want, recipe[0].DoseGPerKg, 1e-12, text)
		written, err := ParseDose(FormatDose(parts))
		require.NoError(t, err, text)
		assert.Equal(t, parts, written, "kept as it was written")
	}
	for _, text := range []string{"Bracken 1/0 chips/lb", "Bracken 3/2/1 g/kg", "Bracken 40 oz/lb", "Bracken 1 chips/oz"} {
		_, err := ParseDose(text)
		assert.Error(t, err, text)
	}
}
