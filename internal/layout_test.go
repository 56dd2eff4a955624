// Package internal_test checks the layout: which package may know which.
package internal_test

import (
	"fmt"
	"go/parser"
	"go/token"
	"io/fs"
	"path"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// layers are our packages from the ground up. A package knows only packages of
// the layers below its own, so that arrows point down.
var layers = [][]string{
	{"spectrum", "rank", "english", "plaintext", "durable", "leastsquares"},
	{"optics", "wax", "card", "chart", "picture", "plane"},
	{"camera", "drop"},
	{"plan", "photo", "calibrate", "batch", "store", "scene"},
	{"shade", "units", "export"},
	{"recipe"},
	{"rescue"}, // measures correcting dyes out in recipe's portions
	{"workshop"},
	{"report"},
	{"page"},
	{"cli"},
}

// pure packages compute; all they know comes in as arguments.
var pure = []string{"spectrum", "optics", "wax", "plan", "calibrate", "shade", "recipe", "rescue", "batch", "card", "chart", "units", "rank", "english", "plane", "plaintext", "leastsquares", "drop"}

// rule forbids an import to packages.
type rule struct {
	// imports is a path; what lies below it is meant too.
	imports string
	forbids func(pkg string) bool
	reason  string
}

func allBut(names ...string) func(string) bool {
	return func(pkg string) bool { return !slices.Contains(names, pkg) }
}

func only(names ...string) func(string) bool {
	return func(pkg string) bool { return slices.Contains(names, pkg) }
}

var rules = []rule{
	{"modernc.org/sqlite", allBut("store"), "how records are kept is the store's secret, so that it can change"},
	{"database/sql", allBut("store"), "questions to the database are asked in one place"},
	{"github.com/spf13", allBut("cli"), "what a command line is, only the command line knows"},
	{"setshade/internal/picture/libheif", allBut("picture"), "how a picture is kept in its file, only the reader of files knows"},
	{"github.com/tetratelabs/wazero", allBut("picture/libheif"), "how a picture is kept in its file, only the reader of files knows"},
	{"golang.org/x/image/tiff", allBut("picture", "picture/picturetest"), "how a picture is kept in its file, only the reader of files knows"},
	{"setshade/internal/spectrum", only("rank", "plane", "english"), "numbers, shapes and words have no colour"},
	{"setshade/internal/card", only("picture", "plane"), "a picture file and the plane are read without knowing what is on them"},
	{"setshade/internal/picture/picturetest", allBut("picture/picturetest"), "files written for tests serve tests only"},
	{"setshade/internal/picture/iccprofile", allBut("picture/picturetest", "scene"), "what writes profiles serves rendered pictures and tests; the reader shares nothing with it"},
	{"setshade/internal/calibrate/shelftest", allBut("calibrate/shelftest"), "shelves invented for tests serve tests only"},
	{"net/http", allBut("page", "cli"), "only the local page talks to anyone, and the command that starts it"},
	{"setshade/internal/store", only("report", "page"), "what is shown does not depend on how it is kept; the page asks the workshop"},
	{"setshade/internal/report", only("store"), "what is kept does not depend on how it is shown"},
	{"setshade/internal/scene", allBut("scene", "scene/generate"), "rendered photographs serve tests and the demo's files; no result may come from them"},
	{"setshade/internal/calibrate", only("scene"), "a scene that used our model would test the model against itself"},
	{"setshade/internal/shade", only("scene"), "a scene that used our model would test the model against itself"},
	{"setshade/internal/optics", only("scene"), "a scene that used our model would test the model against itself"},
	{"setshade/internal/photo", only("scene"), "a scene that drew drops as they are read would test the reader against itself"},
	{"setshade/internal/drop", only("scene"), "a scene that drew drops as they are read would test the reader against itself"},
	{"os", only(pure...), "a pure package knows no files and no environment"},
	{"io/fs", only(pure...), "a pure package knows no files"},
	{"io/ioutil", only(pure...), "a pure package knows no files"},
	{"path/filepath", only(pure...), "a pure package knows no files"},
	{"net", only(pure...), "a pure package talks to no one"},
	{"embed", only(pure...), "a pure package knows no files"},
	{"log", only(pure...), "a pure package says nothing by itself"},
	{"math/rand", only(pure...), "randomness comes in as a seed, in math/rand/v2"},
	{"time", func(pkg string) bool { return pkg != "wax" && slices.Contains(pure, pkg) },
		"a pure package knows no clock; wax keeps the moment a photograph was recorded"},
}

func TestImportsKeepTheLayout(t *testing.T) {
	tree := importsOfTree(t)
	require.Contains(t, tree, "wax", "the tree was not found")
	for pkg, imports := range tree {
		for _, imported := range imports {
			assert.Empty(t, violation(pkg, imported))
		}
	}
}

func TestMainKnowsOnlyTheCommandLine(t *testing.T) {
	for _, imported := range importsOf(t, filepath.Join("..", "cmd", "setshade", "main.go")) {
		if strings.HasPrefix(imported, "setshade/") {
			assert.Equal(t, "setshade/internal/cli", imported, "main only starts the command line")
		}
	}
}

// The check itself must be able to fail.
func TestViolationsAreSeen(t *testing.T) {
	for _, c := range []struct{ pkg, imports, says string }{
		{"page", "modernc.org/sqlite", "store's secret"},
		{"page", "modernc.org/sqlite/lib", "store's secret"},
		{"workshop", "github.com/spf13/cobra", "command line"},
		{"report", "setshade/internal/store", "how it is kept"},
		{"store", "setshade/internal/report", "does not depend on how it is shown"},
		{"plan", "os", "knows no files"},
		{"plan", "os/exec", "knows no files"},
		{"calibrate", "time", "no clock"},
		{"calibrate", "math/rand", "math/rand/v2"},
		{"optics", "setshade/internal/shade", "shade is not below optics"},
		{"store", "setshade/internal/plan", "plan is not below store"},
		{"photo", "setshade/internal/picture/libheif", "only the reader of files"},
		{"plane", "setshade/internal/spectrum", "no colour"},
		{"picture", "setshade/internal/photo", "photo is not below picture"},
		{"photo", "setshade/internal/picture/picturetest", "tests only"},
		{"cli", "setshade/internal/scene", "rendered photographs"},
		{"drop", "setshade/internal/scene", "rendered photographs"},
		{"scene", "setshade/internal/drop", "against itself"},
		{"mystery", "fmt", "mystery has no layer"},
	} {
		assert.Contains(t, violation(c.pkg, c.imports), c.says, c.pkg)
	}
	for pkg, imports := range map[string]string{
		"store": "modernc.org/sqlite/lib", "wax": "time", "calibrate": "math/rand/v2",
		"cli": "setshade/internal/store", "shade": "setshade/internal/calibrate", "optics": "math",
	} {
		assert.Empty(t, violation(pkg, imports), pkg)
	}
}

// violation says why a package may not import a path, or "".
func violation(pkg, imported string) string {
	for _, r := range rules {
		if below(imported, r.imports) && r.forbids(pkg) {
			return fmt.Sprintf("%s imports %s: %s", pkg, imported, r.reason)
		}
	}
	home := layer(pkg)
	if home < 0 {
		return fmt.Sprintf("%s has no layer; give it one in this test", pkg)
	}
	other, ours := strings.CutPrefix(imported, "setshade/internal/")
	if ours && layer(other) >= home && group(other) != group(pkg) {
		return fmt.Sprintf("%s imports %s: arrows point down, and %s is not below %s", pkg, imported, other, pkg)
	}
	return ""
}

// below reports whether an import is a path or lies under it; math/rand/v2 is
// a package beside math/rand, not under it.
func below(imported, root string) bool {
	if imported == "math/rand/v2" {
		return false
	}
	return imported == root || strings.HasPrefix(imported, root+"/")
}

func layer(pkg string) int {
	return slices.IndexFunc(layers, func(names []string) bool { return slices.Contains(names, group(pkg)) })
}

// group is the package at the top of a folder: "scene" for "scene/generate".
func group(pkg string) string {
	top, _, _ := strings.Cut(pkg, "/")
	return top
}

// importsOfTree maps each package below this folder to what it imports, tests
// left out: they may look anywhere.
func importsOfTree(t *testing.T) map[string][]string {
	t.Helper()
	tree := map[string][]string{}
	err := filepath.WalkDir(".", func(file string, entry fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if entry.IsDir() && entry.Name() == "testdata" {
			return filepath.SkipDir
		}
		if strings.HasSuffix(file, ".go") && !strings.HasSuffix(file, "_test.go") {
			pkg := path.Dir(filepath.ToSlash(file))
			tree[pkg] = append(tree[pkg], importsOf(t, file)...)
		}
		return nil
	})
	require.NoError(t, err)
	return tree
}

func importsOf(t *testing.T, file string) []string {
	t.Helper()
	parsed, err := parser.ParseFile(token.NewFileSet(), file, nil, parser.ImportsOnly)
	require.NoError(t, err)
	var paths []string
	for _, spec := range parsed.Imports {
		imported, err := strconv.Unquote(spec.Path.Value)
		require.NoError(t, err)
		paths = append(paths, imported)
	}
	return paths
}
