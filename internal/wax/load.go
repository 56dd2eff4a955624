package wax

import "fmt"

// Convention says what a fragrance load is a share of.
type Convention string

// The two conventions of the trade. They differ: 10 % of 100 g of wax is 10 g
// per wax, and 11.1 g per total.
const (
	PerWax   Convention = "wax"
	PerTotal Convention = "total"
)

// Load is how much fragrance a wax carries.
type Load struct {
	// Percent of the wax, or of wax and fragrance together; 0..50.
	Percent float64
	Per     Convention
}

// Validate reports a load that cannot be.
func (l Load) Validate() error {
	if l.Per != PerWax && l.Per != PerTotal {
		return fmt.Errorf("a load is per wax or per total, not per %q", l.Per)
	}
	if !within(l.Percent, 0, 50) {
		return fmt.Errorf("a fragrance load of %g %% cannot be; it must lie between 0 and 50 %%", l.Percent)
	}
	return nil
}

// FragranceG returns the grams of fragrance for the grams of wax:
//
//	per wax:   F = W p        per total: F = W p / (1 - p),  p = Percent/100
func (l Load) FragranceG(waxG float64) float64 {
	p := l.Percent / 100
	if l.Per == PerTotal {
		return waxG * p / (1 - p)
	}
	return waxG * p
}

// PerWaxPercent returns the same load told per wax, so that two loads compare.
func (l Load) PerWaxPercent() float64 { return l.FragranceG(100) }

// String writes the load with its convention, always.
func (l Load) String() string { return fmt.Sprintf("%.3g %% of %s", l.Percent, l.Per) }
