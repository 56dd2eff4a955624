package export

import "fmt"

// column is one column of a table: its name, what it means with its unit, and
// where its value stands in a row.
type column[T any] struct {
	name, means string
	at          func(*T) cell
}

// table is a sheet of rows of one noun.
type table[T any] struct {
	file, means string
	rows        *[]T
	columns     []column[T]
}

// sheet is a table of any noun.
type sheet interface {
	name() string
	about() string
	// header returns names and meanings of the columns.
	header() (names, means []string)
	// texts tells which columns hold texts.
	texts() map[string]bool
	size() int
	// row returns the cells of a row, and add those of a new one.
	row(i int) []cell
	add() []cell
}

func (t table[T]) name() string  { return t.file }
func (t table[T]) about() string { return t.means }
func (t table[T]) size() int     { return len(*t.rows) }

func (t table[T]) header() (names, means []string) {
	for _, c := range t.columns {
		names, means = append(names, c.name), append(means, c.means)
	}
	return names, means
}

func (t table[T]) texts() map[string]bool {
	var empty T
	texts := map[string]bool{}
	for _, c := range t.columns {
		texts[c.name] = c.at(&empty).text
	}
	return texts
}

func (t table[T]) row(i int) []cell {
	cells := make([]cell, len(t.columns))
	for j, c := range t.columns {
		cells[j] = c.at(&(*t.rows)[i])
	}
	return cells
}

func (t table[T]) add() []cell {
	var empty T
	*t.rows = append(*t.rows, empty)
	return t.row(len(*t.rows) - 1)
}

// fill reads the values of a new row, by the columns' names.
func fill(s sheet, values map[string]string) error {
	names, _ := s.header()
	cells := s.add()
	for i, c := range cells {
		if _, told := values[names[i]]; !told { // a later column
			continue
		}
		if err := c.read(values[names[i]]); err != nil {
			return fmt.Errorf("column %s: %w", names[i], err)
		}
	}
	// Cells that are empty together must not be half filled.
	for i, c := range cells {
		if value, told := values[names[i]]; told && value == "" && c.write() != "" {
			return fmt.Errorf("column %s is empty", names[i])
		}
	}
	return nil
}

// missing returns the first column that is not there, "" for none.
func missing(s sheet, has func(name string) bool) string {
	names, _ := s.header()
	for _, name := range names {
		if !has(name) && !later[s.name()+"."+name] {
			return name
		}
	}
	return ""
}
