package page

import (
	"errors"

	"setshade/internal/chart"
	"setshade/internal/workshop"
)

// chart is the chart chosen in a form, with its published colours.
func (f *form) chart() (workshop.Chart, error) {
	e := chart.Edition(f.text("chart"))
	switch {
	case e == "":
		return workshop.Chart{}, nil
	case !e.IsKnown():
		return workshop.Chart{}, errors.New("say when the chart was made: before November 2014, or from then on")
	}
	return workshop.PublishedChart(e), nil
}
