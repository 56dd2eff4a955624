package workshop

import (
	"context"
	"fmt"
	"math"
	"slices"

	"setshade/internal/calibrate"
	"setshade/internal/wax"
)

// thicknessTold tells how thick drops are whose mass the plan says, and refuses
// masses that cannot be.
func (w *Workshop) thicknessTold(ctx context.Context, waxName string, swatches []wax.Swatch) ([]string, error) {
	base, err := w.Store.Waxes.Get(ctx, waxName)
	if err != nil {
		return nil, err
	}
	if err := plausibleMasses(base, swatches); err != nil {
		return nil, err
	}
	return thicknessNotes(base, swatches), nil
}

// hidingNotes tell how thick the wax must be for nothing to show through, where the
// masses of drops have taught it.
func hidingNotes(m *calibrate.Model) []string {
	mm, spread, ok := m.HidesFromMM()
	if !ok {
		return nil
	}
	half := math.Exp(calibrate.Z95 * spread)
	return []string{fmt.Sprintf("by the masses of the drops, undyed %s hides what lies below from about %.1f mm on (%.1f to %.1f)", m.Wax, mm, mm/half, mm*half)}
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

// plausibleMasses refuses a mass that would pile a drop up higher than half its
// width, or spread it to a film that is no drop.
func plausibleMasses(base wax.Wax, swatches []wax.Swatch) error {
	const thinnestMM = 0.05
	for _, s := range swatches {
		mm := base.DropThicknessMM(s.MassG, s.DiameterMM)
		if mm != 0 && (mm > s.DiameterMM/2 || mm < thinnestMM) {
			return fmt.Errorf("drop %d is %.0f mm wide; of %.3g g it would be %.2f mm thick; check its mass and the unit", s.Drop, s.DiameterMM, s.MassG, mm)
		}
	}
	return nil
}
