package main

import (
	"fmt"
	"strings"

	"setshade/internal/scene"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
	"setshade/swatches"
)

// plan writes the card's plan, as the maker would.
func (c card) plan() string {
	var b strings.Builder
	white := spectrum.D65.Lab(scene.WhiteCard())
	fmt.Fprintf(&b, "# Harrow Lane Wax (invented), rendered picture: %s\n", c.title)
	fmt.Fprintf(&b, "wax   %s\n", swatches.Wax().Name)
	fmt.Fprintf(&b, "state %s\n", c.state)
	fmt.Fprintf(&b, "card  %.2f %.2f %.2f  # L* a* b* of the bare card under D65\n", white.L, white.A, white.B)
	fmt.Fprint(&b, "rows ")
	for _, row := range c.rows {
		fmt.Fprintf(&b, " %d", len(row))
	}
	fmt.Fprintln(&b)
	number := 0
	for _, row := range c.rows {
		for _, d := range row {
			number++
			fmt.Fprintf(&b, "%d  %s\n", number, d)
		}
	}
	return b.String()
}

// String writes the drop as a plan does.
func (d drop) String() string {
	if len(d.parts) == 0 {
		return wax.Undyed
	}
	var parts []string
	for _, a := range d.parts {
		unit := "g"
		if u := dyeNamed(a.dye).Form.Unit(); u != "" {
			unit = u
			if a.value != 1 {
				unit += "s"
			}
		}
		parts = append(parts, fmt.Sprintf("%s %g %s/kg", a.dye, a.value, unit))
	}
	text := strings.Join(parts, " + ")
	if d.check {
		text += "  check"
	}
	return text
}
