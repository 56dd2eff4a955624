package cli

import (
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"setshade/internal/report"
	"setshade/internal/store"
)

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
