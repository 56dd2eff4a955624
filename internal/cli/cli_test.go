package cli

import (
	"context"
	"encoding/json"
	"errors"
	"path/filepath"
	"runtime/debug"
	"strings"
	"testing"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/store"
	"setshade/internal/wax"
	"setshade/internal/workshop"
)

// bench is a command line in memory, with a store in a folder of the test.
type bench struct {
	out, err strings.Builder
	env      Env
}

func newBench(t *testing.T) *bench {
	t.Helper()
	b := &bench{}
	place := map[string]string{"SETSHADE_STORE": filepath.Join(t.TempDir(), "store.db")}
	b.env = Env{
		Stdin: strings.NewReader(""), Stdout: &b.out, Stderr: &b.err,
		Getenv:    func(key string) string { return place[key] },
		System:    "linux",
		Now:       func() time.Time { return time.Unix(0, 0) },
		OpenStore: store.Open,
	}
	return b
}

func (b *bench) run(args ...string) int {
	b.out.Reset()
	b.err.Reset()
	return Run(context.Background(), b.env, args)
}

func TestExitCodes(t *testing.T) {
	b := newBench(t)
	for _, c := range []struct {
		code int
		args []string
	}{
		{0, []string{"dye", "add", "Bracken", "--form", "chip"}},
		{0, []string{"dye", "list"}},
		{0, []string{}},
		{0, []string{"wax"}},
		{1, []string{"dye", "add", "Bracken", "--form", "chip"}},
		{1, []string{"dye", "add", "Gorse", "--form", "flakes"}},
		{1, []string{"dye", "show", "Gorse"}},
		{2, []string{"dye", "add", "Gorse"}},
		{2, []string{"dye", "add"}},
		{2, []string{"dye", "lst"}},
		{2, []string{"frobnicate"}},
		{2, []string{"dye", "list", "--frobnicate"}},
		{2, []string{"dye", "change", "Bracken", "--price", "dear"}},
		{2, []string{"completion", "fish", "fingers"}},
		{2, []string{"help", "frobnicate"}},
		{0, []string{"swatch", "list"}},
		{1, []string{"swatch", "show", "12"}},
		{2, []string{"swatch", "show", "twelve"}},
		{1, []string{"record", "nothing.jpg"}},
		{2, []string{"record"}},
		{2, []string{"record", "a.jpg", "--light", "A"}},
		{0, []string{"swatch", "reread"}},
		{2, []string{"swatch", "reread", "12"}},
		{0, []string{"card", "anchor"}},
		{1, []string{"card", "anchor", "--forget"}},
		{1, []string{"card", "reference", "nothing.csv"}},
		{2, []string{"card", "reference", "--size", "A3"}},
		{1, []string{"learn"}},
		{2, []string{"learn", "Harrow", "Soy"}},
		{1, []string{"predict", "Bracken 1 g/kg"}},
		{2, []string{"predict"}},
		{1, []string{"rescue", "--wax-mass", "800", "--dose", "Bracken 1 g/kg", "--lighter", "50"}},
		{2, []string{"rescue"}},
		{1, []string{"check", "nothing.jpg"}},
		{2, []string{"check"}},
		{1, []string{"next"}},
		{2, []string{"next", "Bracken"}},
		{1, []string{"lot", "Bracken", "--swatch", "12", "--lot", "B2"}},
		{2, []string{"lot", "Bracken"}},
		{1, []string{"match", "#d8a49b"}},
		{2, []string{"match"}},
		{2, []string{"match", "#d8a49b", "--dyes", "5"}},
		{2, []string{"match", "#d8a49b", "--answers", "0"}},
		{1, []string{"blend", "Bracken 1 g/kg x 100 g"}},
		{2, []string{"blend"}},
		{1, []string{"ladder", "undyed", "Bracken 1 g/kg"}},
		{2, []string{"ladder", "undyed"}},
		{2, []string{"ladder", "undyed", "Bracken 1 g/kg", "--steps", "1"}},
		{0, []string{"store", "check"}},
		{2, []string{"store", "check", "it"}},
		{2, []string{"store", "backup"}},
		{1, []string{"store", "export", "."}},
		{1, []string{"store", "import", "nothing"}},
	} {
		assert.Equal(t, c.code, b.run(c.args...), c.args)
		assert.Equal(t, c.code == 0, !strings.Contains(b.err.String(), "setshade: "), c.args)
		if c.code != 0 {
			assert.Empty(t, b.out.String(), c.args)
		}
	}
}

