package batch

import (
	"fmt"
	"math"

	"setshade/internal/wax"
)

// hasFragrance reports whether a load asks for any.
func hasFragrance(l wax.Load) bool { return l.Percent != 0 }

// settled is the load with a convention even where there is no fragrance, as a
// wax.Batch wants it.
func settled(l wax.Load) wax.Load {
	if l == (wax.Load{}) {
		return wax.Load{Per: wax.PerWax}
	}
	return l
}

// CheckLoad refuses a load above the supplier's maximum, compared per wax
// whatever the two conventions are.
func CheckLoad(asked wax.Load, w wax.Wax) error {
	if err := settled(asked).Validate(); err != nil {
		return err
	}
	most := w.MaxLoad
	if most == (wax.Load{}) || asked.PerWaxPercent() <= most.PerWaxPercent()*(1+1e-12) {
		return nil
	}
	return fmt.Errorf("a fragrance load of %s is above the %s that the supplier of %s allows; give at most %s",
		asked, most, w.Name, sameLoad(most, asked.Per))
}

// sameLoad tells a load in the other convention, rounded down to 0.01 %:
//
//	per total: p / (1 + p) of a load p per wax
func sameLoad(l wax.Load, per wax.Convention) string {
	percent := l.Percent
	if l.Per != per {
		percent = l.PerWaxPercent()
		if per == wax.PerTotal {
			percent /= 1 + percent/100
		}
	}
	return fmt.Sprintf("%g %% of %s", floorTo(percent, 0.01), per)
}

// floorTo rounds down to a multiple of the step, a power of ten at most 1.
func floorTo(v, step float64) float64 {
	return math.Floor(v/step*(1+1e-12)) / math.Round(1/step)
}

// LoadReadings tells what a load means in both conventions for the same wax.
type LoadReadings struct {
	PerWaxG   float64 `json:"per_wax_g"`
	PerTotalG float64 `json:"per_total_g"`
	// Explained tells the difference and which of the two the sheet follows.
	Explained string `json:"explained"`
}

func readings(l wax.Load, undyedG float64) *LoadReadings {
	if !hasFragrance(l) {
		return nil
	}
	r := LoadReadings{
		PerWaxG:   wax.Load{Percent: l.Percent, Per: wax.PerWax}.FragranceG(undyedG),
		PerTotalG: wax.Load{Percent: l.Percent, Per: wax.PerTotal}.FragranceG(undyedG),
	}
	r.Explained = fmt.Sprintf("%g %% of the wax is %.2f g of fragrance for every 100 g of wax; %g %% of the total is %.2f g, because there the fragrance counts in what it is a share of. This plan goes per %s.",
		l.Percent, r.PerWaxG*100/undyedG, l.Percent, r.PerTotalG*100/undyedG, l.Per)
	return &r
}
