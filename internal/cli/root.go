package cli

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"

	"github.com/spf13/cobra"

	"setshade/internal/english"
	"setshade/internal/report"
	"setshade/internal/store"
	"setshade/internal/workshop"
)

const rootLong = `setshade predicts the set shade of dyed white wax.

Drip test drops of a dye at several doses on white card, let them set, and
photograph the card. setshade keeps the drops as swatches, learns from them what
each dye does, predicts the shade of a dose with its interval, and says how to
rescue a batch that came out too dark, too pale or off in hue.

Results go to standard output, everything else to standard error. With --json a
result is one JSON object with stable field names, which setshade help json tells;
a figure that is not recorded is null. Blocks of colour are left out when NO_COLOR is set. A picture, sheet,
card or report is written over another file only with --replace.

The store is one file, and a folder of photographs beside it. Its place is, in
this order: --store, the environment variable SETSHADE_STORE, the system's usual
folder for a program's data.

Exit codes: 0 done, 1 refused or failed, 2 the command was not understood.`

// app is what all commands share: the world, and the flags given to any of
// them.
type app struct {
	env       Env
	storePath string
	json      bool
}

// New builds the tree of commands on an Env. It opens nothing.
func New(env Env) *cobra.Command {
	a := &app{env: env}
	root := newGroup("setshade", "Predict the set shade of dyed wax", "")
	root.Long = rootLong
	help := root.RunE
	root.RunE = func(cmd *cobra.Command, args []string) error {
		if !env.StdoutIsTerminal || a.json {
			return help(cmd, args)
		}
		return a.stand(cmd.Context())
	}
	root.Example = `  setshade wax add "Harrow Soy" --density 0.9 --heat-to 85
  setshade dye add "Bracken" --form chip --unit-mass 2.5
  setshade record bracken.jpg
  setshade learn "Harrow Soy"
  setshade predict "Bracken 0.5 g/kg"
  setshade rescue --wax-mass 800 --dose "Bracken 5 g/kg" --lighter 50`
	root.SilenceErrors, root.SilenceUsage = true, true
	root.SetIn(env.Stdin)
	root.SetOut(env.Stdout)
	root.SetErr(env.Stderr)
	root.SetFlagErrorFunc(flagError)
	root.PersistentFlags().StringVar(&a.storePath, "store", "", "`file` of the store (else SETSHADE_STORE, else the usual place)")
	root.PersistentFlags().BoolVar(&a.json, "json", false, "show the result as JSON")
	root.Version = version()
	root.SetVersionTemplate("setshade {{.Version}}\n")
	root.AddCommand(
		newWax(a),
		newDye(a),
		newMould(a),
		newCard(a),
		newRecord(a),
		newSwatch(a),
		newLearn(a),
		newNext(a),
		newPredict(a),
		newCheck(a),
		newRescue(a),
		newLot(a),
		newMatch(a),
		newLadder(a),
		newBlend(a),
		newBatch(a),
		newReport(a),
		newStock(a),
		newUndo(a),
		newStore(a),
		newServe(a),
		newDemo(a),
		newVersion(a),
		newHowTo(),
		newHelpJSON(),
	)
	root.SetHelpCommand(newHelp(root))
	addCompletion(root)
	return root
}

// Run runs one command and returns the exit code of the process.
func Run(ctx context.Context, env Env, args []string) (code int) {
	out, side := report.NewScreen(env.Stdout), report.NewScreen(env.Stderr)
	env.Stdout, env.Stderr = out, side
	defer func() {
		if err := errors.Join(out.Flush(), side.Flush()); err != nil {
			code = max(code, exitFailed)
		}
	}()
	root := New(env)
	root.SetArgs(args)
	err := root.ExecuteContext(ctx)
	if err != nil {
		asJSON, _ := root.PersistentFlags().GetBool("json")
		sayError(env.Stderr, err, asJSON)
	}
	return exitCode(err)
}

// newGroup makes a command that only holds others.
func newGroup(name, short, example string) *cobra.Command {
	return &cobra.Command{
		Use:     name,
		Short:   short,
		Example: example,
		Args:    noUnknownCommand,
		RunE:    func(cmd *cobra.Command, _ []string) error { return cmd.Help() },
	}
}

