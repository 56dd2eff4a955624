package photo

import (
	"fmt"

	"setshade/internal/rank"
)

// AnchorFlaw tells how far a reading of a printed card is from what others may be
// brought to: the largest of its faults as a share of what is allowed, and, above 1,
// what it is in plain words.
func (r Reading) AnchorFlaw() (flaw float64, why string) {
	unsound := 0
	var unlike []int
	for i, p := range r.Patches {
		if !p.Sound {
			unsound++
		} else if p.unlike {
			unlike = append(unlike, i+1)
		}
	}
	var radii []float64
	for _, d := range r.Drops {
		radii = append(radii, d.DiameterPx/2)
	}
	blur := 0.0
	if len(radii) > 0 {
		blur = r.Quality.EdgePx / rank.Median(radii)
	}
	lamp := 0.0 // what is under one is fit, as the last to be chosen
	if r.UnderLamp != "" {
		lamp = 1
	}
	q := r.Quality
	for _, fault := range []struct {
		share float64
		says  string
	}{
		{2 * float64(unsound), fmt.Sprintf("%d of its strip's patches cannot be used", unsound)},
		{2 * float64(len(unlike)), fmt.Sprintf("%s of its strip cannot have been printed so: keep wax, dirt and shadows off the strip", listed("patch", "patches", unlike))},
		{lamp, r.UnderLamp},
		{q.TintShift / anchorTint, "the light on the card changes its colour"},
		{(q.LightRatio - 1) / (anchorLightRatio - 1), fmt.Sprintf("the light on the card is uneven, 1:%.1f", q.LightRatio)},
		{blur / anchorEdge, fmt.Sprintf("it is blurred, its edges %.0f pixels wide", q.EdgePx)},
		{q.Noise / anchorNoise, fmt.Sprintf("it is noisy, %.0f %% from pixel to pixel", 100*q.Noise)},
	} {
		if fault.share > flaw {
			flaw, why = fault.share, fault.says
		}
	}
	if flaw <= 1 {
		why = ""
	}
	return flaw, why
}
