package report

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The codes are those of ECMA-48 that harm most: a title that is set (OSC 0), a screen
// that is cleared (ED), a cursor that goes home (CUP), and UAX #9's turn of direction.
func TestScreenEscapesWhatIsNotOurs(t *testing.T) {
	const ours = "\x1b[48;2;216;164;172m    \x1b[0m Café\r\n\t\x1b[48;5;181m \x1b[0m\r\x1b[Kreading, 2 of 3 \U0001f469\u200d\U0001f467\n\x1b[30;47m█\x1b[0m"
	for foreign, want := range map[string]string{
		ours:                               ours,
		"jar\x1b]0;owned\x07 on":           `jar\u001b]0;owned\u0007 on`,
		"\x1b[2J\x1b[H":                    `\u001b[2J\u001b[H`,
		"\u009b31m":                        `\u009b31m`,
		"note \u202egnp.exe \u200b \ufeff": `note \u202egnp.exe \u200b \ufeff`,
		"tag \U000e0041":                   `tag \udb40\udc41`,
		"over\rwritten":                    `over\u000dwritten`,
		"ends \x1b[4":                      `ends \u001b[4`,
		"cut \xc3":                         "cut \ufffd",
	} {
		for _, piece := range []int{1, 2, 3, 1000} {
			var out strings.Builder
			s := NewScreen(&out)
			for rest := foreign; rest != ""; {
				n, err := s.Write([]byte(rest[:min(piece, len(rest))]))
				require.NoError(t, err)
				rest = rest[n:]
			}
			require.NoError(t, s.Flush())
			assert.Equal(t, want, out.String(), "%q in pieces of %d", foreign, piece)
		}
	}
}

// A text in JSON is the same text, escaped or not.
func TestScreenKeepsJSON(t *testing.T) {
	want := "Café \u202e\U000e0041\x7f\u0085"
	text, err := json.Marshal(want)
	require.NoError(t, err)
	var out strings.Builder
	_, err = NewScreen(&out).Write(text)
	require.NoError(t, err)
	var got string
	require.NoError(t, json.Unmarshal([]byte(out.String()), &got))
	assert.Equal(t, want, got)
}
