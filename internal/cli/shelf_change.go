package cli

import (
	"errors"
	"fmt"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"setshade/internal/store"
)

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
