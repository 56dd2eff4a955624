package workshop

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"setshade/internal/plan"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// MaxStripBytes is the largest file of colours that is read.
const MaxStripBytes = 64 << 10

// ParseStrip reads the colours of so many patches from a CSV: a heading with patch,
// L, a and b in any order, then a line for each patch, numbered from 1. Lab is relative
// to the white of the light given, and is returned under D65, adapted by the Bradford
// transform (ICC.1:2022 annex E). Columns beside these are passed over. A patch that
// is left out is not finite.
func ParseStrip(text string, patches int, light spectrum.Illuminant) (wax.Strip, error) {
	r := stripReader(text)
	heading, err := r.Read()
	if err != nil {
		return nil, csvError(err)
	}
	columns, err := stripColumns(heading)
	if err != nil {
		return nil, err
	}
	strip := make(wax.Strip, patches)
	for i := range strip {
		strip[i] = spectrum.Lab{L: math.NaN(), A: math.NaN(), B: math.NaN()}
	}
	for {
		row, err := r.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return nil, csvError(err)
		}
		line, _ := r.FieldPos(0)
		if err := fillPatch(strip, row, columns, light); err != nil {
			return nil, fmt.Errorf("line %d: %w", line, err)
		}
	}
	if err := checkRange(strip); err != nil {
		return nil, err
	}
	return strip, nil
}

// checkRange refuses colours on another scale, and patches that are all alike.
func checkRange(strip wax.Strip) error {
	const fractions, alike = 1.0, 5.0 // L*, dE00
	lightest, apart, n := 0.0, 0.0, 0
	for i, lab := range strip {
		if !lab.IsFinite() {
			continue
		}
		n++
		lightest = max(lightest, lab.L)
		for _, other := range strip[:i] {
			if other.IsFinite() {
				apart = max(apart, spectrum.DE00(lab, other))
			}
		}
	}
	switch {
	case n > 1 && lightest <= fractions:
		return errors.New("its L* lie between 0 and 1; give L* from 0 for black to 100 for white, and a* and b* to that scale")
	case n > 1 && apart < alike:
		return errors.New("its patches are all of one colour, or nearly; give the colour measured on each")
	}
	return nil
}

// stripReader reads the rows of a file of colours; comments begin with #.
func stripReader(text string) *csv.Reader {
	text = strings.TrimPrefix(text, "\ufeff")
	r := csv.NewReader(strings.NewReader(text))
	r.TrimLeadingSpace, r.Comment = true, '#'
	for line := range strings.Lines(text) {
		if !strings.HasPrefix(line, "#") {
			if strings.Contains(line, ";") {
				r.Comma = ';' // as spreadsheets write it where the comma is in numbers
			}
			break
		}
	}
	return r
}

// StripLights are the lights that the colours of a file may be for.
func StripLights() []spectrum.Illuminant { return []spectrum.Illuminant{spectrum.D65, spectrum.D50} }

// StatedLight finds the light that a file of colours says they are for: its name
// stands in a comment, as in "# D50, 2°", or in a column light or illuminant. It is
// false when none is named, or several are.
func StatedLight(text string) (spectrum.Illuminant, bool) {
	var words []string
	for line := range strings.Lines(strings.TrimPrefix(text, "\ufeff")) {
		if strings.HasPrefix(line, "#") {
			words = append(words, strings.FieldsFunc(line, func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) })...)
		}
	}
	if rows, err := stripReader(text).ReadAll(); err == nil && len(rows) > 0 {
		at := slices.IndexFunc(rows[0], func(word string) bool {
			word = strings.ToLower(strings.TrimSpace(word))
			return word == "light" || word == "illuminant"
		})
		for _, row := range rows[1:] {
			if at >= 0 {
				words = append(words, strings.TrimSpace(row[at]))
			}
		}
	}
	var named []spectrum.Illuminant
	for _, light := range StripLights() {
		if slices.ContainsFunc(words, func(word string) bool { return strings.EqualFold(word, light.String()) }) {
			named = append(named, light)
		}
	}
	if len(named) != 1 {
		return 0, false
	}
	return named[0], true
}

// fillPatch reads one line of a file.
func fillPatch(s wax.Strip, row []string, columns [4]int, light spectrum.Illuminant) error {
	n, err := strconv.Atoi(strings.TrimSpace(row[columns[0]]))
	if err != nil || n < 1 || n > len(s) {
		return fmt.Errorf("%q is not the number of a patch; number them 1 to %d from the left", row[columns[0]], len(s))
	}
	if s[n-1].IsFinite() {
		return fmt.Errorf("patch %d is given twice; keep one of the two", n)
	}
	var v [3]float64
	for i := range v {
		if v[i], err = plan.ParseNumber(strings.TrimSpace(row[columns[i+1]])); err != nil {
			return fmt.Errorf("patch %d: %w", n, err)
		}
	}
	lab := spectrum.LabOf(v)
	if !lab.IsFinite() || lab.L < 0 || lab.L > 105 || math.Abs(lab.A) > 150 || math.Abs(lab.B) > 150 {
		return fmt.Errorf("patch %d has a colour that no print has; L* lies between 0 and 100, a* and b* between -150 and 150", n)
	}
	if light != spectrum.D65 {
		lab = lab.XYZ(light.White()).Adapt(light.White(), spectrum.D65.White()).Lab(spectrum.D65.White())
	}
	s[n-1] = lab
	return nil
}

// stripColumns finds patch, L, a and b in a heading.
func stripColumns(heading []string) (at [4]int, err error) {
	words := make([]string, len(heading))
	for i, word := range heading {
		words[i] = strings.TrimSuffix(strings.ToLower(strings.TrimSpace(word)), "*")
	}
	for i, want := range []string{"patch", "l", "a", "b"} {
		if at[i] = slices.Index(words, want); at[i] < 0 {
			return at, fmt.Errorf("line 1: there is no column %q; begin with the line \"patch, L, a, b\"", want)
		}
	}
	return at, nil
}

// csvError words what is wrong with a table.
func csvError(err error) error {
	var parse *csv.ParseError
	switch {
	case errors.Is(err, io.EOF):
		return errors.New("it is empty; begin with the line \"patch, L, a, b\"")
	case errors.Is(err, csv.ErrFieldCount) && errors.As(err, &parse):
		return fmt.Errorf("line %d: there are not as many columns as in the heading; write patch, L, a and b in each line", parse.Line)
	case errors.As(err, &parse):
		return fmt.Errorf("line %d: this does not read as a table with commas: %w", parse.Line, parse.Err)
	}
	return err
}