// Help, usage errors and values that cannot be never open the store.
func TestNothingIsOpenedBeforeTheCommandIsUnderstood(t *testing.T) {
	b := newBench(t)
	b.env.OpenStore = func(context.Context, string) (*store.Store, error) {
		t.Error("the store was opened")
		return nil, errors.New("closed today")
	}
	b.run("--help")
	b.run("dye", "add", "--help")
	b.run("dye", "add", "Bracken")
	b.run("dye", "add", "Bracken", "--form", "flakes")
	b.run("dye", "change", "Bracken")
	b.run("wax", "add", "Harrow Soy", "--max-load", "10")
	b.run("version")
	b.run("record", "a.jpg", "b.jpg", "--plan", "c.plan")
	b.run("swatch", "keep", "twelve")
	b.run("swatch", "list", "--state", "wet")
	b.run("learn", "--picture", "beside.jpg")
	b.run("predict")
	b.run("rescue", "--wax-mass", "800", "--lighter", "50")
	b.run("rescue", "--help")
	b.run("learn", "--plot", "curves.jpg")
	b.run("check")
	b.run("check", "pot.jpg", "--dye", "Bracken")
	b.run("next", "Bracken")
	b.run("lot", "Bracken", "--swatch", "twelve")
	b.run("match", "#d8a49b", "--batch", "0")
	b.run("match", "#d8a49b", "--tolerance", "101")
	b.run("ladder", "undyed")
	b.run("blend", "undyed x 1 g", "--load", "8")
	b.run("ladder", "undyed", "Bracken 1 g/kg", "--steps", "101")
}

func TestAStoreThatFailsIsSaid(t *testing.T) {
	b := newBench(t)
	b.run("dye", "add", "Bracken", "--form", "chip")
	b.env.OpenStore = func(context.Context, string) (*store.Store, error) { return nil, errors.New("closed today") }
	for _, verb := range []string{"list", "show", "remove"} {
		args := []string{"dye", verb, "Bracken"}
		if verb == "list" {
			args = args[:2]
		}
		assert.Equal(t, 1, b.run(args...))
		assert.Equal(t, "setshade: closed today\n", b.err.String())
	}
	for _, args := range [][]string{
		{"record", "bracken.jpg"}, {"swatch", "list"}, {"swatch", "keep", "1"}, {"learn"}, {"predict", "undyed"}, {"match", "#d8a49b"}, {"blend", "undyed x 1 g"}, {"ladder", "undyed", "Bracken 1 g/kg"},
		{"rescue", "--wax-mass", "800", "--dose", "Bracken 1 g/kg", "--lighter", "50"},
	} {
		assert.Equal(t, 1, b.run(args...), args)
		assert.Equal(t, "setshade: closed today\n", b.err.String(), args)
	}
}

func TestWithoutAHomeThePlaceMustBeSaid(t *testing.T) {
	b := newBench(t)
	b.env.Getenv = func(string) string { return "" }
	assert.Equal(t, 1, b.run("dye", "list"))
	assert.Contains(t, b.err.String(), "say where with --store")
}

func TestAStopIsSaidPlainly(t *testing.T) {
	b := newBench(t)
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	assert.Equal(t, 1, Run(ctx, b.env, []string{"dye", "add", "Bracken", "--form", "chip"}))
	assert.Equal(t, "setshade: stopped before it was done; nothing was kept of it\n", b.err.String())
}

type fullDisk struct{}

func (fullDisk) Write([]byte) (int, error) { return 0, errors.New("no space left") }

func TestAResultThatCannotBeWrittenIsAFailure(t *testing.T) {
	b := newBench(t)
	require.Equal(t, 0, b.run("dye", "add", "Bracken", "--form", "chip"))
	b.env.Stdout = fullDisk{}
	for _, args := range [][]string{{"dye", "list"}, {"dye", "show", "Bracken"}, {"dye", "list", "--json"}, {"version"}} {
		assert.Equal(t, 1, b.run(args...), args)
		assert.Contains(t, b.err.String(), "no space left", args)
	}
}

