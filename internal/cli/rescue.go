package cli

import (
	"fmt"
	"slices"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"setshade/internal/report"
	"setshade/internal/rescue"
	"setshade/internal/wax"
	"setshade/internal/workshop"
)

const rescueLong = `Say how to rescue a batch that came out too dark, too pale or off in hue: how much
undyed wax and which correcting dyes to add, how much fragrance and additives
keep their load, what to set aside first when pot or moulds are too small, in
which steps, and which shade comes of it.

First comes the verdict: mend it, pour it as it is, or pour fresh and keep this
batch as stock, each with what it takes and how far it ends from the target. The
steps come where mending is in proportion: what is added weighs no more than what
is in the pot, or no more than four times that and then comes within 2 dE00. Ask
for other steps with --however-much.

What is in the batch is told by its dose, or read off the colour of a drop of it
with the dyes that are in it, or both: then plan and drop are weighed together, a
weighed dose taken to be good to 5 %. Where they exclude each other the answer
stops, and --believe says which is right: dose or drop. What it should become is a colour, or so many per cent lighter:
that share of the dye in each kg gone, with undyed wax alone.

All dyes on the shelf that dissolve and were learned may be added, at most two at
once and within their maximum dose, else the highest dose tested; name those to
choose from by --with, or leave all out by --wax-only. Each set of dyes has its
nearest shade; those within the tolerance count as equally near, and the one that
adds the least is told. With --prefer the answer goes to the edge of the
tolerance instead: for the least added (mass), the least set aside (waste), or
the least cost (cost). Dyes are told in whole portions.

What is set aside is kept on record by --keep-stock, under the number told, for
setshade match to use.

A rescue with steps is kept in the store under a number, and goes on after the
first step: setshade rescue continue NUMBER --drop COLOUR. setshade rescue list
has them all, rescue show tells one again.

Masses are grams, or carry their unit: "2 lb", "1,5 kg", "12 1/2 oz".

A COLOUR is "#d8a49b", three numbers L* a* b*, or "swatch 12". A swatch is
compared as a drop on its card, other colours as finished pieces; the drop may be
a swatch that was still liquid.`

func newRescue(a *app) *cobra.Command {
	t := workshop.Trouble{Means: workshop.UsualMeans()}
	f := troubleFlags{Trouble: &t}
	cmd := &cobra.Command{
		Use:   "rescue",
		Short: "Say how to mend a batch that came out wrong",
		Long:  rescueLong,
		Example: `  setshade rescue --wax-mass 800 --dose "Bracken 5 g/kg" --lighter 50
  setshade rescue --wax-mass 800 --load 8 --load-per wax --dose "Bracken 5 g/kg" --target "#d8a49b" --pot 1500
  setshade rescue --wax-mass "2 lb" --drop "swatch 12" --dye "Bracken" --target "72 14 12"
  setshade rescue --wax-mass 800 --dose "Bracken 5 g/kg" --drop "swatch 12" --target "72 14 12" --undyed 600 --with "Slate Hill"
  setshade rescue continue 3 --drop "swatch 13"`,
		Args: noArguments,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if err := f.check(cmd); err != nil {
				return err
			}
			r, err := ask(cmd.Context(), a, func(w *workshop.Workshop) (workshop.Remedy, error) {
				return w.BeginRescue(cmd.Context(), t, f.keepStock)
			})
			if err != nil {
				return err
			}
			err = a.tell(remedyJSONOf(r), report.Remedy(a.colours(), r))
			a.notes(slices.Concat(converted(cmd.Flags()), r.Notes))
			return err
		},
	}
	f.add(cmd.Flags())
	completeFlag(cmd, "wax", waxKind.offerNames(a))
	completeFlag(cmd, "dye", dyeKind.offerNames(a))
	completeFlag(cmd, "with", dyeKind.offerNames(a))
	completeFlag(cmd, "load-per", cobra.FixedCompletions(waxKind.choices["load-per"], cobra.ShellCompDirectiveNoFileComp))
	var preferences []string
	for _, p := range rescue.Preferences() {
		preferences = append(preferences, string(p))
	}
	completeFlag(cmd, "believe", cobra.FixedCompletions([]string{string(workshop.BelieveDose), string(workshop.BelieveDrop)}, cobra.ShellCompDirectiveNoFileComp))
	completeFlag(cmd, "prefer", cobra.FixedCompletions(preferences, cobra.ShellCompDirectiveNoFileComp))
	cmd.AddCommand(newRescueContinue(a), newRescueList(a), newRescueShow(a), newRescueBack(a), newRescueOutcome(a), newRescueRemove(a))
	return cmd
}

