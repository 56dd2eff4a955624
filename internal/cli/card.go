package cli

import (
	"io"

	"github.com/spf13/cobra"

	"setshade/internal/card"
	"setshade/internal/report"
	"setshade/internal/workshop"
)

const cardLong = `Write the test card as a PDF to print: eighteen numbered places for drops, a
line for the dose at each, a black bar that shows how well the wax hides, grey
and coloured patches, and four marks at the corners by which a photograph is
squared up.

Print it at true scale ("100 %", not "fit to page") on matt white card, and lay
a ruler on the printed one: it must measure 100 mm. Cut larger paper at the
marks; a few mm more or less of white do no harm.

A printer that holds no such small paper prints --on A4 or --on letter: a full
sheet with two cards on it, or one where two have no room.

The strip of patches brings all photographs of one print to agree: see setshade
help card anchor, and setshade help card reference for a strip that was
measured. A strip from another printer, ink or paper has other colours. Give
such cards a number, --print 2 and so on: it is read off their row of black and
white cells, and each print is brought to agree with itself alone.`

func newCard(a *app) *cobra.Command {
	var of cardOptions
	var on, out string
	cmd := &cobra.Command{
		Use:   "card",
		Short: "Write the test card to print",
		Long:  cardLong,
		Example: `  setshade card
  setshade card --size half-letter --out test-card-letter.pdf
  setshade card --on A4
  setshade card --print 2`,
		Args: noArguments,
		RunE: func(cmd *cobra.Command, _ []string) error {
			g, err := of.layout(cmd)
			if err != nil {
				return err
			}
			sheet, err := sheetNamed(cmd, on, g.Size)
			if err != nil {
				return err
			}
			if err := checkEnding(cmd, "out", out, "PDF"); err != nil {
				return err
			}
			if err := checkFree(cmd, "out", out); err != nil {
				return err
			}
			if err := writeWhole("card", out, func(w io.Writer) error { return workshop.WriteCard(w, g, sheet) }); err != nil {
				return err
			}
			return a.tell(cardFileJSON{out, g.Print(), g.Size.String(), g.PaperMM.X, g.PaperMM.Y, len(g.Drops), card.RulerMM, sheetJSONOf(sheet), cardsOn(sheet)},
				report.TestCard(out, g, sheet))
		},
	}
	of.flags(cmd)
	sheetFlag(cmd, &on)
	cmd.Flags().StringVar(&out, "out", "test-card.pdf", "PDF `file` to write")
	replaceFlag(cmd)
	completeFlag(cmd, "out", filesOf("pdf"))
	cmd.AddCommand(newCardReference(a), newCardAnchor(a))
	return cmd
}

func sizeNames() []string {
	var names []string
	for _, s := range card.Sizes() {
		names = append(names, s.String())
	}
	return names
}

// cardFileJSON is the shape of a written test card in JSON.
type cardFileJSON struct {
	File     string  `json:"file"`
	Print    string  `json:"print"`
	Size     string  `json:"size"`
	WidthMM  float64 `json:"width_mm"`
	HeightMM float64 `json:"height_mm"`
	Places   int     `json:"places"`
	RulerMM  float64 `json:"ruler_mm"`
	Sheet    *string `json:"sheet"`
	Cards    int     `json:"cards"`
}
