package cli

import (
	"fmt"
	"io"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"setshade/internal/report"
	"setshade/internal/wax"
	"setshade/internal/workshop"
)

const batchLong = `Plan a batch: from what is to be filled to the grams of wax, dye and fragrance,
the steps at the bench with the temperatures and times of the wax's record, the
cautions, and what it costs.

What is filled is a mould of the shelf so many times, by its volume or by the
mass of one piece that came out of it, so many pieces of a mass, or so many
scoops of flake of the mass that your own scoop holds.

One melt may be split over several colours. A COLOUR is written

  "Dawn = Bracken 2 g/kg + Sorrel 1 drop/kg x 16"

a name, a dose as in a plan, and how many pieces or scoops get it. The name may
be left out, and the number too: such colours share what the others leave. Dye
is rounded to quarter chips, whole drops or 0.01 g; the dose that this reaches
is told, and what the rounding costs in dE00 where the dye has been learned.

Masses are grams, or carry their unit: "40 g", "1 1/2 oz". A fragrance load is a
share of the wax or of the total, and is refused above the wax's maximum. Other
additives are shares of the undyed wax, melted with it.

--markup puts a share on the cost of a piece and tells its selling price.

--sheet writes a page to print for the bench, with patches of the shades and
room for notes and lot numbers: an HTML or a PDF, by the ending of its name.

setshade batch log keeps what was poured.`

func newBatch(a *app) *cobra.Command {
	var o workshop.Order
	var sheet string
	cmd := &cobra.Command{
		Use:   "batch COLOUR...",
		Short: "Plan a batch, and keep a log of what was poured",
		Long:  batchLong,
		Example: `  setshade batch "Bracken 0.5 g/kg" --mould "Twelve hearts" --times 2
  setshade batch "Dawn = Bracken 2 g/kg x 16" "Dusk = Sorrel 20 drops/kg" --pieces 24 --piece-mass "40 g"
  setshade batch "Bracken 1 chip/kg" --scoops 12 --scoop-mass "55 g" --load 8 --load-per wax --sheet bench.pdf`,
		Args:              someColours,
		ValidArgsFunction: cobra.NoFileCompletions,
		RunE: func(cmd *cobra.Command, args []string) error {
			o.Colours = args
			if err := checkOrder(cmd, &o); err != nil {
				return err
			}
			if err := checkSheet(cmd, sheet); err != nil {
				return err
			}
			p, err := ask(cmd.Context(), a, func(w *workshop.Workshop) (workshop.BatchPlan, error) {
				return w.PlanBatch(cmd.Context(), o)
			})
			if err != nil {
				return err
			}
			if err := a.writeSheet(sheet, p); err != nil {
				return err
			}
			err = a.tell(batchPlanJSONOf(p), report.BatchPlan(a.colours(), p))
			a.notes(append(converted(cmd.Flags()), p.Notes...))
			return err
		},
	}
	cmd.AddCommand(newBatchLog(a), newBatchList(a), newBatchShow(a), newBatchChange(a), newBatchRemove(a))
	orderFlags(a, cmd, &o)
	cmd.Flags().StringVar(&sheet, "sheet", "", "write the sheet to an HTML or PDF `file`")
	replaceFlag(cmd)
	completeFlag(cmd, "sheet", filesOf("html", "pdf"))
	return cmd
}

// orderFlags adds the flags that describe a batch.
func orderFlags(a *app, cmd *cobra.Command, o *workshop.Order) {
	flags := cmd.Flags()
	flags.StringVar(&o.Wax, "wax", "", "`name` of the wax (else the only one on the shelf)")
	fillFlags(flags, o)
	numberFlag(flags, &o.LossPercent, "loss", "what stays in the pots, in `%` of what is filled")
	numberFlag(flags, &o.Load.Percent, "load", "fragrance load in `%`; see --load-per")
	flags.StringVar((*string)(&o.Load.Per), "load-per", "", "what the load is a share of: `wax|total`")
	numberFlag(flags, &o.Fragrance.DensityGPerML, "fragrance-density", "density of the fragrance in `g/ml`")
	numberFlag(flags, &o.Fragrance.FlashPointC, "flash-point", "flash point of the fragrance in `degrees` Celsius")
	numberFlag(flags, &o.Fragrance.PricePerG, "fragrance-price", "price of the fragrance per g in your currency")
	additiveFlag(flags, &o.Additives)
	numberFlag(flags, &o.MarkupPercent, "markup", "selling price of a piece, as `%` put on its cost")
	flags.BoolVar(&o.Wicked, "wicked", false, "the pieces are candles with a wick")
	completeFlag(cmd, "wax", waxKind.offerNames(a))
	completeFlag(cmd, "mould", mouldKind.offerNames(a))
	completeFlag(cmd, "load-per", cobra.FixedCompletions(waxKind.choices["load-per"], cobra.ShellCompDirectiveNoFileComp))
}

