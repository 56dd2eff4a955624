package workshop

import (
	"fmt"
	"regexp"
	"strings"

	"setshade/internal/plan"
	"setshade/internal/wax"
)

// share stands at the end of an additive: "3%", "2.5 %".
var share = regexp.MustCompile(`^(.*\S)\s+([0-9][0-9.,]*)\s*%$`)

// ParseAdditives reads additives written "Stearin 3%", in percent of the undyed
// wax.
func ParseAdditives(texts []string) ([]wax.Additive, error) {
	var out []wax.Additive
	for _, text := range texts {
		found := share.FindStringSubmatch(strings.TrimSpace(text))
		if found == nil {
			return nil, fmt.Errorf(`%.80q is not an additive; write its name and its share of the undyed wax, like "Stearin 3%%"`, text)
		}
		percent, err := plan.ParseNumber(found[2])
		if err != nil {
			return nil, err
		}
		a := wax.Additive{Name: strings.Join(strings.Fields(found[1]), " "), Percent: percent}
		if err := a.Validate(); err != nil {
			return nil, err
		}
		out = append(out, a)
	}
	return out, nil
}
