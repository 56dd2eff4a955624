// Package export writes everything a store keeps in open formats, and reads it
// back: to look at it in a spreadsheet, to take it to another program, or to
// keep it for longer than any program lasts.
//
// An export is a folder:
//
//	COLUMNS.txt           what every column means, with its unit
//	waxes.csv …           one table a file (RFC 4180, UTF-8), first line the columns
//	tables.json           the same tables as one JSON object
//	swatches.cgats.txt    the colours of the swatches, as ANSI CGATS.17 text
//	photos/HASH.jpg       each photograph, byte for byte, named by its SHA-256
//	plans/HASH.plan       the plan that went with it
//	learned/HASH          what was learned of a wax
//
// The tables of the CSV files are read back; tables.json is read where there are
// no CSV files. Columns are found by name. Numbers are written with as many
// digits as it takes to read the same number back, times in UTC (RFC 3339). An
// empty field stands for what is not known.
//
// A text that a spreadsheet could take for a formula (one that begins with
// = + - @), that begins with a quote, or that holds control characters is written
// as a JSON string, in quotes, and read back as what it was.
//
// A new column of a noun is one line in tables.go; see [sheets].
package export
