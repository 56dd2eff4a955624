package cli

import (
	"fmt"
	"strconv"

	"github.com/spf13/cobra"
)

// numbered is the noun of what a store keeps by number.
type numbered string

const (
	numberedBatch  numbered = "batch"
	numberedStock  numbered = "stock"
	numberedRescue numbered = "rescue"
)

// one wants the number of one of them, and nothing more.
func (n numbered) one(cmd *cobra.Command, args []string) error {
	switch len(args) {
	case 0:
		return &usageError{fmt.Sprintf("name the %s by its number", n), cmd.CommandPath() + " 3"}
	case 1:
		_, err := n.number(cmd, args[0])
		return err
	}
	return &usageError{fmt.Sprintf("one %s at a time", n), cmd.CommandPath() + " 3"}
}

// number reads the number of one of them.
func (n numbered) number(cmd *cobra.Command, text string) (int64, error) {
	number, err := strconv.ParseInt(text, 10, 64)
	if err != nil || number < 1 {
		return 0, &usageError{fmt.Sprintf("%q is not the number of a %s; write one like 3", text, n), cmd.CommandPath() + " 3"}
	}
	return number, nil
}
