package cli

import "github.com/spf13/cobra"

// newHelp explains a command. Unlike the library's own it fails on one that is
// not there.
func newHelp(root *cobra.Command) *cobra.Command {
	return &cobra.Command{
		Use:     "help [COMMAND]",
		Short:   "Explain a command",
		Example: "  setshade help dye add",
		RunE: func(_ *cobra.Command, args []string) error {
			cmd, rest, err := root.Find(args)
			if err != nil {
				return noUnknownCommand(root, args)
			}
			if err := noUnknownCommand(cmd, rest); err != nil {
				return err
			}
			cmd.InitDefaultHelpFlag()
			return cmd.Help()
		},
	}
}
