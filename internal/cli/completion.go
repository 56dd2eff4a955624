package cli

import "github.com/spf13/cobra"

// addCompletion adds the library's commands that write completion scripts for
// shells, and makes them refuse arguments as ours do.
func addCompletion(root *cobra.Command) {
	root.InitDefaultCompletionCmd()
	group, _, err := root.Find([]string{"completion"})
	if err != nil {
		panic("cli: " + err.Error())
	}
	group.Short = "Write a completion script for your shell"
	group.Example = "  setshade completion bash > ~/.local/share/bash-completion/completions/setshade"
	group.Args = noUnknownCommand
	group.RunE = func(cmd *cobra.Command, _ []string) error { return cmd.Help() }
	for _, shell := range group.Commands() {
		shell.Args = noArguments
	}
}

// completeFlag says what to offer as the value of a flag.
func completeFlag(cmd *cobra.Command, flag string, offer cobra.CompletionFunc) {
	if err := cmd.RegisterFlagCompletionFunc(flag, offer); err != nil {
		panic("cli: " + err.Error())
	}
}

// photographFiles offers the photographs that can be read.
func photographFiles() cobra.CompletionFunc {
	return filesOf("jpg", "jpeg", "heic", "heif", "png", "tif", "tiff")
}

// filesOf offers the files with these extensions.
func filesOf(extensions ...string) cobra.CompletionFunc {
	return cobra.FixedCompletions(extensions, cobra.ShellCompDirectiveFilterFileExt)
}
