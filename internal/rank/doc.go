// Package rank finds medians and quantiles without sorting all values.
//
// Half of a set of measurements may be wrong without moving its median far, which is
// why so much in reading photographs begins with one. Values are put in order only
// as far as needed, in the caller's slice.
package rank
