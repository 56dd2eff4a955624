package cli

import (
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"setshade/internal/store"
)

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
