package cli

import (
	"github.com/spf13/cobra"

	"setshade/internal/report"
	"setshade/internal/workshop"
)

func newBatchList(a *app) *cobra.Command {
	return &cobra.Command{
		Use:     "list",
		Short:   "List what was poured",
		Example: "  setshade batch list",
		Args:    noArguments,
		RunE: func(cmd *cobra.Command, _ []string) error {
			batches, err := ask(cmd.Context(), a, func(w *workshop.Workshop) ([]workshop.Logged, error) {
				return w.Batches(cmd.Context())
			})
			if err != nil {
				return err
			}
			if len(batches) == 0 {
				a.note("There is no batch in the log yet.\ntry: setshade batch log --help")
			}
			list := make([]loggedJSON, len(batches))
			for i, b := range batches {
				list[i] = loggedJSONOf(b)
			}
			return a.tell(map[string][]loggedJSON{"batches": list}, report.Batches(batches))
		},
	}
}
