package workshop

import (
	"setshade/internal/chart"
	"setshade/internal/wax"
)

// Chart is a chart of 24 patches that lies in a photograph; the zero Chart is none.
type Chart struct {
	// Colours are those of its patches, under D65.
	Colours wax.Strip
	// Source says in words where they are from, as in "those of chart.csv".
	Source string
}

// PublishedChart is a chart with the colours published for its edition.
func PublishedChart(e chart.Edition) Chart {
	return Chart{Colours: e.Colours(), Source: "those published for charts made " + e.Made()}
}

// told are the notes of a reading with what the chart's colours were taken to be.
func (c Chart) told(notes []string) []string {
	if c.Colours == nil || c.Source == "" {
		return notes
	}
	return append(notes, "the chart's colours are "+c.Source)
}
