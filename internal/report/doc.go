// Package report turns results into what people read on a terminal: numbers
// with their units, colours with their words, tables, a progress line; and into
// the picture of predicted beside measured.
//
// # Rules of speech
//
// Everything said to a maker keeps these rules:
//
//   - A result goes to standard output and nothing else does. Notes, warnings,
//     progress and errors go to standard error.
//   - An error is one plain sentence: what is wrong, and where. What to do
//     follows after a semicolon or on the next line, with the corrected
//     command when there is one.
//   - Numbers carry their unit and no more digits than a workshop can use:
//     grams to 0.1 from 10 g up and to 0.01 below, colour difference (dE00) to
//     0.1.
//   - A number that is not known is left out or said to be not recorded; it is
//     never shown as 0.
//   - Never colour alone: a coloured block always stands beside its hex code
//     and its word, and is left out where the terminal cannot show it.
//   - An empty answer is an answer, not a failure.
//
// The package writes only to what it is given. It knows no store, no files, no
// clock and no environment; whoever calls it says what the terminal can do.
package report
