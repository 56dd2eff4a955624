package cli

import (
	"errors"
	"fmt"
	"io"
	"os"
	"strings"
	"unicode"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"setshade/internal/english"
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

func (k kind[T]) newAdd(a *app) *cobra.Command {
	e := k.usual
	cmd := &cobra.Command{
		Use:     "add NAME",
		Short:   fmt.Sprintf("Put a %s on the shelf", k.noun),
		Example: fmt.Sprintf("  setshade %s add %q %s", k.noun, k.example, k.exampleAdd),
		Args:    oneName(k.noun, k.example),
		RunE: func(cmd *cobra.Command, args []string) error {
			name, err := cleanName(k.noun, args[0])
			if err != nil {
				return err
			}
			*k.name(&e) = name
			if err := k.hasNeeds(cmd, name); err != nil {
				return err
			}
			if err := k.checked(cmd, e); err != nil {
				return err
			}
			if err := e.Validate(); err != nil {
				return err
			}
			err = a.withNewStore(cmd.Context(), func(s *store.Store) error {
				return k.shelf(s).Add(cmd.Context(), e)
			})
			if err != nil {
				return err
			}
			return k.done(a, "Added", e)
		},
	}
	k.flags(cmd.Flags(), &e)
	k.completeChoices(cmd)
	return cmd
}

// hasNeeds refuses an entry without the flags that it needs.
func (k kind[T]) hasNeeds(cmd *cobra.Command, name string) error {
	var missing []string
	for _, flag := range k.needs {
		if !cmd.Flags().Changed(flag) {
			missing = append(missing, "--"+flag)
		}
	}
	if missing == nil {
		return nil
	}
	return &usageError{
		fmt.Sprintf("a %s needs %s", k.noun, english.And(missing)),
		fmt.Sprintf("%s %q %s", cmd.CommandPath(), name, k.exampleAdd),
	}
}

func (k kind[T]) newList(a *app) *cobra.Command {
	return &cobra.Command{
		Use:     "list",
		Short:   fmt.Sprintf("List the %s on the shelf", k.plural),
		Example: fmt.Sprintf("  setshade %s list\n  setshade %s list --json", k.noun, k.noun),
		Args:    noArguments,
		RunE: func(cmd *cobra.Command, _ []string) error {
			var entries []T
			var path string
			err := a.withStore(cmd.Context(), func(s *store.Store) (err error) {
				path = s.Path()
				entries, err = k.shelf(s).List(cmd.Context())
				return err
			})
			if err != nil {
				return err
			}
			if len(entries) == 0 {
				a.note("There are no %s yet in the store %s.\ntry: setshade %s add %q %s", k.plural, path, k.noun, k.example, k.exampleAdd)
			}
			return a.show(k.listJSON(entries), func(w io.Writer) error { return k.writeList(w, entries) })
		},
	}
}

func (k kind[T]) listJSON(entries []T) any {
	list := make([]any, len(entries))
	for i, e := range entries {
		list[i] = k.json(e)
	}
	return map[string][]any{k.plural: list}
}

// writeList writes a table, and nothing when there is nothing to list.
func (k kind[T]) writeList(w io.Writer, entries []T) error {
	if len(entries) == 0 {
		return nil
	}
	table := report.NewTable(k.columns...)
	for _, e := range entries {
		table.Row(k.row(e)...)
	}
	return table.Write(w)
}

func (k kind[T]) newShow(a *app) *cobra.Command {
	return &cobra.Command{
		Use:               "show NAME",
		Short:             fmt.Sprintf("Show everything known of a %s", k.noun),
		Example:           fmt.Sprintf("  setshade %s show %q", k.noun, k.example),
		Args:              oneName(k.noun, k.example),
		ValidArgsFunction: k.completeNames(a),
		RunE: func(cmd *cobra.Command, args []string) error {
			var e T
			err := a.withStore(cmd.Context(), func(s *store.Store) (err error) {
				e, err = k.shelf(s).Get(cmd.Context(), args[0])
				return err
			})
			if err != nil {
				return err
			}
			return a.show(k.json(e), func(w io.Writer) error { return k.sheet(w, e) })
		},
	}
}

func (k kind[T]) newChange(a *app) *cobra.Command {
	var rename string
	cmd := &cobra.Command{
		Use:               "change NAME",
		Short:             fmt.Sprintf("Change a %s, and leave alone what is not said", k.noun),
		Example:           fmt.Sprintf("  setshade %s change %q %s", k.noun, k.example, k.exampleChange),
		Args:              oneName(k.noun, k.example),
		ValidArgsFunction: k.completeNames(a),
		RunE: func(cmd *cobra.Command, args []string) error {
			if cmd.Flags().NFlag() == 0 {
				return &usageError{"nothing to change was said", fmt.Sprintf("%s %q %s", cmd.CommandPath(), args[0], k.exampleChange)}
			}
			rename, err := cleanName(k.noun, rename)
			if err != nil {
				return err
			}
			var e T
			err = a.withStore(cmd.Context(), func(s *store.Store) error {
				shelf := k.shelf(s)
				if e, err = shelf.Get(cmd.Context(), args[0]); err != nil {
					return err
				}
				if err := k.apply(cmd.Flags(), &e); err != nil {
					return err
				}
				if cmd.Flags().Changed("name") {
					*k.name(&e) = rename
				}
				if err := k.checked(cmd, e); err != nil {
					return err
				}
				if k.update != nil {
					return k.update(cmd, s, args[0], e)
				}
				return shelf.Update(cmd.Context(), args[0], e)
			})
			if err != nil {
				return err
			}
			return k.done(a, "Changed", e)
		},
	}
	blank := k.usual
	k.flags(cmd.Flags(), &blank)
	cmd.Flags().StringVar(&rename, "name", "", fmt.Sprintf("new `name` of the %s", k.noun))
	k.completeChoices(cmd)
	return cmd
}

// apply sets in e what the flags given say: it binds the same flags to e and
// hands on the value of each that was given.
func (k kind[T]) apply(given *pflag.FlagSet, e *T) error {
	bound := pflag.NewFlagSet("", pflag.ContinueOnError)
	k.flags(bound, e)
	var failed error
	given.Visit(func(f *pflag.Flag) {
		if bound.Lookup(f.Name) != nil {
			failed = errors.Join(failed, bound.Set(f.Name, f.Value.String()))
		}
	})
	return failed
}

type removedJSON struct {
	Removed string `json:"removed"`
}

func (k kind[T]) newRemove(a *app) *cobra.Command {
	return &cobra.Command{
		Use:               "remove NAME",
		Short:             fmt.Sprintf("Take a %s off the shelf", k.noun),
		Example:           fmt.Sprintf("  setshade %s remove %q", k.noun, k.example),
		Args:              oneName(k.noun, k.example),
		ValidArgsFunction: k.completeNames(a),
		RunE: func(cmd *cobra.Command, args []string) error {
			var name string
			err := a.withStore(cmd.Context(), func(s *store.Store) error {
				e, err := k.shelf(s).Get(cmd.Context(), args[0])
				if err != nil {
					return err
				}
				name = *k.name(&e)
				return k.shelf(s).Remove(cmd.Context(), name)
			})
			if err != nil {
				return err
			}
			return a.show(removedJSON{name}, func(w io.Writer) error {
				_, err := fmt.Fprintf(w, "Removed %s %s\n", k.noun, name)
				return err
			})
		},
	}
}