// stand says where the maker stands and what to do next. It makes no store.
func (a *app) stand(ctx context.Context) error {
	path, err := a.path()
	if err != nil {
		return err
	}
	stands := workshop.Outlook{Has: "nothing yet", Next: [][2]string{{`setshade wax add "Harrow Soy"`, "begins it with your wax, by its own name"}}}
	if info, err := os.Stat(path); err == nil && info.Size() > 0 {
		if stands, err = ask(ctx, a, func(w *workshop.Workshop) (workshop.Outlook, error) { return w.Stand(ctx) }); err != nil {
			return err
		}
	}
	return a.tell(nil, report.Standing(path, stands))
}

// path returns the place of the store.
func (a *app) path() (string, error) {
	if a.storePath != "" {
		return a.storePath, nil
	}
	if path := a.env.Getenv("SETSHADE_STORE"); path != "" {
		return path, nil
	}
	if a.env.Home == "" {
		return "", errors.New("the system names no home folder to keep the store in; say where with --store")
	}
	return store.DefaultPath(a.env.Getenv, a.env.Home, a.env.System), nil
}

// withStore opens the store that is there for one piece of work and closes it
// after. A mistyped place makes no empty store: only what begins a store may.
func (a *app) withStore(ctx context.Context, do func(*store.Store) error) error {
	path, err := a.path()
	if err != nil {
		return err
	}
	info, err := os.Stat(path)
	if err == nil && info.Mode().IsRegular() && info.Size() == 0 {
		return fmt.Errorf("the store %s is an empty file, with nothing in it; put back a copy of it, or begin one there: setshade wax add \"Harrow Soy\"", path)
	}
	if errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("there is no store at %s; check --store and SETSHADE_STORE, or begin one: setshade wax add \"Harrow Soy\"", path)
	}
	return a.withNewStore(ctx, do)
}

// withNewStore is withStore that makes the store where there is none.
func (a *app) withNewStore(ctx context.Context, do func(*store.Store) error) (err error) {
	path, err := a.path()
	if err != nil {
		return err
	}
	s, err := a.env.OpenStore(ctx, path)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, s.Close()) }()
	if apart := s.KeptApart(); len(apart) > 0 {
		a.notes([]string{fmt.Sprintf("names that read like another were given a number, and what was learned with them is to be learned again: %s; change them as you like", english.And(apart))})
	}
	a.notes(s.Doubted())
	return do(s)
}

// withWorkshop opens the store for one use case.
func (a *app) withWorkshop(ctx context.Context, do func(*workshop.Workshop) error) error {
	return a.withStore(ctx, func(s *store.Store) error {
		return do(&workshop.Workshop{Store: s, Now: a.env.Now})
	})
}

// ask opens the store for one question, and returns the answer.
func ask[T any](ctx context.Context, a *app, question func(*workshop.Workshop) (T, error)) (answer T, err error) {
	err = a.withWorkshop(ctx, func(w *workshop.Workshop) (err error) {
		answer, err = question(w)
		return err
	})
	return answer, err
}

// show writes a result: as JSON when it was asked for, else as text.
func (a *app) show(asJSON any, text func(w io.Writer) error) error {
	if a.json {
		return writeJSON(a.env.Stdout, asJSON)
	}
	return text(a.env.Stdout)
}

// tell is show for a text that is ready.
func (a *app) tell(asJSON any, text string) error {
	return a.show(asJSON, func(w io.Writer) error {
		_, err := io.WriteString(w, text)
		return err
	})
}

// notes says remarks beside a result, each on lines of its own; JSON holds them
// itself.
func (a *app) notes(remarks []string) {
	if a.json {
		return
	}
	for _, r := range remarks {
		io.WriteString(a.env.Stderr, report.Wrap("note: ", r))
	}
}

// progress starts a progress line.
func (a *app) progress() *report.Progress {
	return report.NewProgress(a.env.Stderr, a.env.StderrIsTerminal, a.env.Now)
}

// note says something beside the result.
func (a *app) note(format string, args ...any) {
	fmt.Fprintf(a.env.Stderr, format+"\n", args...)
}

// colours is what the terminal of the result can show.
func (a *app) colours() report.Colours {
	return report.ColoursOf(a.env.Getenv, a.env.StdoutIsTerminal)
}
