package cli

import (
	"context"
	"io"
	"os"
	"runtime"
	"time"

	"golang.org/x/term"

	"setshade/internal/store"
)

// Env is everything a command knows of the world.
type Env struct {
	Stdin          io.Reader
	Stdout, Stderr io.Writer
	// StdoutIsTerminal and StderrIsTerminal say whether a person watches.
	StdoutIsTerminal, StderrIsTerminal bool
	Getenv                             func(string) string
	// Home is the home folder, "" when the system names none.
	Home string
	// System is the operating system as Go names it.
	System string
	Now    func() time.Time
	// OpenStore opens the store at a path and makes it when there is none.
	OpenStore func(ctx context.Context, path string) (*store.Store, error)
}

// System is the Env of this process.
func System() Env {
	home, err := os.UserHomeDir()
	if err != nil {
		home = ""
	}
	return Env{
		Stdin:            os.Stdin,
		Stdout:           os.Stdout,
		Stderr:           os.Stderr,
		StdoutIsTerminal: term.IsTerminal(int(os.Stdout.Fd())),
		StderrIsTerminal: term.IsTerminal(int(os.Stderr.Fd())),
		Getenv:           os.Getenv,
		Home:             home,
		System:           runtime.GOOS,
		Now:              time.Now,
		OpenStore:        store.Open,
	}
}
