package report

import (
	"fmt"
	"io"
	"sync"
	"time"
)

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
