package page

import (
	"errors"
	"strings"

	"setshade/internal/chart"
	"setshade/internal/workshop"
)

// coloursField is the part of a form that takes measured colours.
type coloursField struct {
	Given form
	frame
}

// takeColours puts a file of colours in the place of what stands in the field beside
// it, so that a line that is refused can be mended there.
func (f *form) takeColours(name, text string) {
	if text != "" {
		f.Set("colours-name", name)
		f.Set("colours", text)
	}
}

// colourFile are the measured colours of a form; their Text is "" for none.
func (f *form) colourFile() (workshop.ColourFile, error) {
	file := workshop.ColourFile{Name: plainName(f.text("colours-name"), "colours.csv"), Text: f.Get("colours")}
	if f.text("colours") == "" {
		return workshop.ColourFile{}, nil
	}
	if strings.Contains(file.Text, "\x00") {
		f.Del("colours") // nothing that could be mended by hand
	}
	var err error
	file.Light, err = workshop.LightNamed(f.text("light"))
	return file, err
}

// chart is the chart chosen in a form: with its published colours, or with those that
// were measured.
func (f *form) chart() (workshop.Chart, error) {
	e := chart.Edition(f.text("chart"))
	file, err := f.colourFile()
	switch {
	case err != nil:
		return workshop.Chart{}, err
	case file.Text != "" && e != "":
		return workshop.Chart{}, errors.New("the chart's colours are said twice; choose no edition, or take away those that were measured")
	case file.Text != "":
		return file.Chart()
	case e == "":
		return workshop.Chart{}, nil
	case !e.IsKnown():
		return workshop.Chart{}, errors.New("say when the chart was made: before November 2014, or from then on")
	}
	return workshop.PublishedChart(e), nil
}
