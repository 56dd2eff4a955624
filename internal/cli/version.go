package cli

import (
	"fmt"
	"io"
	"runtime/debug"

	"github.com/spf13/cobra"
)

type versionJSON struct {
	Version string `json:"version"`
}

func newVersion(a *app) *cobra.Command {
	return &cobra.Command{
		Use:     "version",
		Short:   "Say which setshade this is",
		Example: "  setshade version",
		Args:    noArguments,
		RunE: func(*cobra.Command, []string) error {
			return a.show(versionJSON{version()}, func(w io.Writer) error {
				_, err := fmt.Fprintf(w, "setshade %s\n", version())
				return err
			})
		},
	}
}

func version() string {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return "unknown"
	}
	return versionOf(info)
}

// versionOf words a build: the module's version when it was built from one,
// else the revision of the working copy and whether it was changed.
func versionOf(info *debug.BuildInfo) string {
	if v := info.Main.Version; v != "" && v != "(devel)" {
		return v
	}
	settings := map[string]string{}
	for _, s := range info.Settings {
		settings[s.Key] = s.Value
	}
	revision := settings["vcs.revision"]
	if revision == "" {
		return "built from a working copy"
	}
	text := "revision " + revision[:min(12, len(revision))]
	if settings["vcs.modified"] == "true" {
		text += ", changed"
	}
	return text
}
