package cli

import (
	"fmt"
	"strconv"
	"strings"

	"github.com/spf13/pflag"

	"setshade/internal/photo"
	"setshade/internal/plan"
	"setshade/internal/units"
)

// number is a flag's value: a plain decimal number, with a point or a comma.
type number float64

// numberFlag adds a flag for the number at v, which keeps its value until the
// flag is given.
func numberFlag(flags *pflag.FlagSet, v *float64, name, usage string) {
	flags.Var((*number)(v), name, usage)
}

// Set implements pflag.Value.
func (n *number) Set(text string) error {
	v, err := plan.ParseNumber(text)
	if err != nil {
		return err
	}
	*n = number(v)
	return nil
}

// String implements pflag.Value; Set reads it back unchanged.
func (n *number) String() string { return strconv.FormatFloat(float64(*n), 'f', -1, 64) }

// Type implements pflag.Value; it is the placeholder in help.
func (n *number) Type() string { return "number" }

// count is a flag's value: a whole number.
type count int

// countFlag adds a flag for the count at v, which keeps its value until the
// flag is given.
func countFlag(flags *pflag.FlagSet, v *int, name, usage string) {
	flags.Var((*count)(v), name, usage)
}

// Set implements pflag.Value.
func (c *count) Set(text string) error {
	v, err := strconv.Atoi(text)
	if err != nil {
		return fmt.Errorf("%q is not a whole number; write one like 12", text)
	}
	*c = count(v)
	return nil
}

// String implements pflag.Value; Set reads it back unchanged.
func (c *count) String() string { return strconv.Itoa(int(*c)) }

// Type implements pflag.Value; it is the placeholder in help.
func (c *count) Type() string { return "count" }

// quantity is a flag's value: a mass or a volume in any unit of the bench, held
// in grams or millilitres.
type quantity struct {
	held *float64
	// in is what held counts.
	in units.Unit
	// given is what was written; the zero Quantity when nothing was.
	given units.Quantity
}

// massFlag adds a flag for the grams at g, which keep their value until the flag
// is given. A number alone is grams.
func massFlag(flags *pflag.FlagSet, g *float64, name, usage string) {
	flags.Var(&quantity{held: g, in: units.Gram}, name, usage)
}

// volumeFlag is massFlag for millilitres.
func volumeFlag(flags *pflag.FlagSet, ml *float64, name, usage string) {
	flags.Var(&quantity{held: ml, in: units.Millilitre}, name, usage)
}

// Set implements pflag.Value.
func (q *quantity) Set(text string) error {
	given, err := units.Parse(text, q.in.Dimension())
	if err != nil {
		return err
	}
	q.given, *q.held = given, given.In(q.in).Value
	return nil
}

// String implements pflag.Value; Set reads it back unchanged.
func (q *quantity) String() string {
	if q.given != (units.Quantity{}) {
		return q.given.String()
	}
	return strconv.FormatFloat(*q.held, 'f', -1, 64)
}

// Type implements pflag.Value; it is the placeholder in help.
func (q *quantity) Type() string { return string(q.in.Dimension()) }

// converted tells what each quantity given in another unit is, to the last
// digit.
func converted(flags *pflag.FlagSet) []string {
	var out []string
	flags.Visit(func(f *pflag.Flag) {
		if q, ok := f.Value.(*quantity); ok && q.given.Unit != q.in {
			out = append(out, fmt.Sprintf("--%s: %s is %s", f.Name, q.given, q.given.In(q.in)))
		}
	})
	return out
}

// placeOf reads a place of a photograph: "812,430" or "812,430,20" in pixels, or
// "40%,55%,3%" in percent of the picture.
func placeOf(text string) (photo.Place, error) {
	refused := fmt.Errorf(`%.40q is not a place of a photograph; write its middle from the upper left corner and, if you like, a radius: "812,430,20" in pixels, or "40%%,55%%,3%%" of the picture`, text)
	parts := strings.Split(text, ",")
	if len(parts) < 2 || len(parts) > 3 {
		return photo.Place{}, refused
	}
	var v [3]float64
	percents := 0
	for i, part := range parts {
		number, isPercent := strings.CutSuffix(strings.TrimSpace(part), "%")
		if isPercent {
			percents++
		}
		var err error
		if v[i], err = plan.ParseNumber(strings.TrimSpace(number)); err != nil {
			return photo.Place{}, refused
		}
	}
	if percents != 0 && percents != len(parts) {
		return photo.Place{}, refused
	}
	if len(parts) == 3 && v[2] <= 0 {
		return photo.Place{}, refused
	}
	return photo.Place{X: v[0], Y: v[1], Radius: v[2], Percent: percents > 0}, nil
}
