package cli

import (
	"fmt"
	"io"

	"setshade/internal/report"
)

// line is one line of a sheet: what, and how much.
type line struct{ what, value string }

// writeSheet writes a title, aligned lines, and remarks below them.
func writeSheet(w io.Writer, title string, lines []line, remarks ...string) error {
	if _, err := fmt.Fprintln(w, title); err != nil {
		return err
	}
	table := report.NewTable(report.Column{}, report.Column{})
	for _, l := range lines {
		table.Row("  "+l.what, l.value)
	}
	if err := table.Write(w); err != nil {
		return err
	}
	for _, remark := range remarks {
		if _, err := fmt.Fprintln(w, remark); err != nil {
			return err
		}
	}
	return nil
}
