package rescue

import (
	"fmt"

	"setshade/internal/spectrum"
)

// Target is what the batch should look like once set: a colour, or the batch
// as it is with a share of its dye gone.
type Target struct {
	colour         spectrum.Lab
	lighterPercent float64
}

// Colour is the target of a given set shade.
func Colour(lab spectrum.Lab) Target { return Target{colour: lab} }

// Lighter is the target of so many per cent less dye in every kilogram of wax;
// percent lies above 0 and below 100.
func Lighter(percent float64) (Target, error) {
	if !(percent > 0 && percent < 100) {
		return Target{}, fmt.Errorf("%g %% lighter cannot be; it must lie above 0 and below 100 %% of the dye", percent)
	}
	return Target{lighterPercent: percent}, nil
}

// IsColour tells a target of a given shade from one of less dye.
func (t Target) IsColour() bool { return t.lighterPercent == 0 }
