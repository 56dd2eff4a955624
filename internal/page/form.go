package page

import (
	"fmt"
	"net/url"
	"strconv"
	"strings"

	"setshade/internal/plan"
	"setshade/internal/units"
	"setshade/internal/wax"
)

// form reads fields as the command line reads flags, and keeps the first thing
// that could not be read.
type form struct {
	url.Values
	err error
}

// text is a field without blanks around it.
func (f *form) text(name string) string { return strings.TrimSpace(f.Get(name)) }

// number is a plain decimal number, 0 when the field is empty.
func (f *form) number(name, what string) float64 {
	return f.parse(name, what, plan.ParseNumber)
}

// mass is grams, from any unit of the bench; a number alone is grams.
func (f *form) mass(name, what string) float64 {
	return f.parse(name, what, func(text string) (float64, error) {
		q, err := units.Parse(text, units.Gram.Dimension())
		if err != nil {
			return 0, err
		}
		return q.In(units.Gram).Value, nil
	})
}

func (f *form) parse(name, what string, parse func(string) (float64, error)) float64 {
	text := f.text(name)
	if text == "" {
		return 0
	}
	v, err := parse(text)
	if err != nil {
		f.fault(fmt.Errorf("%s: %w", what, err))
	}
	return v
}

// fault keeps err unless there was another before.
func (f *form) fault(err error) {
	if f.err == nil {
		f.err = err
	}
}

// count is a whole number, 0 when the field is empty.
func (f *form) count(name, what string) int {
	return int(f.parse(name, what, func(text string) (float64, error) {
		n, err := strconv.Atoi(text)
		if err != nil {
			return 0, fmt.Errorf("%q is not a whole number; write one like 12", text)
		}
		return float64(n), nil
	}))
}

// load is a fragrance load; its convention is a field of its own.
func (f *form) load() wax.Load {
	percent := f.number("load", "fragrance load")
	if percent == 0 {
		return wax.Load{}
	}
	return wax.Load{Percent: percent, Per: wax.Convention(f.text("per"))}
}

// lines are the lines of a field that hold something.
func (f *form) lines(name string) []string { return f.pieces(name, "\n") }

// pieces are what stands in a field between separators, without what is blank.
func (f *form) pieces(name, separators string) []string {
	var out []string
	for _, piece := range strings.FieldsFunc(f.Get(name), func(r rune) bool { return strings.ContainsRune(separators, r) }) {
		if piece = strings.TrimSpace(piece); piece != "" {
			out = append(out, piece)
		}
	}
	return out
}