// troubleFlags are the flags of a rescue.
type troubleFlags struct {
	*workshop.Trouble
	undyedG   float64
	additives []string
	keepStock bool
}

func (t *troubleFlags) add(flags *pflag.FlagSet) {
	flags.StringVar(&t.Wax, "wax", "", "`name` of the wax (else the only one on the shelf)")
	massFlag(flags, &t.UndyedG, "wax-mass", "wax in the batch in `g`, or with its unit; dye, fragrance and additives not counted")
	flags.StringVar(&t.Dose, "dose", "", "`dose` of the batch, as in a plan")
	flags.StringVar(&t.Drop, "drop", "", "`colour` of a drop of the batch")
	flags.StringArrayVar(&t.Dyes, "dye", nil, "`name` of a dye in the drop, when no dose is given; give it again for each dye")
	flags.StringVar((*string)(&t.Believe), "believe", "", "what is right where they exclude each other: `dose|drop`")
	flags.StringVar(&t.Target, "target", "", "`colour` that the batch should become")
	numberFlag(flags, &t.LighterPercent, "lighter", "share of the dye in each kg that should be gone, in `%`")
	numberFlag(flags, &t.Load.Percent, "load", "fragrance load of the batch in `%`; say of what with --load-per")
	flags.StringVar((*string)(&t.Load.Per), "load-per", "", "what the load is a share of: `wax|total`")
	additiveFlag(flags, &t.additives)
	massFlag(flags, &t.PotG, "pot", "most that the pot may hold in `g`, or with its unit (else any amount)")
	massFlag(flags, &t.MouldsG, "moulds", "most that the moulds take in `g`, or with its unit (else any amount)")
	massFlag(flags, &t.undyedG, "undyed", "undyed wax in the cupboard in `g`, or with its unit (else plenty)")
	flags.StringArrayVar(&t.With, "with", nil, "`name` of a dye that may be added (else all that were learned); give it again for each")
	flags.BoolVar(&t.WaxOnly, "wax-only", false, "add no dye")
	flags.StringVar((*string)(&t.Prefer), "prefer", "", "what to go for within the tolerance, the least of `mass|waste|cost` (else the nearest shade)")
	numberFlag(flags, &t.ToleranceDE00, "tolerance", "accepted difference from the target in `dE00`")
	flags.BoolVar(&t.HoweverMuch, "however-much", false, "tell the steps however much they add")
	keepStockFlag(flags, &t.keepStock)
}

// check refuses flags that leave open what is meant, and reads those of more than
// one word. Without --load the batch has no fragrance.
func (t *troubleFlags) check(cmd *cobra.Command) error {
	given := cmd.Flags().Changed
	refuse := func(format string, args ...any) error {
		return &usageError{fmt.Sprintf(format, args...), helpOf(cmd)}
	}
	switch {
	case !given("wax-mass"):
		return refuse("say how much wax is in the batch, with --wax-mass")
	case !given("dose") && !given("drop"):
		return refuse("say what is in the batch with --dose, --drop, or both")
	case given("target") == given("lighter"):
		return refuse("say what the batch should become with one of --target and --lighter")
	case given("dye") && !given("drop"):
		return refuse("--dye names the dyes in a --drop; a --dose names its own")
	case given("dye") && given("dose"):
		return refuse("--dye names the dyes in a drop of unknown dose; the --dose names its own")
	case given("believe") && !slices.Contains(workshop.Beliefs(), t.Believe):
		return refuse("--believe: %q is neither dose nor drop", t.Believe)
	case given("believe") && !(given("dose") && given("drop")):
		return refuse("--believe chooses between a --dose and a --drop; give both")
	case given("with") && t.WaxOnly:
		return refuse("--with names dyes that may be added and --wax-only says none; choose one")
	case given("with") && given("lighter"):
		return refuse("--lighter adds undyed wax alone; give a --target to add dyes with it")
	case given("pot") && t.PotG == 0:
		return refuse("--pot: a pot of 0 g holds nothing; leave the flag out when the pot is large enough")
	case given("moulds") && t.MouldsG == 0:
		return refuse("--moulds: moulds that take 0 g hold nothing; leave the flag out when there are enough")
	case given("prefer") && !slices.Contains(rescue.Preferences(), t.Prefer):
		return refuse("--prefer: %q is not one of mass, waste and cost", t.Prefer)
	}
	if given("undyed") {
		t.Means.UndyedG = &t.undyedG
	}
	if err := checkLoad("load", t.Load); err != nil {
		return &usageError{err.Error(), helpOf(cmd)}
	}
	if !given("load-per") {
		t.Load.Per = wax.PerWax
	}
	var err error
	if t.Additives, err = workshop.ParseAdditives(t.additives); err != nil {
		return refuse("--additive: %v", err)
	}
	return nil
}

