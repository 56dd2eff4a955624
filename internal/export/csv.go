package export

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"
)

// maxFieldBytes is the longest field of a table that is read.
const maxFieldBytes = 1 << 20

// writeCSV writes a table as RFC 4180 asks, but with plain line ends.
func writeCSV(s sheet) []byte {
	var out bytes.Buffer
	w := csv.NewWriter(&out)
	names, _ := s.header()
	w.Write(names) // A buffer takes everything; Flush would keep an error.
	for i := range s.size() {
		cells := s.row(i)
		fields := make([]string, len(cells))
		for j, c := range cells {
			if fields[j] = c.write(); c.text {
				fields[j] = guarded(fields[j])
			}
		}
		w.Write(fields)
	}
	w.Flush()
	return out.Bytes()
}

// guarded writes a text so that a spreadsheet takes it for no formula, and CSV
// gives it back as it was (readers turn \r\n in a field into \n).
func guarded(text string) string {
	if text == "" {
		return text
	}
	if strings.ContainsRune(`=+-@"`, rune(text[0])) || strings.ContainsFunc(text, unicode.IsControl) {
		return jsonOf(text)
	}
	return text
}

// unguarded is the inverse of guarded.
func unguarded(field string) (string, error) {
	if !strings.HasPrefix(field, `"`) {
		return field, nil
	}
	var text string
	if err := json.Unmarshal([]byte(field), &text); err != nil {
		return "", fmt.Errorf("%.20q begins with a quote and is not a text in JSON", field)
	}
	return text, nil
}

// readCSV adds the rows of a file to a table. Errors name the line.
func readCSV(s sheet, from io.Reader) error {
	r := csv.NewReader(from)
	names, _ := s.header()
	head, err := r.Read()
	if err == io.EOF {
		return errors.New("the file is empty; its first line must name the columns")
	}
	if err != nil {
		return csvError(err)
	}
	head[0] = strings.TrimPrefix(head[0], "\ufeff") // which some spreadsheets write
	for i, name := range head {
		if !slices.Contains(names, name) {
			return fmt.Errorf("line 1: there is no column %.40q; COLUMNS.txt lists them", name)
		}
		if slices.Contains(head[:i], name) {
			return fmt.Errorf("line 1: the column %s is there twice", name)
		}
	}
	if name := missing(s, func(name string) bool { return slices.Contains(head, name) }); name != "" {
		return fmt.Errorf("line 1: the column %s is missing", name)
	}
	text := s.texts()
	for {
		fields, err := r.Read()
		if err == io.EOF {
			return nil
		}
		if err != nil {
			return csvError(err)
		}
		line, _ := r.FieldPos(0)
		values := map[string]string{}
		for i, field := range fields {
			switch {
			case len(field) > maxFieldBytes:
				return fmt.Errorf("line %d, column %s: the field has more than %d bytes", line, head[i], maxFieldBytes)
			case !utf8.ValidString(field):
				return fmt.Errorf("line %d, column %s: %.20q is not UTF-8; save the table as UTF-8", line, head[i], field)
			}
			if text[head[i]] {
				if field, err = unguarded(field); err != nil {
					return fmt.Errorf("line %d, column %s: %w", line, head[i], err)
				}
			}
			values[head[i]] = field
		}
		if err := fill(s, values); err != nil {
			return fmt.Errorf("line %d, %w", line, err)
		}
	}
}

func csvError(err error) error {
	var parse *csv.ParseError
	if !errors.As(err, &parse) {
		return err
	}
	if errors.Is(err, csv.ErrFieldCount) {
		return fmt.Errorf("line %d has more or fewer fields than line 1", parse.Line)
	}
	return fmt.Errorf("line %d: its quotes do not add up; put a text with quotes in quotes, and each of its quotes twice: %w", parse.Line, err)
}
