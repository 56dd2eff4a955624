package cli

import (
	"fmt"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"setshade/internal/report"
	"setshade/internal/wax"
	"setshade/internal/workshop"
)

const rescueLong = `Say how to rescue a batch that came out too dark: how much undyed wax to add, how
much fragrance to keep its load, what to set aside first when the pot is too
small, in which steps, and which shade comes of it.

What is in the batch is told by its dose, or read off the colour of a set drop
of it with the dyes that are in it. What it should become is a colour, or so
many per cent lighter: that share of the dye in each kg gone.

Masses are grams, or carry their unit: "2 lb", "1,5 kg", "12 1/2 oz".

A COLOUR is "#d8a49b", three numbers L* a* b*, or "swatch 12". A swatch is
compared as a drop on its card, other colours as finished pieces.

With --json: wax, batch, doses_from_drop, drop_miss_de00, set_aside,
add_undyed_g, add_fragrance_g, steps [{"add_undyed_g", "add_fragrance_g",
"after", "drop"}], after, on_card, shade_now, shade_after, wanted, left_de00,
left_seen, limits, notes. Batches (batch, set_aside, after) are undyed_g, dye_g,
fragrance_g, total_g, dose, load {"percent", "per"}; shades (shade_now,
shade_after, drop) are as setshade help predict tells.`

func newRescue(a *app) *cobra.Command {
	t := workshop.Trouble{ToleranceDE00: workshop.SeenSideBySide}
	cmd := &cobra.Command{
		Use:   "rescue",
		Short: "Say how to lighten a batch that came out too dark",
		Long:  rescueLong,
		Example: `  setshade rescue --wax-mass 800 --dose "Bracken 5 g/kg" --lighter 50
  setshade rescue --wax-mass 800 --load 8 --load-per wax --dose "Bracken 5 g/kg" --target "#d8a49b" --pot 1500
  setshade rescue --wax-mass "2 lb" --drop "swatch 12" --dye "Bracken" --target "72 14 12"`,
		Args: noArguments,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if err := checkTrouble(cmd, &t); err != nil {
				return err
			}
			var r workshop.Remedy
			err := a.withWorkshop(cmd.Context(), func(w *workshop.Workshop) (err error) {
				r, err = w.Rescue(cmd.Context(), t)
				return err
			})
			if err != nil {
				return err
			}
			err = a.tell(remedyJSONOf(r), report.Remedy(a.colours(), r))
			a.notes(append(converted(cmd.Flags()), r.Notes...))
			return err
		},
	}
	troubleFlags(cmd.Flags(), &t)
	completeFlag(cmd, "wax", waxKind.offerNames(a))
	completeFlag(cmd, "dye", dyeKind.offerNames(a))
	completeFlag(cmd, "load-per", cobra.FixedCompletions(waxKind.choices["load-per"], cobra.ShellCompDirectiveNoFileComp))
	return cmd
}

func troubleFlags(flags *pflag.FlagSet, t *workshop.Trouble) {
	flags.StringVar(&t.Wax, "wax", "", "`name` of the wax (else the only one on the shelf)")
	massFlag(flags, &t.UndyedG, "wax-mass", "wax in the batch in `g`, or with its unit; dye and fragrance not counted")
	flags.StringVar(&t.Dose, "dose", "", "`dose` of the batch, as in a plan")
	flags.StringVar(&t.Drop, "drop", "", "`colour` of a set drop of the batch, when its dose is not known")
	flags.StringArrayVar(&t.Dyes, "dye", nil, "`name` of a dye in the drop; give it again for each dye")
	flags.StringVar(&t.Target, "target", "", "`colour` that the batch should become")
	numberFlag(flags, &t.LighterPercent, "lighter", "share of the dye in each kg that should be gone, in `%`")
	numberFlag(flags, &t.Load.Percent, "load", "fragrance load of the batch in `%`; say of what with --load-per")
	flags.StringVar((*string)(&t.Load.Per), "load-per", "", "what the load is a share of: `wax` or total")
	massFlag(flags, &t.PotG, "pot", "most that the pot may hold in `g`, or with its unit (else any amount)")
	numberFlag(flags, &t.ToleranceDE00, "tolerance", "accepted difference from the target in `dE00`")
}

