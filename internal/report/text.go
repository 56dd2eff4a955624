package report

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode/utf8"

	"setshade/internal/spectrum"
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

// Grams writes a mass: to 0.1 g from 10 g up, to 0.01 g below.
func Grams(g float64) string {
	decimals := 1
	if math.Abs(g) < 9.995 {
		decimals = 2
	}
	return fixed(g, decimals) + " g"
}

// Dose writes g of dye per kg of undyed wax to three significant digits.
func Dose(gPerKg float64) string { return significant(gPerKg, 3) + " g/kg" }

// DE00 writes a colour difference to 0.1.
func DE00(d float64) string { return fixed(d, 1) }

// LabText writes a colour's coordinates to 0.1.
func LabText(c spectrum.Lab) string {
	return fmt.Sprintf("L* %s a* %s b* %s", fixed(c.L, 1), fixed(c.A, 1), fixed(c.B, 1))
}

// Quantity writes a figure as it was recorded, with its unit and up to six
// significant digits; "not recorded" for 0, which stands for a figure nobody
// gave.
func Quantity(v float64, unit string) string {
	if v == 0 {
		return "not recorded"
	}
	return strings.TrimSpace(significant(v, 6) + " " + unit)
}

// fixed writes a number with so many decimals, and never "-0.0".
func fixed(v float64, decimals int) string {
	s := strconv.FormatFloat(v, 'f', decimals, 64)
	if strings.Trim(s, "-0.") == "" {
		s = strings.TrimPrefix(s, "-")
	}
	return s
}

// significant writes so many significant digits, all digits before the point,
// and no zeros at the end.
func significant(v float64, digits int) string {
	decimals := 0
	if v != 0 {
		decimals = digits - 1 - int(math.Floor(math.Log10(math.Abs(v))))
	}
	s := fixed(v, min(max(decimals, 0), 9))
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	return s
}
