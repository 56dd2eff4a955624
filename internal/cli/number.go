package cli

import (
	"fmt"
	"strconv"

	"github.com/spf13/pflag"

	"setshade/internal/plan"
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