// checkTrouble refuses flags that leave open what is meant. Without --load the
// batch has no fragrance.
func checkTrouble(cmd *cobra.Command, t *workshop.Trouble) error {
	given := cmd.Flags().Changed
	refuse := func(format string, args ...any) error {
		return &usageError{fmt.Sprintf(format, args...), helpOf(cmd)}
	}
	switch {
	case !given("wax-mass"):
		return refuse("say how much wax is in the batch, with --wax-mass")
	case given("dose") == given("drop"):
		return refuse("say what is in the batch with one of --dose and --drop")
	case given("target") == given("lighter"):
		return refuse("say what the batch should become with one of --target and --lighter")
	case given("dye") && !given("drop"):
		return refuse("--dye names the dyes in a --drop; a --dose names its own")
	case given("pot") && t.PotG == 0:
		return refuse("--pot: a pot of 0 g holds nothing; leave the flag out when the pot is large enough")
	}
	if err := checkLoad("load", t.Load); err != nil {
		return &usageError{err.Error(), helpOf(cmd)}
	}
	if !given("load-per") {
		t.Load.Per = wax.PerWax
	}
	return nil
}

// remedyJSON is the shape of a rescue in JSON.
type remedyJSON struct {
	Wax           string     `json:"wax"`
	Batch         batchJSON  `json:"batch"`
	DosesFromDrop bool       `json:"doses_from_drop"`
	DropMissDE00  *float64   `json:"drop_miss_de00"`
	SetAside      *batchJSON `json:"set_aside"`
	AddUndyedG    float64    `json:"add_undyed_g"`
	AddFragranceG float64    `json:"add_fragrance_g"`
	Steps         []stepJSON `json:"steps"`
	After         batchJSON  `json:"after"`
	// OnCard says that the shades are of drops on card, not of finished pieces.
	OnCard     bool       `json:"on_card"`
	ShadeNow   shadeJSON  `json:"shade_now"`
	ShadeAfter shadeJSON  `json:"shade_after"`
	Wanted     colourJSON `json:"wanted"`
	LeftDE00   float64    `json:"left_de00"`
	LeftSeen   string     `json:"left_seen"`
	Limits     []string   `json:"limits"`
	Notes      []string   `json:"notes"`
}

// batchJSON is the shape of a batch in JSON.
type batchJSON struct {
	UndyedG    float64    `json:"undyed_g"`
	DyeG       float64    `json:"dye_g"`
	FragranceG float64    `json:"fragrance_g"`
	TotalG     float64    `json:"total_g"`
	Dose       []partJSON `json:"dose"`
	Load       loadJSON   `json:"load"`
}

// stepJSON is the shape of a step of a rescue in JSON; drop is the shade of a
// set drop on card after it.
type stepJSON struct {
	AddUndyedG    float64   `json:"add_undyed_g"`
	AddFragranceG float64   `json:"add_fragrance_g"`
	After         batchJSON `json:"after"`
	Drop          shadeJSON `json:"drop"`
}

func batchJSONOf(b wax.Batch) batchJSON {
	return batchJSON{b.UndyedG, b.DyeG(), b.FragranceG(), b.TotalG(), doseJSON(b.Recipe), loadJSON{b.Load.Percent, b.Load.Per}}
}

func remedyJSONOf(r workshop.Remedy) remedyJSON {
	j := remedyJSON{
		Wax: r.Wax.Name, Batch: batchJSONOf(r.Batch), DosesFromDrop: r.FromDrop,
		AddUndyedG: r.AddUndyedG, AddFragranceG: r.AddFragranceG, Steps: []stepJSON{}, After: batchJSONOf(r.After),
		OnCard: r.OnCard, ShadeNow: shadeJSONOf(r.From), ShadeAfter: shadeJSONOf(r.Reached), Wanted: colourJSONOf(r.Wanted),
		LeftDE00: r.MissDE00, LeftSeen: workshop.Seen(r.MissDE00), Limits: orEmpty(r.Limits), Notes: orEmpty(r.Notes),
	}
	if r.FromDrop {
		j.DropMissDE00 = &r.DropMissDE00
	}
	if r.SetAside != nil {
		aside := batchJSONOf(r.SetAside.Batch)
		j.SetAside = &aside
	}
	for _, s := range r.Steps {
		j.Steps = append(j.Steps, stepJSON{s.AddUndyedG, s.AddFragranceG, batchJSONOf(s.After), shadeJSONOf(s.Drop)})
	}
	return j
}
