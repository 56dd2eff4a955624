package workshop

import (
	"fmt"
	"regexp"
	"strings"

	"setshade/internal/batch"
	"setshade/internal/plan"
	"setshade/internal/wax"
)

// coloursOf reads the colours of an order with the dyes on the shelf. Of several,
// those without a name are named by their dose.
func coloursOf(texts []string, shelf []wax.Dye) ([]batch.Colour, []string, error) {
	var colours []batch.Colour
	var notes []string
	for _, text := range texts {
		c, dose, remarks, err := colourOf(text, shelf)
		if err != nil {
			return nil, nil, fmt.Errorf("%.80q: %w", text, err)
		}
		if c.Name == "" && len(texts) > 1 {
			c.Name = dose
		}
		colours, notes = append(colours, c), append(notes, remarks...)
	}
	return colours, notes, nil
}

// portions stand at the end of a colour: "x 16", or "× 2,5".
var portions = regexp.MustCompile(`(?i)\s[x×]\s*([0-9][0-9.,]*)$`)

// colourOf reads "Dawn = Bracken 2 g/kg x 16", of which name and portions may be
// left out, and returns the dose as it was written too. A dye's name has no "=",
// and a dose ends in its unit, so that name and portions are told apart from it.
func colourOf(text string, shelf []wax.Dye) (c batch.Colour, dose string, notes []string, err error) {
	dose = strings.Join(strings.Fields(text), " ")
	if name, rest, ok := strings.Cut(dose, "="); ok {
		if c.Name = strings.TrimSpace(name); c.Name == "" {
			return c, "", nil, fmt.Errorf(`there is no name before the "="; write one like "Dawn = Bracken 2 g/kg"`)
		}
		dose = strings.TrimSpace(rest)
	}
	if found := portions.FindStringSubmatch(dose); found != nil {
		n, err := plan.ParseNumber(found[1])
		if err != nil {
			return c, "", nil, err
		}
		if n <= 0 {
			return c, "", nil, fmt.Errorf("%g portions cannot be; write a number above 0, or none to take what is left", n)
		}
		c.Portions, dose = n, strings.TrimSuffix(dose, found[0])
	}
	parts, err := plan.ParseDose(dose)
	if err != nil {
		return c, "", nil, err
	}
	c.Recipe, notes, err = plan.ResolveDose(parts, shelf)
	return c, dose, notes, err
}
