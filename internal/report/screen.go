package report

import (
	"fmt"
	"io"
	"regexp"
	"strings"
	"sync"
	"time"
	"unicode/utf16"
	"unicode/utf8"

	"setshade/internal/plaintext"
)

// Screen writes to a terminal or a file what people may read. Of all characters that
// show nothing by themselves it passes on the ends of lines, tabs and the codes that
// this program draws with; any other, as in a note that came from elsewhere, is written
// as JSON writes it, \u001b, so that it commands nothing and misleads no one.
type Screen struct {
	to   io.Writer
	lock sync.Mutex // a progress line is drawn beside other words
	// rest is the beginning of a code or of a character that is not whole yet.
	rest string
}

// NewScreen returns a Screen that writes to a writer. Flush is to be called at the end.
func NewScreen(to io.Writer) *Screen { return &Screen{to: to} }

// drawn are the codes for blocks of colour, of a code to scan and of a progress line;
// begun are those that may go on.
var (
	drawn = regexp.MustCompile("^(\r\x1b\\[K|\r?\n|\t|\x1b\\[(0|30;47|48;5;\\d+|48;2;\\d+;\\d+;\\d+)m)")
	begun = regexp.MustCompile("^(\r|\r?\x1b|\r?\x1b\\[[0-9;]{0,16})$")
)

// Write implements io.Writer.
func (s *Screen) Write(p []byte) (int, error) { return len(p), s.write(string(p), false) }

// Flush writes what was held back because it was not whole.
func (s *Screen) Flush() error { return s.write("", true) }

func (s *Screen) write(text string, end bool) error {
	s.lock.Lock()
	defer s.lock.Unlock()
	var out strings.Builder
	for text, s.rest = s.rest+text, ""; text != ""; {
		code := drawn.FindString(text)
		if !end && code == "" && (begun.MatchString(text) || !utf8.FullRuneInString(text)) {
			s.rest = text
			break
		}
		if code != "" {
			out.WriteString(code)
			text = text[len(code):]
			continue
		}
		r, size := utf8.DecodeRuneInString(text)
		if plaintext.IsHidden(r) {
			for _, unit := range utf16.Encode([]rune{r}) {
				fmt.Fprintf(&out, `\u%04x`, unit)
			}
		} else {
			out.WriteRune(r)
		}
		text = text[size:]
	}
	_, err := io.WriteString(s.to, out.String())
	return err
}

// quiet is how long work may take before it is worth a word, and interval how
// often the word changes.
const (
	quiet    = time.Second
	interval = 100 * time.Millisecond
)

// Progress is one line on a terminal that says what long work is doing. It
// stays silent for the first second, and altogether off a terminal.
type Progress struct {
	w     io.Writer // nil off a terminal
	now   func() time.Time
	start time.Time
	first *time.Timer

	lock  sync.Mutex
	what  string
	drawn time.Time
}

// NewProgress starts a progress line on w, silent unless w is a terminal.
func NewProgress(w io.Writer, isTerminal bool, now func() time.Time) *Progress {
	if !isTerminal {
		return &Progress{now: now}
	}
	p := &Progress{w: w, now: now, start: now()}
	// A single step may take longer than the silence.
	p.first = time.AfterFunc(quiet, p.draw)
	return p
}

// Step says what is being done, and how many of how many are done; a total of
// 0 means that nobody knows.
func (p *Progress) Step(what string, done, total int) {
	if p.w == nil {
		return
	}
	if total > 0 {
		what = fmt.Sprintf("%s, %d of %d", what, done, total)
	}
	p.lock.Lock()
	p.what = what
	p.lock.Unlock()
	p.draw()
}

// draw writes the line, unless it is too soon for another.
func (p *Progress) draw() {
	p.lock.Lock()
	defer p.lock.Unlock()
	now := p.now()
	if p.what == "" || now.Sub(p.start) < quiet || now.Sub(p.drawn) < interval {
		return
	}
	p.drawn = now
	fmt.Fprintf(p.w, "\r\x1b[K%s", p.what)
}

// Clear takes the line away until the next step, so that something else can be
// said.
func (p *Progress) Clear() {
	p.lock.Lock()
	defer p.lock.Unlock()
	if !p.drawn.IsZero() {
		fmt.Fprint(p.w, "\r\x1b[K")
	}
	p.what, p.drawn = "", time.Time{}
}

// End clears the line for good.
func (p *Progress) End() {
	if p.first != nil {
		p.first.Stop()
	}
	p.Clear()
}
