package cli

import (
	"context"
	"errors"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"setshade/internal/plaintext"
	"setshade/internal/report"
	"setshade/internal/workshop"
)

// The exit codes, as the help of the root command tells them.
const (
	exitDone   = 0
	exitFailed = 1
	exitUsage  = 2
)

// usageError is a command that was not understood.
type usageError struct {
	sentence string
	// try is the corrected command, or the one that helps.
	try string
}

func (e *usageError) Error() string { return e.sentence }

func exitCode(err error) int {
	var usage *usageError
	switch {
	case err == nil:
		return exitDone
	case errors.As(err, &usage):
		return exitUsage
	}
	return exitFailed
}

// failureJSON is the shape of an error in JSON, on standard error: what is wrong, what to
// do about it, and what to try.
type failureJSON struct {
	Error string `json:"error"`
	Do    string `json:"do" zero:"null"`
	Try   string `json:"try" zero:"null"`
}

func failureJSONOf(err error) failureJSON {
	if errors.Is(err, context.Canceled) {
		err = errors.New("stopped before it was done; nothing was kept of it")
	}
	advice := workshop.Advice(err)
	f := failureJSON{Error: strings.TrimSuffix(err.Error(), "; "+advice), Do: advice}
	var (
		mixed    *workshop.MixedUp
		excluded *workshop.Excluded
		unlike   *workshop.NotAsPlanned
		moving   *workshop.MovingDoses
		usage    *usageError
	)
	switch {
	case errors.As(err, &mixed):
		f.Try = "--as-planned, only if the plan is right as it stands"
	case errors.As(err, &excluded):
		f.Try = "--believe dose, or --believe drop"
	case errors.As(err, &unlike):
		f.Try = "--as-weighed, if it was truly so"
	case errors.As(err, &moving):
		f.Try = "--doses follow, or --doses stay"
	case errors.As(err, &usage):
		f.Try = usage.try
	}
	return f
}

// sayError writes the error, and on a line of its own what a refused photograph
// needs, or the command to try; as JSON where results are.
func sayError(w io.Writer, err error, asJSON bool) {
	f := failureJSONOf(err)
	if asJSON {
		writeJSON(w, f)
		return
	}
	fmt.Fprintf(w, "setshade: %s\n", f.Error)
	if f.Do != "" {
		io.WriteString(w, report.Wrap("", f.Do))
	}
	if f.Try != "" {
		fmt.Fprintf(w, "try: %s\n", f.Try)
	}
}

// helpOf is the command that explains cmd.
func helpOf(cmd *cobra.Command) string { return cmd.CommandPath() + " --help" }

// flagError words what pflag found wrong.
func flagError(cmd *cobra.Command, err error) error {
	var unknown *pflag.NotExistError
	if errors.As(err, &unknown) {
		return unknownFlag(cmd, unknown)
	}
	var invalid *pflag.InvalidValueError
	if errors.As(err, &invalid) {
		return &usageError{fmt.Sprintf("--%s: %s", invalid.GetFlag().Name, invalid.Unwrap()), helpOf(cmd)}
	}
	var bare *pflag.ValueRequiredError
	if errors.As(err, &bare) {
		return &usageError{fmt.Sprintf("--%s needs a value", bare.GetSpecifiedName()), helpOf(cmd)}
	}
	return &usageError{err.Error(), helpOf(cmd)}
}

func unknownFlag(cmd *cobra.Command, err *pflag.NotExistError) error {
	if err.GetSpecifiedShortnames() != "" {
		return &usageError{fmt.Sprintf("%s has no flag -%s", cmd.CommandPath(), err.GetSpecifiedName()), helpOf(cmd)}
	}
	name := err.GetSpecifiedName()
	var known []string
	cmd.Flags().VisitAll(func(f *pflag.Flag) { known = append(known, f.Name) })
	if near := plaintext.Nearest(name, known); near != "" {
		return &usageError{fmt.Sprintf("there is no flag --%s; did you mean --%s?", name, near), helpOf(cmd)}
	}
	return &usageError{fmt.Sprintf("%s has no flag --%s", cmd.CommandPath(), name), helpOf(cmd)}
}

// noUnknownCommand refuses arguments of a command that only holds others.
func noUnknownCommand(cmd *cobra.Command, args []string) error {
	if len(args) == 0 {
		return nil
	}
	var known []string
	for _, c := range cmd.Commands() {
		known = append(known, c.Name())
	}
	sentence := fmt.Sprintf("there is no command \"%s %s\"", cmd.CommandPath(), args[0])
	if near := plaintext.Nearest(args[0], known); near != "" {
		return &usageError{sentence, cmd.CommandPath() + " " + near}
	}
	return &usageError{sentence, helpOf(cmd)}
}

// oneName wants exactly one name, and shows how to quote several words.
func oneName(noun, example string) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		switch len(args) {
		case 1:
			return nil
		case 0:
			return &usageError{fmt.Sprintf("name the %s", noun), fmt.Sprintf("%s %q", cmd.CommandPath(), example)}
		}
		return &usageError{
			fmt.Sprintf("one %s at a time; put quotes around a name of several words", noun),
			fmt.Sprintf("%s %q", cmd.CommandPath(), strings.Join(args, " ")),
		}
	}
}

// noArguments wants none.
func noArguments(cmd *cobra.Command, args []string) error {
	if len(args) > 0 {
		return &usageError{fmt.Sprintf("%s takes no argument and got %q", cmd.CommandPath(), args[0]), cmd.CommandPath()}
	}
	return nil
}