func keepStockFlag(flags *pflag.FlagSet, keep *bool) {
	flags.BoolVar(keep, "keep-stock", false, "keep what is set aside on record, for match to use")
}

// remedyJSON is the shape of a rescue in JSON.
type remedyJSON struct {
	workshop.Remedy
	DropMissDE00 *float64       `json:"drop_miss_de00"`
	Verdict      verdictJSON    `json:"verdict"`
	SetAside     *wax.Batch     `json:"set_aside"`
	Stock        int64          `json:"stock" zero:"null"`
	AddDyes      []addedDyeJSON `json:"add_dyes"`
	Exact        exactJSON      `json:"exact"`
	Steps        []stepJSON     `json:"steps"`
	LeftSeen     string         `json:"left_seen"`
}

// verdictJSON is the shape of what to do with a batch.
type verdictJSON struct {
	rescue.Verdict
	Times float64    `json:"times"`
	Fresh *freshJSON `json:"fresh"`
}

type freshJSON struct {
	rescue.Fresh
	Dyes []workshop.MeasuredDye `json:"dyes"`
}

// addedDyeJSON is the shape of a correcting dye; exact_g is not rounded to whole
// portions.
type addedDyeJSON struct {
	workshop.MeasuredDye
	ExactG    float64 `json:"exact_g"`
	AtMaximum bool    `json:"at_maximum"`
}

// exactJSON is the shape of the answer that is not rounded to whole portions.
type exactJSON struct {
	AddUndyedG float64 `json:"add_undyed_g"`
	LeftDE00   float64 `json:"left_de00"`
}

// stepJSON is the shape of a step of a rescue in JSON; drop is the shade of a
// set drop on card after it.
type stepJSON struct {
	workshop.Step
	TakeOutG   float64 `json:"take_out_undyed_g"`
	AddUndyedG float64 `json:"add_undyed_g"`
}

func remedyJSONOf(r workshop.Remedy) remedyJSON {
	j := remedyJSON{
		Remedy: r, Verdict: verdictJSON{Verdict: r.Verdict, Times: r.Times()}, Exact: exactJSON{r.Exact.AddUndyedG, r.Exact.MissDE00},
		LeftSeen: workshop.Seen(r.MissDE00),
	}
	if f := r.Verdict.Fresh; f != nil {
		j.Verdict.Fresh = &freshJSON{*f, r.FreshDyes}
	}
	if r.FromDrop {
		j.DropMissDE00 = &r.DropMissDE00
	}
	if r.SetAside != nil {
		j.SetAside, j.Stock = &r.SetAside.Batch, r.SetAside.Number
	}
	for i, d := range r.Dyes {
		told := addedDyeJSON{MeasuredDye: d, AtMaximum: r.AddDyes[i].AtMaximum}
		for _, e := range r.Exact.AddDyes {
			if e.Dye == d.Dye {
				told.ExactG = e.G
			}
		}
		j.AddDyes = append(j.AddDyes, told)
	}
	for _, s := range r.Steps {
		j.Steps = append(j.Steps, stepJSON{s, s.TakenOutG, s.UndyedG})
	}
	return j
}
