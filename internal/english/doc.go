// Package english has the small words of plain sentences: the plural that goes
// with a count, and names in a row.
//
//	english.Count(3, "drop", "drops")               // "3 drops"
//	english.And([]string{"Bracken", "Slate Hill"})  // "Bracken and Slate Hill"
//
// The package is pure and knows nothing of wax.
package english
