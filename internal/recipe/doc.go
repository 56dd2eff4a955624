// Package recipe finds what to weigh or count for a wanted shade, on what has
// been learned of a shelf of dyes.
//
// Match searches up to four dyes in whole practical units, quarter chips, drops
// or hundredths of a gram, within each dye's maximum. A continuous optimum
// comes first, for a good start and to tell what stops a shade that cannot be
// had. Then comes branch and bound (Land and Doig 1960, Econometrica 28:497)
// over boxes of doses, which is exact: its answers are those of trying every
// recipe, and it says so when it was cut short. What makes it quick:
//
//   - absorption is linear in the strengths of the dyes, and the reflectance
//     factor of a band falls as absorption grows; over a box of doses each
//     colour coordinate is therefore a linear function of the strengths, give
//     or take an error that is bounded and shrinks with the square of the box
//   - a colour within a given CIEDE2000 difference of the target lies in a known
//     ellipsoid; solving the linear functions for it leaves few doses of a box,
//     mostly none
//   - over a box of colours the CIEDE2000 difference has a lower bound
//
// MatchStock is Match in wax that holds dye already: for each share of dyed wax set
// aside, from the largest down, it is that search with the stock's absorption
// under it, and only for what beats the shares before.
//
// Ladder sets tints evenly in dE00 between two shades. Blend pours layers of
// different tints from one pot with nothing left over.
//
// The package is pure.
package recipe
