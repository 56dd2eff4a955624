package optics

import "fmt"

// check panics on a value outside its range, NaN included: with it no result
// would mean anything.
func check(what string, value, least, most float64) {
	if !(value >= least && value <= most) {
		outside(what, value, least, most)
	}
}

func outside(what string, value, least, most float64) {
	panic(fmt.Sprintf("optics: %s of %g; it lies within %g..%g", what, value, least, most))
}