// Every command that does something has an example, and a short line in the
// same voice: a capital, no full stop.
func TestEveryCommandIsExplained(t *testing.T) {
	var visit func(*cobra.Command)
	visit = func(c *cobra.Command) {
		if c.Name() == "completion" {
			return // the library's
		}
		if c.IsAdditionalHelpTopicCommand() {
			assert.NotEmpty(t, c.Long, c.CommandPath())
			return // a page to read, that does nothing
		}
		assert.NotEmpty(t, c.Example, c.CommandPath())
		assert.Contains(t, c.Example, "setshade "+strings.TrimPrefix(strings.TrimPrefix(c.CommandPath(), "setshade"), " "))
		assert.Regexp(t, `^[A-Z].*[^.]$`, c.Short, c.CommandPath())
		for _, sub := range c.Commands() {
			visit(sub)
		}
	}
	visit(New(newBench(t).env))
}

// What stands for a value in help is plain letters, since its columns are laid out by
// bytes (pflag, FlagUsages).
func TestHelpIsLaidOut(t *testing.T) {
	var visit func(*cobra.Command)
	visit = func(c *cobra.Command) {
		if c.Name() == "completion" {
			return // the library's
		}
		c.LocalFlags().VisitAll(func(f *pflag.Flag) {
			stands, usage := pflag.UnquoteUsage(f)
			assert.Equal(t, len(stands), len([]rune(stands)), "%s --%s %s", c.CommandPath(), f.Name, stands)
			assert.NotContains(t, usage, "`", "%s --%s", c.CommandPath(), f.Name)
		})
		for _, sub := range c.Commands() {
			visit(sub)
		}
	}
	visit(New(newBench(t).env))
}

// Every command that reads photographs offers all formats that can be read.
func TestPhotographsOfAllFormatsAreOffered(t *testing.T) {
	b := newBench(t)
	for _, args := range [][]string{{"record"}, {"check"}, {"match", "#d8a49b", "--photo"}, {"card", "anchor", "--from"}} {
		require.Equal(t, 0, b.run(append(append([]string{"__complete"}, args...), "")...), args)
		for _, ending := range []string{"jpg", "jpeg", "heic", "png", "tif", "tiff"} {
			assert.Contains(t, b.out.String(), ending+"\n", args)
		}
	}
}

// One is counted as one.
func TestMovedText(t *testing.T) {
	c := store.Contents{Photos: make([]store.KeptPhoto, 1), Swatches: make([]wax.Swatch, 8)}
	assert.Equal(t, "8 swatches of 1 photograph", movedText(c))
}

// The examples in help work as they stand, in order.
func TestExamplesOfTheShelfWork(t *testing.T) {
	b := newBench(t)
	for _, group := range []string{"wax", "dye", "mould"} {
		for _, verb := range []string{"add", "list", "show", "change", "remove"} {
			cmd, _, err := New(b.env).Find([]string{group, verb})
			require.NoError(t, err)
			for _, example := range strings.Split(cmd.Example, "\n") {
				require.Equal(t, 0, b.run(shellWords(example)[1:]...), "%s: %s", example, &b.err)
			}
		}
	}
}

// shellWords splits a command at blanks outside quotes.
func shellWords(command string) []string {
	var words []string
	for i, piece := range strings.Split(command, `"`) {
		if i%2 == 1 {
			words = append(words, piece)
			continue
		}
		words = append(words, strings.Fields(piece)...)
	}
	return words
}

// A change keeps every figure that it does not name, to the last digit.
func TestChangeKeepsWhatItDoesNotName(t *testing.T) {
	full := wax.Wax{
		Name: "Harrow Soy", RefractiveIndex: 1.4371, DensityGPerML: 1. / 1.1,
		MaxLoad: wax.Load{Percent: 10, Per: wax.PerTotal}, PricePerKg: 7.25,
		Bench: wax.Bench{HeatToC: 85, AddFragranceAtC: 65, PourAtC: 60, StirMinutes: 2.5, SetHours: 3, CureHours: 48},
	}
	given := pflag.NewFlagSet("", pflag.ContinueOnError)
	blank := waxKind.usual
	waxFlags(given, &blank)
	require.NoError(t, given.Parse([]string{"--pour-at", "58,5", "--load-per", "wax"}))

	changed := full
	require.NoError(t, waxKind.apply(given, &changed))
	full.Bench.PourAtC, full.MaxLoad.Per = 58.5, wax.PerWax
	assert.Equal(t, full, changed)
}

func TestJSONIsOneObject(t *testing.T) {
	b := newBench(t)
	for _, args := range [][]string{
		{"dye", "add", "Bracken", "--form", "chip", "--json"},
		{"dye", "change", "Bracken", "--lot", "B8", "--json"},
		{"dye", "list", "--json"},
		{"wax", "list", "--json"},
		{"dye", "remove", "Bracken", "--json"},
		{"version", "--json"},
	} {
		require.Equal(t, 0, b.run(args...), args)
		var object map[string]any
		require.NoError(t, json.Unmarshal([]byte(b.out.String()), &object), args)
		assert.NotEmpty(t, object, args)
	}
}

func TestNamesThatCannotBeShownAreRefused(t *testing.T) {
	b := newBench(t)
	for _, name := range []string{"Br\x1b[31macken", "Br\tacken", "Br\xffacken"} {
		assert.Equal(t, 2, b.run("dye", "add", name, "--form", "chip"), "%q", name)
	}
	require.Equal(t, 0, b.run("dye", "add", "Gorse", "--form", "chip"))
	require.Equal(t, 0, b.run("dye", "list", "--json"))
	assert.NotContains(t, b.out.String(), "acken")
}

func TestSwatchNumbers(t *testing.T) {
	cmd := &cobra.Command{Use: "keep"}
	ids, err := numbersOf(cmd, []string{"3", "12-14", "7-7"})
	require.NoError(t, err)
	assert.Equal(t, []int64{3, 12, 13, 14, 7}, ids)
	for _, bad := range []string{"", "0", "-1", "1-", "2-1", "1-2-3", "1.5", "NaN", "99999999999999999999", "1-9999999999"} {
		_, err := numbersOf(cmd, []string{bad})
		assert.ErrorContains(t, err, "is not the number of a swatch", "%q", bad)
	}
}

// A note that many photographs share is said once.
func TestNotesOfCardsAreGathered(t *testing.T) {
	var cards []readCard
	for _, name := range []string{"a.jpg", "b.jpg", "c.jpg", "d.jpg"} {
		card := readCard{Card: workshop.Card{PhotoName: name}}
		card.Notes = []string{"no colour profile"}
		cards = append(cards, card)
	}
	cards[1].Notes = append(cards[1].Notes, "uneven light")
	assert.Equal(t, []string{"a.jpg, b.jpg, c.jpg and 1 more: no colour profile", "b.jpg: uneven light"}, cardNotes(cards))
}

func TestVersionOf(t *testing.T) {
	revision := []debug.BuildSetting{{Key: "vcs.revision", Value: "0123456789abcdef"}, {Key: "vcs.modified", Value: "true"}}
	assert.Equal(t, "v1.2.3", versionOf(&debug.BuildInfo{Main: debug.Module{Version: "v1.2.3"}}))
	assert.Equal(t, "revision 0123456789ab, changed", versionOf(&debug.BuildInfo{Main: debug.Module{Version: "(devel)"}, Settings: revision}))
	assert.Equal(t, "built from a working copy", versionOf(&debug.BuildInfo{}))
}

// What comes from elsewhere commands no terminal: neither what is typed nor the name of
// a file, in the answer or beside it.
func TestNothingForeignCommandsTheTerminal(t *testing.T) {
	b := newBench(t)
	const foreign = "card\x1b]0;owned\x07\u202egpj.jpg"
	for _, args := range [][]string{{"record", foreign}, {foreign}, {"predict", foreign}, {"store", "check", "--store", foreign}} {
		require.NotEqual(t, 0, b.run(args...), args)
		assert.NotContains(t, b.out.String()+b.err.String(), "\x1b", args)
		assert.NotContains(t, b.out.String()+b.err.String(), "\u202e", args)
	}
}
