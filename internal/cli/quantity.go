package cli

import (
	"fmt"
	"strconv"

	"github.com/spf13/pflag"

	"setshade/internal/units"
)

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
