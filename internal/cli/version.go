package cli

import (
	_ "embed"
	"fmt"
	"io"
	"runtime"
	"runtime/debug"
	"strings"

	"github.com/spf13/cobra"
)

const versionLong = `Say which setshade this is, and how it was built; with --licences, what it is made
of and on what terms.`

// licences name all that is linked into the program.
//
//go:generate go test -run TestLicences -update
//go:embed licences.txt
var licences string

type versionJSON struct {
	Version string `json:"version"`
	// Go is the version of the compiler.
	Go string `json:"go"`
	// System is the operating system and the processor.
	System string `json:"system"`
	// Flags are those of the build that change the program.
	Flags []string `json:"flags"`
}

type licencesJSON struct {
	Licences string `json:"licences"`
}

func newVersion(a *app) *cobra.Command {
	var terms bool
	cmd := &cobra.Command{
		Use:     "version",
		Short:   "Say which setshade this is",
		Long:    versionLong,
		Example: "  setshade version\n  setshade version --licences",
		Args:    noArguments,
		RunE: func(*cobra.Command, []string) error {
			if terms {
				return a.tell(licencesJSON{licences}, licences)
			}
			j := versionJSON{version(), runtime.Version(), runtime.GOOS + "/" + runtime.GOARCH, flagsOf(buildSettings())}
			return a.show(j, func(w io.Writer) error {
				_, err := fmt.Fprintf(w, "setshade %s\n%s\n", j.Version, strings.Join(append([]string{j.Go, j.System}, j.Flags...), " "))
				return err
			})
		},
	}
	cmd.Flags().BoolVar(&terms, "licences", false, "print the licences of all that is built in")
	return cmd
}

func buildSettings() []debug.BuildSetting {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return nil
	}
	return info.Settings
}

// flagsOf keeps the settings of a build that change what is built.
func flagsOf(settings []debug.BuildSetting) []string {
	flags := []string{}
	for _, s := range settings {
		switch s.Key {
		case "-tags", "-trimpath", "-race", "-ldflags", "CGO_ENABLED":
			flags = append(flags, s.Key+"="+s.Value)
		}
	}
	return flags
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
