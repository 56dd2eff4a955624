package optics

import "math"

// fallingRoot returns the x in lo..hi where a falling, positive function with
// convex logarithm takes the target value. Newton's method on the logarithm,
// which then approaches from the left without overshooting; a step that leaves
// the bracket is replaced by bisection, so that it always ends.
//
// f returns the value and its derivative; f(lo) >= target >= f(hi) > 0.
func fallingRoot(target, lo, hi, start float64, f func(x float64) (value, slope float64)) float64 {
	const (
		iterations = 200 // bisection alone needs fewer over 1e-30..1e30
		tolerance  = 4e-16
	)
	x := start
	for range iterations {
		value, slope := f(x)
		switch {
		case value > target:
			lo = x
		case value < target:
			hi = x
		default:
			return x
		}
		next := x - math.Log(value/target)*value/slope
		if !(next > lo && next < hi) {
			next = (lo + hi) / 2
		}
		if math.Abs(next-x) <= tolerance*x {
			return next
		}
		x = next
	}
	return x
}
