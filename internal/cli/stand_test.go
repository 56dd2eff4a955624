package cli

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Without a command, a terminal says in ten lines at most where she stands and what comes
// next, and makes no store; what is not a terminal has the help.
func TestStandWithoutACommand(t *testing.T) {
	b := newBench(t)
	b.env.StdoutIsTerminal = true
	says := func(next string) {
		t.Helper()
		require.Zero(t, b.run(), b.err.String())
		assert.Contains(t, b.out.String(), next)
		assert.LessOrEqual(t, strings.Count(b.out.String(), "\n"), 10)
		assert.Contains(t, b.out.String(), "setshade help ")
	}
	says("has nothing yet")
	assert.NoFileExists(t, b.env.Getenv("SETSHADE_STORE"))
	require.Zero(t, b.run("wax", "add", "Harrow Soy"))
	says("setshade dye add")
	require.Zero(t, b.run("dye", "add", "Bracken", "--form", "chip"))
	says("setshade record card.jpg")
	require.Zero(t, b.run("dye", "change", "Bracken", "--unit-mass", "0.5"), b.err.String())
	require.Zero(t, b.run("record", "../../swatches/bracken-set.jpg"), b.err.String())
	says(`setshade learn "Harrow Soy"`)
	require.Zero(t, b.run("learn"), b.err.String())
	says("setshade predict")
	b.env.StdoutIsTerminal = false
	require.Zero(t, b.run())
	assert.Contains(t, b.out.String(), "Exit codes")
}
