package plan

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"setshade/internal/plaintext"
	"setshade/internal/wax"
)

// ParseDose reads a dose as a plan writes it, "Bracken 0.5 g/kg + Slate Hill
// 2 chips/kg" or "undyed", which gives no amounts. Errors say what is wrong
// and what to write.
func ParseDose(text string) ([]Amount, error) {
	text = strings.Join(strings.Fields(text), " ")
	if text == "" {
		return nil, fmt.Errorf(`no dose is given; write one like "Bracken 0.5 g/kg", or "undyed"`)
	}
	if strings.EqualFold(text, wax.Undyed) {
		return nil, nil
	}
	var parts []Amount
	for _, piece := range strings.Split(text, "+") {
		a, err := parseAmount(strings.Fields(piece))
		if err != nil {
			return nil, err
		}
		for _, earlier := range parts {
			if plaintext.Same(earlier.Dye, a.Dye) {
				return nil, fmt.Errorf("%s is given twice in one drop; write its whole dose once", a.Dye)
			}
		}
		parts = append(parts, a)
	}
	return parts, nil
}

// parseAmount reads "Slate Hill 0.25 g/kg", with or without the blank before
// the unit.
func parseAmount(words []string) (Amount, error) {
	whole := strings.Join(words, " ")
	if whole == "" {
		return Amount{}, fmt.Errorf(`a dye is missing beside a "+"; write a dye with its amount, like "Bracken 0.5 g/kg"`)
	}
	words = splitUnit(words)
	if len(words) < 3 {
		return Amount{}, fmt.Errorf(`%q is not a dose; write the dye, a number and a unit, like "Bracken 0.5 g/kg"`, whole)
	}
	last := len(words) - 1
	unit, ok := unitOf(words[last])
	if !ok {
		return Amount{}, fmt.Errorf("%q is not a unit for a dose; write g/kg, mg/kg, chips/kg, drops/kg or %%, or for each lb of wax g/lb, oz/lb, chips/lb or drops/lb", words[last])
	}
	number := words[last-1 : last]
	if _, whole := wholeNumber(words[last-2], MaxWhole); whole && len(words) > 3 && strings.Contains(words[last-1], "/") {
		number = words[last-2 : last] // 1 1/2
	}
	value, err := ParseValue(strings.Join(number, " "))
	if err != nil {
		return Amount{}, err
	}
	name := strings.Join(words[:last-len(number)], " ")
	if err := (wax.Dye{Name: name, Form: wax.Powder}).Validate(); err != nil {
		return Amount{}, fmt.Errorf("%w; write the dye's name before its amount", err)
	}
	return checkedAmount(Amount{Dye: name, Value: value, Unit: unit})
}

func checkedAmount(a Amount) (Amount, error) {
	switch {
	case a.Value < 0:
		return Amount{}, fmt.Errorf("the dose of %s is negative; write an amount above 0", a.Dye)
	case a.Value == 0:
		return Amount{}, fmt.Errorf("the dose of %s is 0; leave the dye out, or write undyed", a.Dye)
	case scales[a.Unit].counted == "" && a.Value*scales[a.Unit].perKg > wax.MaxDoseGPerKg:
		return Amount{}, fmt.Errorf("the dose of %s is more than %g g/kg; check the number and its unit", a.Dye, wax.MaxDoseGPerKg)
	}
	return a, nil
}

// splitUnit separates a unit written against its number: "0.5g/kg" becomes
// "0.5", "g/kg". It returns the words unchanged when nothing is to be split.
func splitUnit(words []string) []string {
	last := words[len(words)-1]
	at := strings.IndexFunc(last, func(r rune) bool { return !strings.ContainsRune("+-.,0123456789", r) })
	if at <= 0 {
		return words
	}
	return append(append([]string(nil), words[:len(words)-1]...), last[:at], last[at:])
}

// maxNumber bounds every number of a plan; nothing on a card comes near it.
const maxNumber = 1e9

// ParseNumber reads plain digits with at most one decimal point or comma and
// an optional minus sign; the result is finite, at most maxNumber. "1,500" is
// refused, because it means 1.5 to one reader and 1500 to another.
func ParseNumber(word string) (float64, error) {
	digits := strings.TrimPrefix(word, "-")
	whole, fraction, _ := strings.Cut(strings.Replace(digits, ",", ".", 1), ".")
	if strings.Trim(whole+fraction, "0123456789") != "" || whole+fraction == "" || len(fraction) > 20 {
		return 0, fmt.Errorf("%q is not a number; write one like 0.5", word)
	}
	if strings.Contains(digits, ",") && len(fraction) == 3 && strings.Trim(whole, "0") != "" {
		return 0, fmt.Errorf("%q can be read two ways; write %s.%s or %s%s", word, whole, fraction, whole, fraction)
	}
	v, err := strconv.ParseFloat(strings.Replace(word, ",", ".", 1), 64)
	if err != nil || math.Abs(v) > maxNumber {
		return 0, fmt.Errorf("%.30q is too large a number for a plan; check it", word)
	}
	return v, nil
}

// Bounds of a fraction as it is written, so that its value is also a decimal
// that can be read back.
const (
	MaxWhole       = 99999
	maxDenominator = 64
)

// ParseValue reads a number as ParseNumber does, or a fraction: "0.5", "0,5", "1/2", "1 1/2"
// and "1-1/2".
func ParseValue(number string) (float64, error) {
	if !strings.Contains(number, "/") {
		return ParseNumber(number)
	}
	whole, fraction := 0, blanksAroundSlash.Replace(number)
	if at := strings.LastIndexAny(fraction, " -"); at > 0 {
		var ok bool
		if whole, ok = wholeNumber(fraction[:at], MaxWhole); !ok {
			return 0, notFraction(number)
		}
		fraction = fraction[at+1:]
	}
	upper, lower, _ := strings.Cut(fraction, "/")
	above, aboveOK := wholeNumber(upper, MaxWhole)
	below, belowOK := wholeNumber(lower, maxDenominator)
	if !aboveOK || !belowOK || below == 0 || (whole > 0 && above >= below) {
		return 0, notFraction(number)
	}
	return float64(whole) + float64(above)/float64(below), nil
}

var blanksAroundSlash = strings.NewReplacer(" / ", "/", " /", "/", "/ ", "/")

func wholeNumber(digits string, most uint64) (int, bool) {
	n, err := strconv.ParseUint(digits, 10, 32)
	return int(n), err == nil && n <= most
}

func notFraction(number string) error {
	return fmt.Errorf("%.40q is not a fraction; write one like 1/4 or 1 1/2", number)
}

// formatNumber is the shortest decimal that ParseNumber reads back unchanged.
func formatNumber(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }
