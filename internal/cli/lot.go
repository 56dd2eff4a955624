package cli

import (
	"fmt"
	"strconv"

	"github.com/spf13/cobra"

	"setshade/internal/report"
	"setshade/internal/wax"
	"setshade/internal/workshop"
)

const lotLong = `Tell from one set drop how a new lot of a dye differs from the old one: its
strength in per cent of the old, with the interval that holds 95 times in 100,
and whether the hue has moved.

Drip a drop of the new lot alone at a usual dose, let it set, and record it under
the dye's name with "check" in its plan, so that it is not learned from.

With --take the new lot has the dye's name from now on, in predictions, matches
and rescues, and the drop is learned as its first; what it does not tell is taken
from the old lot, now and whenever the wax is learned again. The old lot keeps its
swatches and batches, under the dye's name with its own mark after it.

With --drift show the check drops of the dye in the order recorded, each by how
many standard errors its strength is off, as a control chart with the zone rules
of the Western Electric handbook (1956): an alarm says that the dye or the scale
has drifted.`

func newLot(a *app) *cobra.Command {
	var n workshop.NewLot
	var number, waxName string
	var drift bool
	cmd := &cobra.Command{
		Use:   "lot DYE",
		Short: "Tell how a new lot of a dye differs from the old one",
		Long:  lotLong,
		Example: `  setshade lot "Bracken" --swatch 12 --lot HL-B15
  setshade lot "Bracken" --swatch 12 --lot HL-B15 --take
  setshade lot "Bracken" --drift`,
		Args:              oneName(dyeKind.noun, dyeKind.example),
		ValidArgsFunction: dyeKind.completeNames(a),
		RunE: func(cmd *cobra.Command, args []string) (err error) {
			n.Dye = args[0]
			if drift {
				return a.driftOfLot(cmd, waxName, n.Dye)
			}
			if n.SwatchID, err = strconv.ParseInt(number, 10, 64); err != nil || n.SwatchID < 1 {
				return &usageError{"say which drop is of the new lot, with --swatch and its number", helpOf(cmd)}
			}
			if n.Mark, err = cleanName("lot", n.Mark); err != nil {
				return err
			}
			if n.Mark == "" {
				return &usageError{"say the mark of the new lot, with --lot", helpOf(cmd)}
			}
			answer, err := ask(cmd.Context(), a, func(w *workshop.Workshop) (workshop.LotAnswer, error) {
				return w.Lot(cmd.Context(), n)
			})
			if err != nil {
				return err
			}
			err = a.tell(lotChangeJSONOf(answer), report.Lot(a.colours(), answer))
			a.notes(answer.Notes)
			return err
		},
	}
	cmd.Flags().StringVar(&number, "swatch", "", "`number` of a set drop of the new lot alone")
	cmd.Flags().StringVar(&n.Mark, "lot", "", "`mark` of the new lot, as printed on it")
	cmd.Flags().BoolVar(&n.Take, "take", false, "give the dye's name to the new lot, and learn again")
	cmd.Flags().BoolVar(&drift, "drift", false, "show whether the dye's check drops drift from one to the next")
	cmd.Flags().StringVar(&waxName, "wax", "", "with --drift, `name` of the wax (else the only one on the shelf)")
	completeFlag(cmd, "wax", waxKind.offerNames(a))
	return cmd
}

func (a *app) driftOfLot(cmd *cobra.Command, waxName, dye string) error {
	for _, flag := range []string{"swatch", "lot", "take"} {
		if cmd.Flags().Changed(flag) {
			return &usageError{fmt.Sprintf("--drift shows all check drops; leave out --%s", flag), helpOf(cmd)}
		}
	}
	chart, err := ask(cmd.Context(), a, func(w *workshop.Workshop) (workshop.LotChart, error) {
		return w.ChartLot(cmd.Context(), waxName, dye)
	})
	if err != nil {
		return err
	}
	err = a.tell(lotChartJSONOf(chart), report.LotChart(chart))
	a.notes(chart.Notes)
	return err
}

// lotChangeJSON is the shape of a new lot in JSON.
type lotChangeJSON struct {
	Wax         string     `json:"wax"`
	Dye         string     `json:"dye"`
	Lot         string     `json:"lot"`
	Number      int64      `json:"number"`
	Dose        wax.Recipe `json:"dose"`
	Strength    float64    `json:"strength_percent"`
	From        float64    `json:"from_percent"`
	To          float64    `json:"to_percent"`
	HueMoved    bool       `json:"hue_moved"`
	HueMissDE00 float64    `json:"hue_miss_de00"`
	TakenAs     *string    `json:"taken_as"`
	OlderLot    *string    `json:"older_lot" means:"what the old lot is called now"`
	Notes       []string   `json:"notes"`
}

func lotChangeJSONOf(a workshop.LotAnswer) lotChangeJSON {
	j := lotChangeJSON{
		Wax: a.Wax.Name, Dye: a.Dye.Name, Lot: a.Mark, Number: a.Swatch.ID, Dose: a.Swatch.Recipe,
		Strength: 100 * a.Strength, From: 100 * a.From, To: 100 * a.To,
		HueMoved: a.HueMoved, HueMissDE00: a.HueMissDE00, Notes: a.Notes,
	}
	if a.Taken != nil {
		j.TakenAs, j.OlderLot = &a.Taken.Name, &a.Older.Name
	}
	return j
}

// lotChartJSON is the shape of a control chart in JSON.
type lotChartJSON struct {
	workshop.LotChart
	Dye    string           `json:"dye"`
	Alarms []chartAlarmJSON `json:"alarms"`
}

type chartAlarmJSON struct {
	Number   int64  `json:"number"`
	Rule     string `json:"rule"`
	Stronger bool   `json:"stronger"`
}

func lotChartJSONOf(c workshop.LotChart) lotChartJSON {
	j := lotChartJSON{LotChart: c, Dye: c.Dye.Name}
	for _, alarm := range c.Alarms {
		j.Alarms = append(j.Alarms, chartAlarmJSON{c.Points[alarm.At].Swatch.ID, alarm.Rule.String(), alarm.Above})
	}
	return j
}

type chartPointJSON struct {
	Number         int64      `json:"number"`
	Dose           wax.Recipe `json:"dose"`
	StandardErrors float64    `json:"standard_errors"`
}
