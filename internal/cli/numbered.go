package cli

import (
	"context"
	"fmt"
	"strconv"

	"github.com/spf13/cobra"

	"setshade/internal/store"
	"setshade/internal/workshop"
)

// numbered is the noun of what a store keeps by number.
type numbered string

const (
	numberedBatch  numbered = "batch"
	numberedStock  numbered = "stock"
	numberedRescue numbered = "rescue"
	numberedSwatch numbered = "swatch"
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

// command makes a command on one of them.
func (n numbered) command(name, short, long string, run func(cmd *cobra.Command, number int64) error) *cobra.Command {
	return &cobra.Command{
		Use: name + " NUMBER", Short: short, Long: long, Example: fmt.Sprintf("  setshade %s %s 3", n, name),
		Args: n.one, ValidArgsFunction: cobra.NoFileCompletions,
		RunE: func(cmd *cobra.Command, args []string) error {
			number, err := n.number(cmd, args[0])
			if err != nil {
				return err
			}
			return run(cmd, number)
		},
	}
}

// remove makes the command that removes one of them.
func (n numbered) remove(a *app, short, long string, do func(*store.Store, context.Context, int64) error) *cobra.Command {
	long += " Its number is\nnot given again; setshade undo brings it back."
	return n.command("remove", short, long, func(cmd *cobra.Command, number int64) error {
		if err := a.withStore(cmd.Context(), func(s *store.Store) error { return do(s, cmd.Context(), number) }); err != nil {
			return err
		}
		return a.tell(changedJSON{"remove", []int64{number}}, fmt.Sprintf("Removed %s %d\n", n, number))
	})
}

// listCommand makes the command that lists all of a kind; none says what to do where
// there are none.
func listCommand[T, J any](a *app, n numbered, short, plural, none string, get func(*workshop.Workshop, context.Context) ([]T, error), shape func(T) J, text func([]T) string) *cobra.Command {
	return &cobra.Command{
		Use: "list", Short: short, Example: fmt.Sprintf("  setshade %s list", n), Args: noArguments,
		RunE: func(cmd *cobra.Command, _ []string) error {
			all, err := ask(cmd.Context(), a, func(w *workshop.Workshop) ([]T, error) { return get(w, cmd.Context()) })
			if err != nil {
				return err
			}
			if len(all) == 0 {
				a.note(none)
			}
			list := make([]J, len(all))
			for i, one := range all {
				list[i] = shape(one)
			}
			return a.tell(map[string][]J{plural: list}, text(all))
		},
	}
}
