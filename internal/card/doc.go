// Package card describes the printed test card: what is printed on it and where,
// in one place for the printer, the renderer and the reader.
//
// Places are in mm from the card's middle, x to the right and y down, on the card
// held so that its title reads. Both papers, A5 and half Letter, carry the same
// marks at the same places; only the white around them differs, so that a reader
// needs not know the paper to find a mark.
//
//	g := card.Layout(card.A5)
//	g.Fiducials[0]         // the solid disc at the top left; the others have a hole
//	g.Drops[12].OverBlack  // number 13 lies half over the black bar
//	for _, m := range g.Painted() { ... }  // everything, in the order of printing
//
// What is on it:
//
//   - Fiducials: four black discs at the corners of an oblong. Three have a white
//     hole in the middle. The one without stands at the top left, and any three
//     of the four still say which way up the card is.
//   - Drops: three rows of six numbered rings, each with a line for the dose. The
//     lower half of the last row lies over a black bar: what of it shows through
//     a drop tells how well the wax hides.
//   - Strip: eight grey steps and six colours. Their sRGB values are what the
//     printer is asked for; what it printed is known only once it is measured.
//   - Code: a row of cells that say which card this is, with cells of parity: eight
//     at the right, and seven before them from the second print on. A maker who
//     prints again on another printer, ink or paper gives that print a number, and
//     its strip is then not taken for the first one's.
//   - Ruler: 100 mm to lay a ruler on.
//
// Everything a maker reads or writes on is grey, so that it stays out of the way
// of the reader.
//
// The package is pure. Package card/pdf writes the page to print.
package card
