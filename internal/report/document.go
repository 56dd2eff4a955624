package report

import "time"

// document is a report in words, patches and pictures, the same as HTML and as
// PDF.
type document struct {
	title string
	// under is a line below the title.
	under    string
	at       time.Time
	sections []section
}

// foot says what every report ends with.
func (d document) foot() string {
	return "Made by setshade on " + d.at.Format("2 January 2006") + ". dE00 is a difference of colour: below 1 is hardly seen side by side, 2 is. " + screensDiffer
}

// section is a part of a document under a heading of its own.
type section struct {
	title  string
	blocks []block
}

// block is one of prose, remarks, facts, swatchRow, grid and pictures.
type block interface{ isBlock() }

// prose is a paragraph.
type prose string

// remarks are sentences, each to be seen by itself.
type remarks []string

// facts are what is known of one thing.
type facts []fact

type fact struct{ What, Value string }

// swatchRow is patches of colour on neutral grey, edge to edge, under a title of
// their own that may be "".
type swatchRow struct {
	Title   string
	Patches []patch
}

// patch is one colour, or two that are compared, left and right. A hex code is
// in its lines: never colour alone.
type patch struct {
	Hexes []string
	Title string
	Lines []string
}

// grid is a table with a heading over each column.
type grid struct {
	Titles []string
	Rows   [][]cell
}

// cell is a text, with a patch of the colour before it where Hex is not "".
type cell struct{ Hex, Text string }

// pictures stand beside each other where there is room.
type pictures []picture

// picture is a drawing. Alt tells its content to who cannot see it.
type picture struct {
	png []byte
	// Wide and High are its size on a screen, in CSS pixels.
	Wide, High int
	Alt        string
	Caption    string
}

func (prose) isBlock()     {}
func (remarks) isBlock()   {}
func (facts) isBlock()     {}
func (swatchRow) isBlock() {}
func (grid) isBlock()      {}
func (pictures) isBlock()  {}
