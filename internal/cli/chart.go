package cli

import (
	"github.com/spf13/cobra"

	"setshade/internal/chart"
	"setshade/internal/spectrum"
	"setshade/internal/workshop"
)

// publishedChart stands for the newest edition: most charts in use are of it.
const publishedChart = "published"

// chartHelp: that a chart bears its date on its back is common practice, no source.
const chartHelp = `The chart's colours are those that its maker published: --chart published, or
after-2014-11, for a chart made from November 2014 on, and before-2014-11 for an
older one; when it was made is printed on its back. A chart that was measured
does better: --chart FILE. No chart takes away what another kind of lamp does to
dyes: photograph in daylight.

` + stripFileHelp + `
Chart patches are numbered row by row from the brown one. All 24 must be given.`

// chartFlags name the colours of a photographed chart.
type chartFlags struct{ colours, light string }

// add adds the flags; where says in words where the chart lies.
func (c *chartFlags) add(cmd *cobra.Command, where string) {
	cmd.Flags().StringVar(&c.colours, "chart", "", "`colours` of a 24-patch chart "+where+": published, before-2014-11, after-2014-11 or a file")
	lightFlag(cmd, &c.light)
	completeFlag(cmd, "chart", offerCharts)
}

// offerCharts offers the published colours, and files.
func offerCharts(*cobra.Command, []string, string) ([]cobra.Completion, cobra.ShellCompDirective) {
	offers := []cobra.Completion{cobra.CompletionWithDesc(publishedChart, "of charts made "+chart.Editions()[0].Made())}
	for _, e := range chart.Editions() {
		offers = append(offers, cobra.CompletionWithDesc(string(e), "of charts made "+e.Made()))
	}
	return offers, cobra.ShellCompDirectiveDefault
}

// read returns the chart; the zero Chart when none is named.
func (c *chartFlags) read(cmd *cobra.Command) (workshop.Chart, error) {
	light, err := workshop.LightNamed(c.light)
	if err != nil {
		return workshop.Chart{}, &usageError{"--light: " + err.Error(), helpOf(cmd)}
	}
	edition := chart.Edition(c.colours)
	if c.colours == publishedChart {
		edition = chart.Editions()[0]
	}
	switch {
	case c.colours == "":
		return workshop.Chart{}, nil
	case !edition.IsKnown():
		return readChart(c.colours, light)
	case cmd.Flags().Changed("light"):
		return workshop.Chart{}, &usageError{"--light goes with a file of colours; published ones need none", helpOf(cmd)}
	}
	return workshop.PublishedChart(edition), nil
}

// readChart reads the colours of a chart from a file.
func readChart(path string, light *spectrum.Illuminant) (workshop.Chart, error) {
	file, err := openColours(path, light)
	if err != nil {
		return workshop.Chart{}, err
	}
	colours, err := file.Chart()
	return colours, askForLight(err)
}
