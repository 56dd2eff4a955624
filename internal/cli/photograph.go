package cli

import (
	"github.com/spf13/cobra"

	"setshade/internal/report"
)

// newHowTo is a topic of help, not a command: it has nothing to run.
func newHowTo() *cobra.Command {
	return &cobra.Command{Use: "photograph", Short: "How to photograph a card", Long: report.HowToPhotograph}
}
