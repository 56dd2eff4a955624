// Package plan reads and writes the card's written plan: which drop on the
// photographed card is which dose.
//
// A plan is a text file, one fact a line. What follows a # is a remark.
//
//	wax   Harrow Soy
//	state set                 # or liquid
//	piece thick               # optional: finished pieces in place of drops
//	card  95.2 0.1 0.4        # optional: L* a* b* of the bare card under D65
//	mass  0.45 g              # optional: what each drop weighs
//	rows  3 1                 # optional: drops in each row, from the top of the picture
//	1  undyed
//	2  Bracken 0.5 g/kg
//	3  Bracken 2 chips/kg + Slate Hill 0.25 g/kg
//	4  Bracken 1 g/kg mass 0.3 g check
//
// Drops are numbered from 1 without gap, from left to right in each row and
// from the top row of the picture down. On a printed card numbers may be left out, and
// are then those printed beside the places; or rows tell how many drops, from the first
// place on, a row of places holds, 0 for none. An amount is a number and a unit for each kg of
// undyed wax: g/kg, mg/kg, chips/kg, drops/kg, or % (1 % is 10 g/kg);
// or for each pound of it: g/lb, oz/lb, chips/lb, drops/lb. Numbers
// take a decimal point or a decimal comma. A drop's own mass, in g or mg, stands
// after its dose and goes before that of the card; check stands last and keeps the
// drop back: it is shown, never learned from. Left out in place of a dose says that the
// drop lies on the card and that nothing of it is kept, as of one that ran.
//
// Parse knows only the text. Chips and drops become grams when Resolve is
// given the shelf of dyes.
//
// The package is pure: it knows no files, no clock and no store.
package plan
