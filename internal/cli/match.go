package cli

import (
	"fmt"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"setshade/internal/picture"
	"setshade/internal/recipe"
	"setshade/internal/report"
	"setshade/internal/wax"
	"setshade/internal/workshop"
)

const matchLong = `Find recipes for a colour among the dyes on the shelf that have been learned: in
quarter chips, whole drops or hundredths of a gram for a batch of the given wax,
each dye within its maximum dose, or within the doses tested when it has none.

Recipes come the nearest first; among those within the tolerance, the cheapest.
Each is of another set of dyes, with its shade and interval, its price and its
look under three lights; those far behind the first are left out. Where no
recipe comes within the tolerance, the nearest is shown and what stops the dyes
is said.

Dyed wax set aside is used where it fits: for each stock there is the recipe that
uses up most of it and, within the tolerance, is as near as the best without; it
comes first. The stock's load must not be above the batch's, and what it lacks of
undyed wax, dye and fragrance is added. --dyes counts the dyes added. A stock is
tried in even grams, in at most 40 steps, and whole; --no-stock leaves it out.

Pigments and micas are left out of the search: they scatter as well as absorb, so
that more of them need not be darker, on which it relies.

A COLOUR is "#d8a49b", three numbers L* a* b*, or "swatch 12". A swatch is
compared as a drop on its card, other colours as finished pieces.

In place of a COLOUR, --photo and --at name a place of a photograph, of a point
or a region of one colour. It is read relative to the white of a printed test
card where the picture has one, and set right by the card's strip as record does;
or with --chart by a chart of 24 patches in the picture (see setshade help record
for its colours). Else it is taken as the phone gave it. Which of
these it was is said.`

func newMatch(a *app) *cobra.Command {
	var spot spotFlags
	wish := workshop.UsualWish()
	cmd := &cobra.Command{
		Use:   "match [COLOUR]",
		Short: "Find recipes for a colour, in whole chips, drops and grams",
		Long:  matchLong,
		Example: `  setshade match "#d8a49b" --batch "900 g"
  setshade match "72 14 12" --wax "Harrow Soy" --must "Bracken" --never "Slate Hill"
  setshade match "swatch 12" --dyes 2 --tolerance 1
  setshade match --photo candle.jpg --at "40%,55%,3%"
  setshade match --photo candle.jpg --at 812,430 --chart published`,
		Args: func(cmd *cobra.Command, args []string) error {
			if spot.photograph != "" {
				return noArguments(cmd, args)
			}
			return oneName("colour", "#d8a49b")(cmd, args)
		},
		ValidArgsFunction: cobra.NoFileCompletions,
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := checkWish(cmd, wish); err != nil {
				return err
			}
			var err error
			if wish.Spot, err = spot.read(cmd); err != nil {
				return err
			}
			if wish.Spot == nil {
				wish.Colour = args[0]
			}
			m, err := ask(cmd.Context(), a, func(w *workshop.Workshop) (workshop.Matched, error) {
				return w.Match(cmd.Context(), wish)
			})
			if err != nil {
				return err
			}
			err = a.tell(matchedJSONOf(m), report.Matched(a.colours(), m))
			a.notes(append(converted(cmd.Flags()), m.Notes...))
			return err
		},
	}
	wishFlags(cmd.Flags(), &wish)
	spot.add(cmd)
	completeFlag(cmd, "wax", waxKind.offerNames(a))
	completeFlag(cmd, "must", dyeKind.offerNames(a))
	completeFlag(cmd, "never", dyeKind.offerNames(a))
	completeFlag(cmd, "load-per", cobra.FixedCompletions(waxKind.choices["load-per"], cobra.ShellCompDirectiveNoFileComp))
	return cmd
}

func wishFlags(flags *pflag.FlagSet, wish *workshop.Wish) {
	flags.StringVar(&wish.Wax, "wax", "", "`name` of the wax (else the only one on the shelf)")
	massFlag(flags, &wish.UndyedG, "batch", "undyed wax to be dyed in `g`, or with its unit: sets what one chip or drop gives")
	countFlag(flags, &wish.MaxDyes, "dyes", "the most dyes in a recipe")
	flags.StringArrayVar(&wish.MustUse, "must", nil, "`name` of a dye that must be used; give it again for each dye")
	flags.StringArrayVar(&wish.NeverUse, "never", nil, "`name` of a dye that must not be used; give it again for each dye")
	numberFlag(flags, &wish.ToleranceDE00, "tolerance", "accepted difference from the colour in `dE00`")
	countFlag(flags, &wish.Answers, "answers", "the most recipes without stock to show")
	numberFlag(flags, &wish.Load.Percent, "load", "fragrance load of the batch in `%`; see --load-per")
	flags.StringVar((*string)(&wish.Load.Per), "load-per", "", "what the load is a share of: `wax|total`")
	flags.BoolVar(&wish.NoStock, "no-stock", false, "leave out dyed wax set aside")
}

