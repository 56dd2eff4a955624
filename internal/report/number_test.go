package report

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"setshade/internal/spectrum"
)

// The digits are those of the rules of speech in the package comment.
func TestNumbersAreWrittenToWorkshopDigits(t *testing.T) {
	for want, got := range map[string]string{
		"1234.6 g":                Grams(1234.56),
		"10.0 g":                  Grams(9.996),
		"9.99 g":                  Grams(9.994),
		"0.25 g":                  Grams(0.25),
		"0.00 g":                  Grams(-0.001),
		"0.125 g/kg":              Dose(0.125),
		"0.333 g/kg":              Dose(1. / 3),
		"2 g/kg":                  Dose(2),
		"12.5 g/kg":               Dose(12.5),
		"0.0004 g/kg":             Dose(0.0004),
		"1000 g/kg":               Dose(1000),
		"1.4":                     DE00(1.449),
		"0.0":                     DE00(0.04),
		"L* 80.1 a* 3.2 b* 0.0":   LabText(spectrum.Lab{L: 80.12, A: 3.16, B: -0.04}),
		"not recorded":            Quantity(0, "°C"),
		"60 °C":                   Quantity(60, "°C"),
		"1.44 (refractive index)": Quantity(1.44, "(refractive index)"),
		"-12.34 pence":            Quantity(-12.34, "pence"),
		"412.5 ml":                Quantity(412.5, "ml"),
		"171.6 ml":                Quantity(12*14.3, "ml"),
		"1.44":                    Quantity(1.44, ""),
	} {
		assert.Equal(t, want, got)
	}
}
