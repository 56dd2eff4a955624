// Package wax holds the nouns of the trade and their rules: the undyed wax and
// its temperatures, the dyes on the shelf, doses and recipes, fragrance load,
// moulds, and the swatch, a measured drop.
//
// The words, used alike in code, commands and stored data:
//
//   - dose: g of dye per kg of undyed wax; chips and drops convert by the
//     dye's unit mass
//   - load: fragrance as a share of the wax, or of the total; always said which
//   - swatch: a measured drop with its dose and state
//   - liquid, set: the two states of a drop
//   - ladder: swatches of one dye in order of dose
//   - undyed wax: the white base without dye; adding it lightens
//
// The package is pure: it knows no files, no clock and no store.
package wax
