package plan

import (
	"fmt"
	"strings"

	"setshade/internal/wax"
)

// Format writes the plan as text; Parse reads it back unchanged.
func Format(p Plan) string {
	var b strings.Builder
	fmt.Fprintf(&b, "wax   %s\n", p.Wax)
	fmt.Fprintf(&b, "state %s\n", p.State)
	if p.Thick {
		b.WriteString("piece thick\n")
	}
	fmt.Fprintf(&b, "card  %s %s %s\n", formatNumber(p.Card.L), formatNumber(p.Card.A), formatNumber(p.Card.B))
	if p.MassG != 0 {
		fmt.Fprintf(&b, "mass  %s g\n", formatNumber(p.MassG))
	}
	if p.Light != "" {
		fmt.Fprintf(&b, "under %s\n", p.Light)
	}
	if p.Rows != nil {
		fmt.Fprintf(&b, "rows  %s\n", strings.Trim(fmt.Sprint(p.Rows), "[]"))
	}
	for _, d := range p.Drops {
		if d.LeftOut {
			fmt.Fprintf(&b, "%-3d %s\n", d.Number, leftOut)
			continue
		}
		fmt.Fprintf(&b, "%-3d %s", d.Number, FormatDose(d.Parts))
		if d.MassG != 0 {
			fmt.Fprintf(&b, " mass %s g", formatNumber(d.MassG))
		}
		if d.Check {
			b.WriteString(" check")
		}
		b.WriteByte('\n')
	}
	return b.String()
}

// FormatDose writes amounts as a plan does, "undyed" when there are none.
func FormatDose(parts []Amount) string {
	if len(parts) == 0 {
		return wax.Undyed
	}
	words := make([]string, len(parts))
	for i, a := range parts {
		words[i] = fmt.Sprintf("%s %s %s", a.Dye, formatNumber(a.Value), a.Unit)
	}
	return strings.Join(words, " + ")
}
