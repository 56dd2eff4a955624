package cli

import (
	"fmt"
	"io"
	"os"
	"strings"
	"unicode"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"setshade/internal/plaintext"
	"setshade/internal/report"
	"setshade/internal/store"
)

// entry is what stands on a shelf.
type entry interface{ Validate() error }

// kind says what is particular to waxes, dyes or moulds, for the commands that
// all of them share.
type kind[T entry] struct {
	noun, plural string
	// example names an entry of the demo's workshop; exampleAdd and
	// exampleChange are flags that add and change it.
	example, exampleAdd, exampleChange string
	// usual is an entry of which nothing has been given yet.
	usual T
	name  func(*T) *string
	shelf func(*store.Store) *store.Shelf[T]
	// update puts a changed entry in the place of the one of a name; nil for the
	// shelf's own way.
	update func(cmd *cobra.Command, s *store.Store, name string, e T) error
	// flags binds the flags that describe an entry; a flag that is not given
	// leaves its field alone.
	flags func(*pflag.FlagSet, *T)
	// needs are the flags that adding cannot do without.
	needs []string
	// check finds what is unclear in the flags given; nil when nothing can be.
	check func(T) error
	// choices are the values of flags that have few.
	choices map[string][]string

	columns []report.Column
	row     func(T) []string
	// sheet writes everything known of one entry.
	sheet func(w io.Writer, e T) error
	json  func(T) any
}

// checked reports what is unclear in an entry as the flags gave it, with the
// help of cmd to try.
func (k kind[T]) checked(cmd *cobra.Command, e T) error {
	if k.check == nil {
		return nil
	}
	if err := k.check(e); err != nil {
		return &usageError{err.Error(), helpOf(cmd)}
	}
	return nil
}

// done shows an entry after something was done with it.
func (k kind[T]) done(a *app, verb string, e T) error {
	return a.show(k.json(e), func(w io.Writer) error {
		_, err := fmt.Fprintf(w, "%s %s %s\n", verb, k.noun, *k.name(&e))
		return err
	})
}

// completeNames offers the names on the shelf as the only argument.
func (k kind[T]) completeNames(a *app) cobra.CompletionFunc {
	return func(cmd *cobra.Command, args []string, typed string) ([]cobra.Completion, cobra.ShellCompDirective) {
		if len(args) > 0 {
			return nil, cobra.ShellCompDirectiveNoFileComp
		}
		return k.offerNames(a)(cmd, args, typed)
	}
}

// offerNames offers the names on the shelf. It never makes a store.
func (k kind[T]) offerNames(a *app) cobra.CompletionFunc {
	return func(cmd *cobra.Command, _ []string, _ string) ([]cobra.Completion, cobra.ShellCompDirective) {
		path, err := a.path()
		if err != nil {
			return nil, cobra.ShellCompDirectiveNoFileComp
		}
		if _, err := os.Stat(path); err != nil {
			return nil, cobra.ShellCompDirectiveNoFileComp
		}
		var names []cobra.Completion
		err = a.withStore(cmd.Context(), func(s *store.Store) error {
			entries, err := k.shelf(s).List(cmd.Context())
			for _, e := range entries {
				names = append(names, *k.name(&e))
			}
			return err
		})
		if err != nil {
			return nil, cobra.ShellCompDirectiveError
		}
		return names, cobra.ShellCompDirectiveNoFileComp
	}
}

// completeChoices offers the values of flags that have few.
func (k kind[T]) completeChoices(cmd *cobra.Command) {
	for flag, values := range k.choices {
		completeFlag(cmd, flag, cobra.FixedCompletions(values, cobra.ShellCompDirectiveNoFileComp))
	}
}

// cleanName joins the words of a name with single blanks, as plan files read
// them, and refuses characters that cannot be seen.
func cleanName(noun, name string) (string, error) {
	if strings.ContainsFunc(name, unseen) {
		return "", &usageError{sentence: fmt.Sprintf("the name of the %s has a character that cannot be shown; type it again", noun)}
	}
	return strings.Join(strings.Fields(name), " "), nil
}

func unseen(r rune) bool { return plaintext.IsHidden(r) || r == unicode.ReplacementChar }
