package plan

import (
	"fmt"
	"strings"

	"setshade/internal/wax"
)

// gramsOf is the g that one of a unit of a drop's mass is.
var gramsOf = map[string]float64{"g": 1, "mg": 0.001}

// parseMass reads the mass of a drop, "0.45 g" or "450mg", in g.
func parseMass(words []string) (float64, error) {
	whole := strings.Join(words, " ")
	words = splitUnit(words)
	if len(words) != 2 {
		return 0, fmt.Errorf("%q is not the mass of a drop; write a number and a unit, like 0.45 g", whole)
	}
	grams, ok := gramsOf[strings.ToLower(words[1])]
	if !ok {
		return 0, fmt.Errorf("%q is not a unit for the mass of a drop; write g or mg", words[1])
	}
	value, err := ParseNumber(words[0])
	if err != nil {
		return 0, err
	}
	massG := value * grams
	if !(massG > 0 && massG <= wax.MaxDropG) {
		return 0, fmt.Errorf("a drop of %s is not one that can be; write its mass in g, above 0 and at most %g", whole, wax.MaxDropG)
	}
	return massG, nil
}

// cutMass takes the mass, if there is one, from the end of a drop's words. The unit
// tells it from the dose of a dye that is called Mass.
func cutMass(words []string) (dose []string, massG float64, err error) {
	if len(words) == 0 {
		return words, 0, nil
	}
	split := splitUnit(words)
	at := len(split) - 3
	if at < 0 || !strings.EqualFold(split[at], "mass") {
		return words, 0, nil
	}
	if _, isDose := unitOf(split[at+2]); isDose {
		return words, 0, nil
	}
	massG, err = parseMass(split[at+1:])
	return split[:at], massG, err
}