// spotFlags name a place of a photograph.
type spotFlags struct {
	photograph, place string
	chart             chartFlags
}

func (s *spotFlags) add(cmd *cobra.Command) {
	flags := cmd.Flags()
	flags.StringVar(&s.photograph, "photo", "", "match the colour at a place of this photograph, a `file`; see --at")
	flags.StringVar(&s.place, "at", "", "the `place`: X,Y or X,Y,RADIUS in pixels, or 40%,55%,3% of the picture")
	completeFlag(cmd, "photo", photographFiles())
	s.chart.add(cmd, "in the photograph")
}

// read reads the photograph; nil when none is named.
func (s *spotFlags) read(cmd *cobra.Command) (*workshop.PhotoSpot, error) {
	switch {
	case s.photograph == "" && s.place == "" && s.chart.colours == "":
		return nil, nil
	case s.photograph == "" || s.place == "":
		return nil, &usageError{"--photo and --at go together: a photograph, and the place in it", cmd.CommandPath() + ` --photo candle.jpg --at "40%,55%,3%"`}
	}
	at, err := placeOf(s.place)
	if err != nil {
		return nil, &usageError{"--at: " + err.Error(), helpOf(cmd)}
	}
	spot := workshop.PhotoSpot{Name: s.photograph, Place: at}
	if spot.Photo, err = readFile("photograph", s.photograph, picture.MaxBytes); err != nil {
		return nil, err
	}
	if spot.Chart, err = s.chart.read(cmd); err != nil {
		return nil, err
	}
	return &spot, nil
}

// checkWish refuses numbers that no search can be made with.
func checkWish(cmd *cobra.Command, wish workshop.Wish) error {
	refuse := func(format string, args ...any) error {
		return &usageError{fmt.Sprintf(format, args...), helpOf(cmd)}
	}
	switch {
	case wish.UndyedG <= 0:
		return refuse("--batch: %g g of wax cannot be dyed; give its mass, as in \"900 g\"", wish.UndyedG)
	case wish.MaxDyes < 1 || wish.MaxDyes > recipe.MostDyes:
		return refuse("--dyes: a recipe has 1 to %d dyes", recipe.MostDyes)
	case wish.Answers < 1 || wish.Answers > 100:
		return refuse("--answers: ask for 1 to 100")
	case !(wish.ToleranceDE00 >= 0 && wish.ToleranceDE00 <= 100):
		return refuse("--tolerance: %g dE00 cannot be; it lies between 0 and 100", wish.ToleranceDE00)
	}
	if err := checkLoad("load", wish.Load); err != nil {
		return refuse("%s", err)
	}
	return nil
}

// matchedJSON is the shape of a match in JSON.
type matchedJSON struct {
	workshop.Matched
	Recipes []recipeJSON `json:"recipes"`
}

// recipeJSON is the shape of one recipe of a match in JSON.
type recipeJSON struct {
	workshop.MatchedRecipe
	Amounts   []portionJSON  `json:"amounts"`
	Additives []additiveJSON `json:"additives"`
	Seen      string         `json:"seen"`
}

// stockUseJSON is the shape of what is taken of dyed wax set aside in JSON.
type stockUseJSON struct {
	Number int64     `json:"number"`
	Taken  wax.Batch `json:"taken"`
	UsedUp bool      `json:"used_up"`
}

// portionJSON is the shape of a dye as it is measured out in JSON.
type portionJSON struct {
	workshop.MeasuredDye
	GPerKg    float64 `json:"g_per_kg"`
	AtMaximum bool    `json:"at_maximum"`
}

func matchedJSONOf(m workshop.Matched) matchedJSON {
	j := matchedJSON{Matched: m}
	for _, r := range m.Answers {
		told := recipeJSON{MatchedRecipe: r, Additives: additivesJSON(r.Batch), Seen: workshop.Seen(r.DE00)}
		for i, p := range r.Portions {
			told.Amounts = append(told.Amounts, portionJSON{p, r.Amounts[i].DoseGPerKg, r.Amounts[i].AtMaximum})
		}
		j.Recipes = append(j.Recipes, told)
	}
	return j
}
