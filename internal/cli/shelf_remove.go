package cli

import (
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"setshade/internal/store"
)

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
