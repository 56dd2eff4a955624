// Package rescue mends a batch that came out too dark, too pale or off in hue:
// how much undyed wax and which dyes to add, the fragrance and additives that
// keep their load, what must leave the pot first when it is too small, and the
// shade then reached.
//
// Adding x grams of undyed wax to W grams of wax, and y grams of a dye, turns its
// dose c₀ into
//
//	c = s c₀ + e,   s = W / (W + x),   e = 1000 y / (W + x)
//
// so a rescue is a search over the dilution s, 0 < s <= 1, and what each
// correcting dye adds, e >= 0: a colour has three numbers, so at most two dyes
// are added beside the wax. What is taken from the pot first does not change the
// doses; it only scales the grams.
//
// Every set of at most two dyes has its nearest shade; those within the tolerance
// count as equally near, and the one that adds the least is told. A preference uses
// the tolerance up: of all answers within it, the least added, the least set aside,
// or the least cost.
//
// The package is pure.
package rescue
