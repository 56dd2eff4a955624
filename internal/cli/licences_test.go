package cli_test

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// module is one that is linked into the program.
type module struct{ path, version, folder string }

// linked lists the modules of which packages are linked into the program on any system
// it is built for, without any tag, as go install builds it.
func linked(t *testing.T) (modules []module) {
	for _, system := range []string{"linux", "darwin", "windows"} {
		list := exec.Command("go", "list", "-deps", "-f", "{{with .Module}}{{if not .Main}}{{.Path}}\t{{.Version}}\t{{.Dir}}{{end}}{{end}}", "setshade/cmd/setshade")
		list.Env = append(os.Environ(), "CGO_ENABLED=0", "GOOS="+system, "GOFLAGS=")
		list.Stderr = os.Stderr
		out, err := list.Output()
		require.NoError(t, err)
		for line := range strings.Lines(string(out)) {
			if f := strings.Split(strings.TrimSpace(line), "\t"); len(f) == 3 {
				modules = append(modules, module{f[0], f[1], f[2]})
			}
		}
	}
	slices.SortFunc(modules, func(a, b module) int { return strings.Compare(a.path, b.path) })
	return slices.Compact(modules)
}

// licencesIn finds the texts of a folder that say what it may be used for.
func licencesIn(t *testing.T, folder string) (files []string) {
	for _, pattern := range []string{"LICEN[CS]E*", "licenses/*", "THIRD_PARTY_LICENSES/*", "*/LICENSE.color.org", "COPYING*", "NOTICE*", "PATENTS"} {
		found, err := filepath.Glob(filepath.Join(folder, pattern))
		require.NoError(t, err)
		for _, file := range found {
			if info, err := os.Stat(file); err == nil && info.Mode().IsRegular() {
				files = append(files, file)
			}
		}
	}
	require.NotEmpty(t, files, folder)
	return files
}

// licences words what the program is made of; a text that stood there already is named
// and not repeated.
func licences(t *testing.T) string {
	var out bytes.Buffer
	before, err := os.ReadFile(filepath.Join("testdata", "licences.txt"))
	require.NoError(t, err)
	out.Write(before)
	stands := map[string]string{}
	part := func(title, folder string, files ...string) {
		fmt.Fprintf(&out, "\n%s\n%s\n%s\n", strings.Repeat("=", 78), title, strings.Repeat("=", 78))
		for _, file := range files {
			content, err := os.ReadFile(file)
			require.NoError(t, err)
			text := strings.TrimSpace(strings.ReplaceAll(string(content), "\r\n", "\n"))
			name, err := filepath.Rel(folder, file)
			require.NoError(t, err)
			if there := stands[text]; there != "" {
				fmt.Fprintf(&out, "\n%s: word for word the %s\n", filepath.ToSlash(name), there)
				continue
			}
			stands[text] = filepath.ToSlash(name) + " of " + title
			fmt.Fprintf(&out, "\n%s:\n\n%s\n", filepath.ToSlash(name), text)
		}
	}
	root := filepath.Join("..", "..")
	part("setshade", root, filepath.Join(root, "LICENSE"))
	decoder := filepath.Join("..", "picture", "libheif")
	part("libheif 1.18.2, libde265 1.0.15 and what is linked with them", decoder, licencesIn(t, decoder)...)
	part("Go, its library and runtime", runtime.GOROOT(), filepath.Join(runtime.GOROOT(), "LICENSE"))
	for _, m := range linked(t) {
		part(m.path+" "+m.version, m.folder, licencesIn(t, m.folder)...)
	}
	return out.String()
}

// Every module that is linked into the program is named with its licence, as is what is
// inside the decoder of HEIC. go generate writes the text.
func TestLicencesNameAllThatIsLinked(t *testing.T) {
	if _, err := os.Stat(filepath.Join(runtime.GOROOT(), "LICENSE")); err != nil {
		t.Skip("Go's own folder is not here, and its licence is in it:", err)
	}
	want := licences(t)
	if *update {
		require.NoError(t, os.WriteFile("licences.txt", []byte(want), 0o644))
	}
	there, err := os.ReadFile("licences.txt")
	require.NoError(t, err)
	assert.True(t, want == string(there), "licences.txt is not what is linked; run go generate ./internal/cli")
	for _, named := range []string{"github.com/tetratelabs/wazero v", "libheif 1.18.2", "libde265 1.0.15", "GNU LESSER GENERAL PUBLIC LICENSE"} {
		assert.Contains(t, want, named)
	}
}

// No build looks for a library of the system: nothing that could load one is linked.
func TestNothingLoadsALibraryOfTheSystem(t *testing.T) {
	for _, m := range linked(t) {
		assert.NotContains(t, []string{"github.com/ebitengine/purego", "github.com/gen2brain/heic"}, m.path)
	}
}
