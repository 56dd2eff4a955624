package report

import (
	"fmt"
	"strings"
	"unicode/utf8"
)

// textWidth is the width that prose is broken to. Tables may be wider.
const textWidth = 80

// text gathers what is to be said, line by line.
type text struct{ strings.Builder }

// line writes one line as it is.
func (t *text) line(format string, args ...any) { fmt.Fprintf(t, format+"\n", args...) }

// prose writes a sentence broken into lines, the lead before the first and
// blanks of its width before the others.
func (t *text) prose(lead, format string, args ...any) {
	t.WriteString(Wrap(lead, fmt.Sprintf(format, args...)))
}

// table writes a table after so many blanks.
func (t *text) table(indent string, table *Table) {
	var lines strings.Builder
	table.Write(&lines) // a Builder never fails
	for line := range strings.Lines(lines.String()) {
		t.WriteString(indent + line)
	}
}

// indented writes what write says, each line after the indent.
func (t *text) indented(indent string, write func(in *text)) {
	var in text
	write(&in)
	for line := range strings.Lines(in.String()) {
		if line != "\n" {
			t.WriteString(indent)
		}
		t.WriteString(line)
	}
}

const noBreak = "\u00a0"

// Wrap breaks a sentence at blanks so that no line is wider than 80 columns,
// the lead before the first line and blanks of its width before the others. A
// no-break space (U+00A0) holds a number to its unit, and is written as a blank.
func Wrap(lead, sentence string) string {
	var out strings.Builder
	line, empty := lead, true
	for _, word := range strings.FieldsFunc(sentence, func(r rune) bool { return r == ' ' || r == '\n' }) {
		if !empty && width(line)+1+width(word) > textWidth {
			out.WriteString(line + "\n")
			line, empty = strings.Repeat(" ", width(lead)), true
		}
		if !empty {
			line += " "
		}
		line, empty = line+word, false
	}
	return strings.ReplaceAll(out.String()+line+"\n", noBreak, " ")
}

// hold keeps a short text, such as a number with its unit, on one line.
func hold(short string) string { return strings.ReplaceAll(short, " ", noBreak) }

// sentence gives a remark the capital and full stop that its line needs.
func sentence(remark string) string {
	_, size := utf8.DecodeRuneInString(remark)
	return strings.ToUpper(remark[:size]) + remark[size:] + "."
}
