// Package rescue finds what to add to a batch that came out too dark: grams of
// undyed wax, the fragrance that keeps its load, what must leave the pot first
// when it is too small, and the shade then reached.
//
// Diluting W grams of wax with x grams of undyed wax multiplies every dose by
//
//	s = W / (W + x)
//
// so a rescue is a search over one number. The dyes stay in proportion: where
// the hue is off, dilution cannot mend it, and the answer says how far it stays
// from the target.
//
// The package is pure.
package rescue
