package report

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/spectrum"
)

// NO_COLOR as no-color.org has it: "when present and not an empty string
// (regardless of its value), prevents the addition of ANSI color".
func TestColoursOf(t *testing.T) {
	for _, c := range []struct {
		name     string
		env      map[string]string
		terminal bool
		want     Colours
	}{
		{"true colour", map[string]string{"COLORTERM": "truecolor", "TERM": "xterm"}, true, TrueColour},
		{"24bit", map[string]string{"COLORTERM": "24bit"}, true, TrueColour},
		{"256", map[string]string{"TERM": "screen-256color"}, true, Palette256},
		{"plain", map[string]string{"TERM": "vt100"}, true, NoColours},
		{"nothing said", nil, true, NoColours},
		{"a pipe", map[string]string{"COLORTERM": "truecolor"}, false, NoColours},
		{"NO_COLOR", map[string]string{"COLORTERM": "truecolor", "NO_COLOR": "0"}, true, NoColours},
		{"NO_COLOR empty", map[string]string{"COLORTERM": "truecolor", "NO_COLOR": ""}, true, TrueColour},
		{"dumb", map[string]string{"COLORTERM": "truecolor", "TERM": "dumb"}, true, NoColours},
	} {
		getenv := func(key string) string { return c.env[key] }
		assert.Equal(t, c.want, ColoursOf(getenv, c.terminal), c.name)
	}
}

func TestShadeIsNeverColourAlone(t *testing.T) {
	red, err := spectrum.LabOfHex("#d8a4ac")
	require.NoError(t, err)
	const text = "#d8a4ac light pink"
	assert.Equal(t, text, NoColours.Shade(red))
	assert.Equal(t, "\x1b[48;2;216;164;172m    \x1b[0m "+text, TrueColour.Shade(red))
	// Entry 181 of xterm's palette is #d7afaf, 174 is #d78787 and 180 #d7af87
	// (xterm's 256colres.h, from memory); 181 is nearest.
	assert.Equal(t, "\x1b[48;5;181m    \x1b[0m "+text, Palette256.Shade(red))
}

// The ends and the middle of xterm's palette: 16 black, 231 white, 196 red,
// 244 the grey #808080 (xterm's 256colres.h, from memory).
func TestNearest256(t *testing.T) {
	for want, d := range map[int]spectrum.Display{
		16: {}, 231: {R: 255, G: 255, B: 255}, 196: {R: 255}, 244: {R: 128, G: 128, B: 128},
	} {
		assert.Equal(t, want, nearest256(d))
	}
}

func TestTableAlignsByWhatIsSeen(t *testing.T) {
	table := NewTable(Column{Title: "dye"}, Column{Title: "g/kg", Right: true}, Column{Title: "shade"})
	table.Row("Bracken", "0.5", "\x1b[48;5;181m    \x1b[0m #d8a49b")
	table.Row("Élan", "12", "")
	table.Row("E\u0301lan", "1", "x")
	var out strings.Builder
	require.NoError(t, table.Write(&out))
	assert.Equal(t, ""+
		"dye      g/kg  shade\n"+
		"Bracken   0.5  \x1b[48;5;181m    \x1b[0m #d8a49b\n"+
		"Élan       12\n"+
		"E\u0301lan        1  x\n", out.String())
	assert.PanicsWithValue(t, "report: a table row needs one cell for each column", func() { table.Row("one") })
}

func TestProgressSpeaksAfterASecondAndOnlyOnATerminal(t *testing.T) {
	clock := time.Unix(0, 0)
	now := func() time.Time { return clock }
	var terminal, pipe strings.Builder
	p, silent := NewProgress(&terminal, true, now), NewProgress(&pipe, false, now)
	step := func(after time.Duration, done, total int) {
		clock = clock.Add(after)
		p.Step("reading", done, total)
		silent.Step("reading", done, total)
	}
	step(900*time.Millisecond, 1, 3)
	require.Empty(t, terminal.String())
	step(200*time.Millisecond, 2, 3)
	step(time.Millisecond, 3, 3) // too soon after the last word
	step(time.Second, 0, 0)
	p.End()
	p.End()
	silent.End()
	assert.Equal(t, "\r\x1b[Kreading, 2 of 3\r\x1b[Kreading\r\x1b[K", terminal.String())
	assert.Empty(t, pipe.String())
}
