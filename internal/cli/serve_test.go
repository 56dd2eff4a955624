package cli

import (
	"bufio"
	"context"
	"io"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// served runs the command and returns its output line by line, and what stops it
// as Ctrl-C does and returns its exit code.
func served(t *testing.T, args ...string) (*bufio.Scanner, func() int) {
	t.Helper()
	b := newBench(t)
	ctx, stop := context.WithCancel(context.Background())
	out, in := io.Pipe()
	b.env.Stdout = in
	code := make(chan int, 1)
	go func() {
		code <- Run(ctx, b.env, append([]string{"serve", "--port", "0"}, args...))
		in.Close()
	}()
	return bufio.NewScanner(out), func() int {
		stop()
		go io.Copy(io.Discard, out)
		return <-code
	}
}

func TestServeAnswersUntilItIsStopped(t *testing.T) {
	lines, stop := served(t)
	require.True(t, lines.Scan())
	base, ok := strings.CutPrefix(lines.Text(), "The bench page is open at ")
	require.True(t, ok, lines.Text())
	assert.True(t, strings.HasPrefix(base, "http://127.0.0.1:"), "loopback by default")
	require.True(t, lines.Scan())

	r, err := http.Get(base + "/shelf")
	require.NoError(t, err)
	r.Body.Close()
	assert.Equal(t, http.StatusOK, r.StatusCode)
	assert.Equal(t, exitDone, stop())
	_, err = http.Get(base + "/shelf")
	assert.Error(t, err, "it is closed")
}

func TestServeForTheNetworkWantsItsCode(t *testing.T) {
	lines, stop := served(t, "--lan", "--addr", "127.0.0.1")
	require.True(t, lines.Scan())
	base := strings.TrimPrefix(lines.Text(), "The bench page is open at ")
	require.True(t, lines.Scan())
	code, ok := strings.CutPrefix(lines.Text(), "Code for the next browser: ")
	require.True(t, ok, lines.Text())
	require.True(t, lines.Scan())
	assert.Equal(t, base+"/enter?code="+code, lines.Text())
	require.True(t, lines.Scan())

	r, err := http.Get(base + "/shelf")
	require.NoError(t, err)
	r.Body.Close()
	assert.Equal(t, http.StatusUnauthorized, r.StatusCode)
	go func() {
		for lines.Scan() { // the code that takes the place of the one used
		}
	}()
	stay := http.Client{CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
	r, err = stay.PostForm(base+"/enter?once=A", url.Values{"code": {code}})
	require.NoError(t, err)
	r.Body.Close()
	assert.Equal(t, http.StatusSeeOther, r.StatusCode)
	assert.Equal(t, exitDone, stop())
}

// A QR code of the smallest size that holds the text, with its quiet zone: rows
// of half blocks, all of one width (ISO/IEC 18004, from memory: side 21 + 4 k
// modules, 4 quiet on each side).
func TestQRIsDrawnWithItsQuietZone(t *testing.T) {
	var out strings.Builder
	drawQR(&out, "http://192.0.2.7:7117/enter?code=ABCDEFGH")
	rows := strings.Split(strings.TrimSuffix(out.String(), "\n"), "\n")
	for i, row := range rows {
		row = strings.TrimSuffix(strings.TrimPrefix(row, "\x1b[30;47m"), "\x1b[0m")
		side := len([]rune(row)) - 2*quiet
		assert.Zero(t, (side-21)%4, "row %d", i)
		assert.Equal(t, (side+2*quiet+1)/2, len(rows))
		if i < quiet/2 {
			assert.Empty(t, strings.TrimSpace(row), "the border is quiet")
		}
	}
}
