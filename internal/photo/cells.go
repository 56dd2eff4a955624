package photo

import (
	"fmt"
	"math"
	"slices"

	"setshade/internal/card"
	"setshade/internal/english"
	"setshade/internal/picture"
	"setshade/internal/plane"
	"setshade/internal/rank"
)

// recognise reads the row of cells and takes over the layout that it stands for. Where
// wax or dirt lies on cells, those that are seen must fit one print alone, on one paper
// or on that which the paper's edges tell.
func (c *printedCard) recognise(p *picture.Picture, white *whiteField) error {
	rows := c.cellRows(p, white)
	black, seen := codeSeen(rows)
	if !slices.Contains(seen[:], false) {
		geometry, err := black.Decode()
		if err == nil {
			c.geometry = geometry
		}
		return err
	}
	fitting := black.Fitting(seen)
	if len(fitting) == 2 && fitting[0].PrintNumber == fitting[1].PrintNumber {
		if size, told := c.paperByEdges(p, white); told {
			fitting = slices.DeleteFunc(fitting, func(g card.Geometry) bool { return g.Size != size })
		}
	}
	switch n := len(fitting); {
	case n == 1:
		c.geometry, c.spoilt = fitting[0], true
		return nil
	case n > 1 && n <= 3:
		var prints []string
		for _, g := range fitting {
			prints = append(prints, g.Print())
		}
		return fmt.Errorf("it may be %s, since %w", english.Or(prints), card.ErrCodeUnreadable)
	}
	return card.ErrCodeUnreadable
}

// spoiltCells says that the print was told by a part of its cells, "" when all were seen.
func (c *printedCard) spoiltCells() string {
	if !c.spoilt {
		return ""
	}
	return fmt.Sprintf("wax or a shadow lies on the card's row of cells; by those that are seen it is %s", c.geometry.Print())
}

// cellRow is the light along a row of places across a cell, as a share of white.
type cellRow [channels]float64

// Rows across a cell: above it, three on it, below it.
const (
	cellRows            = 5
	firstOnCell, onCell = 1, 3
)

// cellRows samples the middle half of each cell's width.
func (c *printedCard) cellRows(p *picture.Picture, white *whiteField) (rows [card.CodeCells][cellRows]cellRow) {
	// Beside are the mm from the upper and lower edge: more in a coarse picture, and less
	// than up to the words below.
	const least, most, softPx, steps = 0.8, 1.4, 1.7, 4
	middle := card.Rect{Min: c.geometry.Cells[0].Min, Max: c.geometry.Cells[card.CodeCells-1].Max}.Centre()
	j := c.onto.Jacobian(at(middle))
	beside := min(max(least, softPx/math.Hypot(j[1], j[3])), most)
	for i, cell := range c.geometry.Cells {
		middle, size := cell.Centre(), cell.SizeMM()
		for k, y := range [cellRows]float64{cell.Min.Y - beside, cell.Min.Y + beside, middle.Y, cell.Max.Y - beside, cell.Max.Y + beside} {
			for s := range steps + 1 {
				x := middle.X + (float64(s)/steps-0.5)*size.X/2
				q := c.onto.Apply(plane.Point{X: x, Y: y})
				px, py := clampInt(q.X, p.W), clampInt(q.Y, p.H)
				for ch := range channels {
					rows[i][k][ch] += float64(p.Light[ch][py*p.W+px]) / white.at(px, py) / (steps + 1)
				}
			}
		}
	}
	return rows
}

// codeSeen says which cells are black, and which are seen to be black or white: as dark
// as ink, in white paper, or as bright as the paper above and below the row and of its
// colour. In photographs that were rendered with noise, at half a megapixel and at JPEG
// 40, ink was below 0.06 of white and paper above 0.9; undyed wax, 1 mm thick on ink, is
// 0.85 of paper.
func codeSeen(rows [card.CodeCells][cellRows]cellRow) (black, seen card.Code) {
	const darkest, half, brightest, even, tinted = 0.25, 0.5, 0.75, 0.92, 0.05
	paper := paperOf(rows)
	for i := range rows {
		ink, bare := true, colourOff(rows[i][:], paper) < tinted
		light, all := 0.0, 0.0
		for k, r := range rows[i] {
			bright := mean3(r)
			bare = bare && bright > brightest
			all += bright / cellRows
			if k < firstOnCell || k >= firstOnCell+onCell {
				ink = ink && bright > half
				continue
			}
			ink = ink && bright < darkest
			light += bright / onCell
		}
		black[i], seen[i] = light < half, ink || bare && all > even*mean3(paper)
	}
	return black, seen
}

// colourOff is how far a channel's share in the light of rows is from that of paper.
func colourOff(rows []cellRow, paper cellRow) (off float64) {
	var sum cellRow
	for _, r := range rows {
		for ch, v := range r {
			sum[ch] += v
		}
	}
	for ch, v := range sum {
		off = max(off, math.Abs(v/max(mean3(sum), 1e-6)-paper[ch]/max(mean3(paper), 1e-6)))
	}
	return off
}

// paperOf is the middling light of what lies above and below the cells.
func paperOf(rows [card.CodeCells][cellRows]cellRow) (paper cellRow) {
	for ch := range channels {
		var light []float64
		for i := range rows {
			light = append(light, rows[i][0][ch], rows[i][cellRows-1][ch])
		}
		paper[ch] = rank.Median(light)
	}
	return paper
}

// paperByEdges tells the paper by what lies between its edges and those of the other:
// A5 is higher, half Letter wider. Where the table is as bright as the paper it is not
// told.
func (c *printedCard) paperByEdges(p *picture.Picture, white *whiteField) (size card.Size, told bool) {
	a5, half := card.A5.PaperMM(), card.HalfLetter.PaperMM()
	x, y := (a5.X+half.X)/4, (a5.Y+half.Y)/4
	const steps, along = 30, 0.7 // from corner to corner
	var wide, high []float64
	sample := func(list []float64, at plane.Point) []float64 {
		q := c.onto.Apply(at)
		if q.X < 0 || q.Y < 0 || q.X >= float64(p.W) || q.Y >= float64(p.H) {
			return list
		}
		return append(list, lightAt(p, q)/white.at(int(q.X), int(q.Y)))
	}
	for s := range steps + 1 {
		t := along * (2*float64(s)/steps - 1)
		for _, side := range []float64{-1, 1} {
			wide = sample(wide, plane.Point{X: side * x, Y: t * y})
			high = sample(high, plane.Point{X: t * x, Y: side * y})
		}
	}
	const paper, table = 0.8, 0.65 // of white
	if len(wide) < steps || len(high) < steps {
		return 0, false
	}
	switch w, h := rank.Median(wide), rank.Median(high); {
	case w > paper && h < table:
		return card.HalfLetter, true
	case h > paper && w < table:
		return card.A5, true
	}
	return 0, false
}
