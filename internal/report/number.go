package report

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"setshade/internal/spectrum"
)

// Grams writes a mass: to 0.1 g from 10 g up, to 0.01 g below.
func Grams(g float64) string {
	decimals := 1
	if math.Abs(g) < 9.995 {
		decimals = 2
	}
	return fixed(g, decimals) + " g"
}

// Dose writes g of dye per kg of undyed wax to three significant digits.
func Dose(gPerKg float64) string { return significant(gPerKg, 3) + " g/kg" }

// DE00 writes a colour difference to 0.1.
func DE00(d float64) string { return fixed(d, 1) }

// LabText writes a colour's coordinates to 0.1.
func LabText(c spectrum.Lab) string {
	return fmt.Sprintf("L* %s a* %s b* %s", fixed(c.L, 1), fixed(c.A, 1), fixed(c.B, 1))
}

// Quantity writes a figure as it was recorded, with its unit and up to six
// significant digits; "not recorded" for 0, which stands for a figure nobody
// gave.
func Quantity(v float64, unit string) string {
	if v == 0 {
		return "not recorded"
	}
	return strings.TrimSpace(significant(v, 6) + " " + unit)
}

// fixed writes a number with so many decimals, and never "-0.0".
func fixed(v float64, decimals int) string {
	s := strconv.FormatFloat(v, 'f', decimals, 64)
	if strings.Trim(s, "-0.") == "" {
		s = strings.TrimPrefix(s, "-")
	}
	return s
}

// significant writes so many significant digits, all digits before the point,
// and no zeros at the end.
func significant(v float64, digits int) string {
	decimals := 0
	if v != 0 {
		decimals = digits - 1 - int(math.Floor(math.Log10(math.Abs(v))))
	}
	s := fixed(v, min(max(decimals, 0), 9))
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	return s
}