func fillFlags(flags *pflag.FlagSet, o *workshop.Order) {
	flags.StringVar(&o.Mould, "mould", "", "`name` of the mould to fill")
	o.Times = 1
	countFlag(flags, &o.Times, "times", "how many times the mould is filled")
	countFlag(flags, &o.Pieces, "pieces", "how many pieces to make, each of --piece-mass")
	massFlag(flags, &o.PieceG, "piece-mass", "mass of one piece in `g`, or with its unit, all counted; with --mould, in place of its volume")
	numberFlag(flags, &o.Scoops, "scoops", "how many scoops of flake, each of --scoop-mass")
	massFlag(flags, &o.ScoopG, "scoop-mass", "flake in one level scoop in `g`, or with its unit")
}

// someColours wants one colour or more, and notices a command mistyped.
func someColours(cmd *cobra.Command, args []string) error {
	if len(args) == 0 {
		return &usageError{"say what is in the batch", cmd.CommandPath() + ` "Bracken 0.5 g/kg" --mould "Twelve hearts"`}
	}
	if !strings.Contains(args[0], " ") && !strings.EqualFold(args[0], wax.Undyed) && cmd.HasSubCommands() {
		return noUnknownCommand(cmd, args)
	}
	return nil
}

// checkOrder refuses flags that leave open what is meant.
func checkOrder(cmd *cobra.Command, o *workshop.Order) error {
	given := cmd.Flags().Changed
	refuse := func(format string, args ...any) error {
		return &usageError{fmt.Sprintf(format, args...), helpOf(cmd)}
	}
	var fills []string
	for _, flag := range []string{"mould", "pieces", "scoops"} {
		if given(flag) {
			fills = append(fills, flag)
		}
	}
	if len(fills) != 1 {
		return refuse("say what is to be filled with one of --mould, --pieces and --scoops")
	}
	for _, pair := range []struct {
		flag, goesWith string
		needed         bool
	}{{"times", "mould", false}, {"piece-mass", "pieces", true}, {"scoop-mass", "scoops", true}} {
		ofMould := pair.flag == "piece-mass" && fills[0] == "mould"
		switch {
		case given(pair.flag) && fills[0] != pair.goesWith && !ofMould:
			return refuse("--%s goes with --%s", pair.flag, pair.goesWith)
		case pair.needed && fills[0] == pair.goesWith && !given(pair.flag):
			return refuse("--%s needs the mass of one, with --%s", pair.goesWith, pair.flag)
		}
	}
	switch {
	case given("piece-mass") && o.PieceG == 0:
		return refuse("--piece-mass: a piece of 0 g cannot be; weigh one")
	case given("markup") && !(o.MarkupPercent > 0):
		return refuse("--markup: what is put on the cost is above 0 %%")
	case given("markup") && fills[0] == "scoops":
		return refuse("--markup is for pieces, and scoops are not pieces")
	}
	if err := checkLoad("load", o.Load); err != nil {
		return refuse("%s", err)
	}
	return nil
}

// checkSheet refuses a sheet of which the name does not say what it is, or is taken.
func checkSheet(cmd *cobra.Command, path string) error {
	switch sheetFormat(path) {
	case "", ".html", ".pdf":
		return checkFree(cmd, "sheet", path)
	}
	return &usageError{"--sheet writes an HTML or a PDF; give its file a name that ends in .html or .pdf", helpOf(cmd)}
}

func sheetFormat(path string) string {
	if path == "" {
		return ""
	}
	return "." + strings.ToLower(strings.TrimPrefix(filepath.Ext(path), "."))
}

// writeSheet writes the sheet for the bench, if there is a path for it.
func (a *app) writeSheet(path string, p workshop.BatchPlan) error {
	if path == "" {
		return nil
	}
	sheet := report.NewBenchSheet(p)
	fill := func(w io.Writer) error { return sheet.WriteHTML(w) }
	if sheetFormat(path) == ".pdf" {
		fill = func(w io.Writer) error { return sheet.WritePDF(w) }
	}
	if err := writeWhole("sheet", path, fill); err != nil {
		return err
	}
	a.note("The sheet for the bench is in %s.", path)
	return nil
}
