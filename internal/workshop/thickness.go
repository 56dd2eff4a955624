package workshop

import (
	"context"
	"fmt"
	"slices"

	"setshade/internal/wax"
)

// thicknessTold tells how thick drops are whose mass the plan says.
func (w *Workshop) thicknessTold(ctx context.Context, waxName string, swatches []wax.Swatch) ([]string, error) {
	base, err := w.Store.Waxes.Get(ctx, waxName)
	if err != nil {
		return nil, err
	}
	return thicknessNotes(base, swatches), nil
}

// thicknessNotes tell how thick drops are whose mass the plan says, or why that is
// not known.
func thicknessNotes(base wax.Wax, swatches []wax.Swatch) []string {
	var mm []float64
	weighed := 0
	for _, s := range swatches {
		if s.MassG == 0 {
			continue
		}
		weighed++
		if thickness := base.DropThicknessMM(s.MassG, s.DiameterMM); thickness > 0 {
			mm = append(mm, thickness)
		}
	}
	switch {
	case weighed == 0:
		return nil
	case len(mm) == 0:
		return []string{"the mass of the drops tells how thick they are only on a printed card, where their diameter is read"}
	}
	least, most := fmt.Sprintf("%.1f", slices.Min(mm)), fmt.Sprintf("%.1f", slices.Max(mm))
	if least == most {
		return []string{fmt.Sprintf("by mass and diameter the drops are about %s mm thick in their middle", least)}
	}
	return []string{fmt.Sprintf("by mass and diameter the drops are about %s to %s mm thick in their middle", least, most)}
}
