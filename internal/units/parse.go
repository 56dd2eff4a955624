package units

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"setshade/internal/plan"
)

// ErrWhichFluidOunce is returned for a fluid ounce of no country.
var ErrWhichFluidOunce = errors.New("a fluid ounce is 29.57 ml in the United States and 28.41 ml in Britain; write US fl oz or imp fl oz")

// Parse reads a quantity of the dimension: a number, or a fraction like 1/2 or
// 1 1/2, with a unit after it. A number alone is grams, millilitres or percent;
// a count always needs its unit. Quantities are not negative, and drops are
// whole. Errors say what is wrong and what to write.
func Parse(text string, want Dimension) (Quantity, error) {
	number, word := split(text)
	if number == "" {
		return Quantity{}, fmt.Errorf("%.40q has no number in front; write an amount like %q", text, example(want))
	}
	unit, err := unitWanted(word, want)
	if err != nil {
		return Quantity{}, err
	}
	if strings.HasPrefix(number, "-") {
		return Quantity{}, fmt.Errorf("%.40q is negative; write an amount like %q", text, example(want))
	}
	value, err := plan.ParseValue(number)
	if err != nil {
		return Quantity{}, err
	}
	if unit == Drop && value != math.Trunc(value) {
		return Quantity{}, fmt.Errorf("%.40q is not a whole number of drops, and a drop cannot be divided; write whole drops, or weigh them", text)
	}
	return Quantity{value, unit}, nil
}

// split parts the number from the word behind it, and writes fractions of one
// sign, like ½, as 1/2.
func split(text string) (number, word string) {
	text = strings.Join(strings.Fields(fractionSigns.Replace(text)), " ")
	at := strings.IndexFunc(text, func(r rune) bool { return !strings.ContainsRune("0123456789.,/+- ", r) })
	if at < 0 {
		at = len(text)
	}
	return strings.TrimSpace(text[:at]), text[at:]
}

var fractionSigns = strings.NewReplacer(
	"½", " 1/2", "¼", " 1/4", "¾", " 3/4", "⅓", " 1/3", "⅔", " 2/3",
	"⅛", " 1/8", "⅜", " 3/8", "⅝", " 5/8", "⅞", " 7/8", "⁄", "/", "−", "-",
)

// unitWanted finds the unit of a word, which must have the dimension.
func unitWanted(word string, want Dimension) (Unit, error) {
	if word == "" {
		if want == Count {
			return "", fmt.Errorf("the number does not say what it counts; write %s after it", offered(want))
		}
		return first(want), nil
	}
	unit, ok := unitOf(word)
	switch {
	case !ok && isFluidOunce(word):
		return "", ErrWhichFluidOunce
	case !ok:
		return "", fmt.Errorf("%.40q is not a unit for a %s; write %s", word, want, offered(want))
	case unit.Dimension() != want:
		return "", fmt.Errorf("%s is a unit of %s where a %s is wanted; write %s", unit, unit.Dimension(), want, offered(want))
	}
	return unit, nil
}

// isFluidOunce reports a fluid ounce that does not say whose.
func isFluidOunce(word string) bool {
	_, ok := unitOf("us " + word)
	return ok
}

// first is the unit of a number that stands alone.
func first(want Dimension) Unit {
	for _, d := range definitions {
		if d.dimension == want {
			return d.unit
		}
	}
	panic("units: there is no dimension " + string(want))
}

func example(want Dimension) string {
	if want == Count {
		return "1 1/2 chips"
	}
	return "250 " + string(first(want))
}
