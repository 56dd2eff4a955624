package cli_test

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/binary"
	"flag"
	"fmt"
	"hash/crc32"
	"image"
	"image/png"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"

	"setshade/internal/card"
	"setshade/internal/cli"
	"setshade/internal/scene"
	"setshade/internal/wax"
)

var update = flag.Bool("update", false, "rewrite the expected output in the scripts")

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){
		"setshade": setshade,
	})
}

// setshade runs a command, and holds its answer in JSON against setshade help json.
func setshade() {
	env, args := cli.System(), os.Args[1:]
	var answer bytes.Buffer
	env.Stdout = io.MultiWriter(env.Stdout, &answer)
	code := cli.Run(context.Background(), env, args)
	if slices.Contains(args, "--json") && answer.Len() > 0 && !slices.Contains(args, "serve") {
		if err := cli.Answered(args, answer.String()); err != nil {
			fmt.Fprintln(os.Stderr, err)
			code = 3
		}
	}
	os.Exit(code)
}

// TestScripts runs every script of testdata/script as a maker would type it,
// each in a folder of its own with an empty store. The photographs of Harrow
// Lane Wax, which are rendered, are in $CARDS.
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir:                 filepath.Join("..", "..", "testdata", "script"),
		UpdateScripts:       *update,
		RequireExplicitExec: true,
		RequireUniqueNames:  true,
		Cmds: map[string]func(ts *testscript.TestScript, neg bool, args []string){
			"halve": halve, "picture": picture, "newer": newer, "printed": printed, "lose": lose,
		},
		Setup: func(env *testscript.Env) error {
			cards, err := filepath.Abs(filepath.Join("..", "..", "swatches"))
			if err != nil {
				return err
			}
			env.Setenv("CARDS", cards)
			env.Setenv("SETSHADE_STORE", filepath.Join(env.WorkDir, "harrow-lane", "store.db"))
			// Under the race detector each command would sleep a second at its
			// end (go.dev/doc/articles/race_detector, atexit_sleep_ms).
			env.Setenv("GORACE", "atexit_sleep_ms=0")
			return nil
		},
	})
}

// halve FROM TO copies the first half of a file.
func halve(ts *testscript.TestScript, _ bool, args []string) {
	whole, err := os.ReadFile(ts.MkAbs(args[0]))
	ts.Check(err)
	ts.Check(os.WriteFile(ts.MkAbs(args[1]), whole[:len(whole)/2], 0o666))
}

// picture WIDTH HEIGHT FILE writes a white PNG; of one above a megapixel, the
// header alone, which is all that may be looked at (PNG specification, 11.2.1).
func picture(ts *testscript.TestScript, _ bool, args []string) {
	width, err := strconv.Atoi(args[0])
	ts.Check(err)
	height, err := strconv.Atoi(args[1])
	ts.Check(err)
	var out bytes.Buffer
	if width*height <= 1e6 {
		white := image.NewRGBA(image.Rect(0, 0, width, height))
		for i := range white.Pix {
			white.Pix[i] = 255
		}
		ts.Check(png.Encode(&out, white))
	} else {
		chunk := []byte("IHDR")
		chunk = binary.BigEndian.AppendUint32(chunk, uint32(width))
		chunk = binary.BigEndian.AppendUint32(chunk, uint32(height))
		chunk = append(chunk, 8, 2, 0, 0, 0)
		out.WriteString("\x89PNG\r\n\x1a\n\x00\x00\x00\x0d")
		out.Write(binary.BigEndian.AppendUint32(chunk, crc32.ChecksumIEEE(chunk)))
	}
	ts.Check(os.WriteFile(ts.MkAbs(args[2]), out.Bytes(), 0o666))
}

// lose PHOTOGRAPH [FILE] takes the file of a recorded photograph from the store, where
// its SHA-256 is its name, or leaves another file in its place.
func lose(ts *testscript.TestScript, _ bool, args []string) {
	content, err := os.ReadFile(ts.MkAbs(args[0]))
	ts.Check(err)
	stored := ts.MkAbs(fmt.Sprintf("harrow-lane/photos/store.db/%x", sha256.Sum256(content)))
	ts.Check(os.Remove(stored))
	if len(args) > 1 {
		other, err := os.ReadFile(ts.MkAbs(args[1]))
		ts.Check(err)
		ts.Check(os.WriteFile(stored, other, 0o600))
	}
}

// newer STORE marks a store as written by a setshade to come: SQLite keeps
// PRAGMA user_version in bytes 60 to 63 (sqlite.org/fileformat.html, 1.3).
func newer(ts *testscript.TestScript, _ bool, args []string) {
	f, err := os.OpenFile(ts.MkAbs(args[0]), os.O_RDWR, 0)
	ts.Check(err)
	_, err = f.WriteAt([]byte{0, 0, 0, 99}, 60)
	ts.Check(err)
	ts.Check(f.Close())
}

// printed KELVIN TURN FILE [PRINT] renders a photograph of Harrow Lane Wax's printed
// test card: undyed wax and three doses of one dye in the last row, half on the black
// bar. Each print after the first is from another printer. The strip's true colours go
// beside it, to strip.csv.
func printed(ts *testscript.TestScript, _ bool, args []string) {
	kelvin, err := strconv.ParseFloat(args[0], 64)
	ts.Check(err)
	turn, err := strconv.ParseFloat(args[1], 64)
	ts.Check(err)
	g, printer := card.Layout(card.A5), (*scene.Printer)(nil)
	if len(args) > 3 {
		number, err := strconv.Atoi(args[3])
		ts.Check(err)
		g, printer = card.LayoutOfPrint(card.A5, number), scene.RandomPrinter(uint64(number))
	}
	shelf := scene.RandomShelf(scene.NewWax(scene.Soy), 3, 1)
	row := []wax.Recipe{nil}
	for _, dose := range []float64{0.1, 0.4, 1.5} {
		row = append(row, wax.Recipe{{Dye: shelf.Dyes[0].Name, DoseGPerKg: dose}})
	}
	sheet := scene.Sheet{Shelf: shelf, Card: scene.WhiteCard(), State: wax.SetState, Rows: [][]wax.Recipe{row[:1], row[:1], row}, Print: &g, Printer: printer}
	photo := sheet.Photograph(scene.Options{Seed: 3, Kelvin: kelvin, RotationDegrees: turn, WidthPx: 1000, HeightPx: 750})
	var out bytes.Buffer
	ts.Check(photo.WriteJPEG(&out, 92))
	ts.Check(os.WriteFile(ts.MkAbs(args[2]), out.Bytes(), 0o666))
	strip := "patch,L,a,b\n"
	for i, lab := range photo.Strip {
		strip += fmt.Sprintf("%d,%.2f,%.2f,%.2f\n", i+1, lab.L, lab.A, lab.B)
	}
	ts.Check(os.WriteFile(ts.MkAbs("strip.csv"), []byte(strip), 0o666))
}
