package scene

import (
	"math"

	"setshade/internal/chart"
	"setshade/internal/spectrum"
)

// A chart of 24 patches beside the card, of pocket size: it stands on its side, its
// columns running down and its rows to the left. Its frame is as black as ink.
const (
	chartColumns  = 6
	chartRows     = chart.Patches / chartColumns
	chartPitchMM  = 14.0
	chartPatchMM  = 10.5
	chartBorderMM = 4.0 // of the frame, around the patches
	chartFromCard = 10.0
	chartWidthMM  = chartRows*chartPitchMM - (chartPitchMM - chartPatchMM) + 2*chartBorderMM
	chartHeightMM = chartColumns*chartPitchMM - (chartPitchMM - chartPatchMM) + 2*chartBorderMM
)

// chartBeside is the chart as a camera sees it.
type chartBeside struct {
	corner  Point // upper left, on the table
	patches [chart.Patches]colour
	frame   colour
}

func (st *stage) layChart(patches *[chart.Patches]spectrum.Spectrum) {
	c := &chartBeside{corner: chartCorner(st.size), frame: st.camera.sees(spectrum.Flat(usualPrinter.black))}
	for i, r := range patches {
		c.patches[i] = st.camera.sees(r)
	}
	st.chart = c
}

// chartCorner is the chart's upper left corner beside a card of that size.
func chartCorner(card Point) Point {
	return Point{-card.X/2 - chartFromCard - chartWidthMM, -chartHeightMM / 2}
}

// at returns the colour of the chart at a place; false beside it.
func (c *chartBeside) at(p Point) (colour, bool) {
	x, y := p.X-c.corner.X, p.Y-c.corner.Y
	if x < 0 || y < 0 || x > chartWidthMM || y > chartHeightMM {
		return colour{}, false
	}
	across, down := (x-chartBorderMM)/chartPitchMM, (y-chartBorderMM)/chartPitchMM
	row, column := math.Floor(across), math.Floor(down)
	const patch = chartPatchMM / chartPitchMM
	if row < 0 || column < 0 || row >= chartRows || column >= chartColumns || across-row > patch || down-column > patch {
		return c.frame, true
	}
	return c.patches[(chartRows-1-int(row))*chartColumns+int(column)], true
}
