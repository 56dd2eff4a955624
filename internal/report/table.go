package report

import (
	"bufio"
	"io"
	"regexp"
	"strings"
	"unicode"
)

// Table is aligned text in columns. Cells may hold colour codes, which take no
// width, and several lines.
type Table struct {
	columns []Column
	rows    [][]string
}

// Column is a column's title and whether its cells stand to the right, as
// numbers do.
type Column struct {
	Title string
	Right bool
}

// NewTable starts a table with its columns.
func NewTable(columns ...Column) *Table { return &Table{columns: columns} }

// Row adds a line, or as many as its tallest cell has; it panics when it has not
// one cell for each column.
func (t *Table) Row(cells ...string) {
	if len(cells) != len(t.columns) {
		panic("report: a table row needs one cell for each column")
	}
	for more := true; more; {
		more = false
		line := make([]string, len(cells))
		rest := make([]string, len(cells))
		for i, cell := range cells {
			var cut bool
			line[i], rest[i], cut = strings.Cut(cell, "\n")
			more = more || cut
		}
		t.rows, cells = append(t.rows, line), rest
	}
}

// Write draws the table, titles first when there are any, two blanks between
// columns and none at the end of a line.
func (t *Table) Write(w io.Writer) error {
	titles := make([]string, len(t.columns))
	widths := make([]int, len(t.columns))
	for i, c := range t.columns {
		titles[i] = c.Title
		widths[i] = width(c.Title)
		for _, row := range t.rows {
			widths[i] = max(widths[i], width(row[i]))
		}
	}
	out := bufio.NewWriter(w)
	if strings.Join(titles, "") != "" {
		t.line(out, titles, widths)
	}
	for _, row := range t.rows {
		t.line(out, row, widths)
	}
	return out.Flush()
}

func (t *Table) line(out *bufio.Writer, cells []string, widths []int) {
	var b strings.Builder
	for i, cell := range cells {
		pad := strings.Repeat(" ", widths[i]-width(cell))
		if t.columns[i].Right {
			b.WriteString(pad + cell + "  ")
		} else {
			b.WriteString(cell + pad + "  ")
		}
	}
	out.WriteString(strings.TrimRight(b.String(), " ") + "\n")
}

var colourCode = regexp.MustCompile("\x1b\\[[0-9;]*m")

// width counts the columns a text takes: one a character, none for colour
// codes and combining marks. Wide East Asian characters count as one.
func width(text string) int {
	n := 0
	for _, r := range colourCode.ReplaceAllString(text, "") {
		if !unicode.Is(unicode.Mn, r) {
			n++
		}
	}
	return n
}
