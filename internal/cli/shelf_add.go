package cli

import (
	"fmt"

	"github.com/spf13/cobra"

	"setshade/internal/english"
	"setshade/internal/store"
)

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
