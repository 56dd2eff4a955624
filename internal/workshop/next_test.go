package workshop

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"setshade/internal/plan"
	"setshade/internal/wax"
)

// Doses that a bench can measure out: quarters of a chip, whole drops, tidy
// grams (common practice, no source).
func TestPracticalDoses(t *testing.T) {
	chip := wax.Dye{Name: "Bracken", Form: wax.Chip, UnitMassG: 0.5}
	liquid := wax.Dye{Name: "Sorrel", Form: wax.Liquid, UnitMassG: 0.03}
	powder := wax.Dye{Name: "Foxglove", Form: wax.Powder}
	unweighed := wax.Dye{Name: "Gorse", Form: wax.Chip}
	for _, c := range []struct {
		dye    wax.Dye
		gPerKg float64
		want   string
	}{
		{chip, 0.6, "Bracken 1.25 chips/kg"},
		{chip, 0.01, "Bracken 0.25 chips/kg"},
		{liquid, 0.37, "Sorrel 12 drops/kg"},
		{liquid, 0.001, "Sorrel 1 drops/kg"},
		{powder, 0.31, "Foxglove 0.3 g/kg"},
		{powder, 0.0096, "Foxglove 0.01 g/kg"},
		{powder, 1.13, "Foxglove 1.2 g/kg"},
		{powder, 47, "Foxglove 50 g/kg"},
		{unweighed, 0.6, "Gorse 0.6 g/kg"},
	} {
		assert.Equal(t, c.want, plan.FormatDose([]plan.Amount{practical(c.dye, c.gPerKg)}))
	}
}
