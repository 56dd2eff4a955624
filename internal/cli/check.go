package cli

import (
	"github.com/spf13/cobra"

	"setshade/internal/report"
	"setshade/internal/wax"
	"setshade/internal/workshop"
)

const checkLong = `Tell from a photographed liquid drop what the pot will set to, and whether that
keeps the promise. Nothing is recorded.

Drip a drop of the pot on white card and photograph it at once, before it sets.
Its plan names the wax, says "state liquid", and gives the dose as weighed; write
a drop for each pot. When doses are not known, name the dyes with --dye and write
any dose in the plan. Liquid drops of the wax must have been recorded and learned,
beside set ones. Pigments and micas make liquid wax murky: let those drops set.

The promise is a dose, whose predicted shade is meant, or a COLOUR: "#d8a49b",
three numbers L* a* b*, or "swatch 12"; else each drop is held against the shade
predicted for its own dose. A verdict is within or out of tolerance when 95
chances in 100 say so, else too close to tell.

Hot wax burns and catches fire: never leave it to take a photograph.`

func newCheck(a *app) *cobra.Command {
	q := workshop.PotQuestion{ToleranceDE00: workshop.SeenSideBySide}
	var planFile string
	cmd := &cobra.Command{
		Use:   "check PHOTO",
		Short: "Tell from a liquid drop whether the pot keeps its promise",
		Long:  checkLong,
		Example: `  setshade check pot.jpg
  setshade check pot.jpg --promise "Bracken 0.5 g/kg" --wax-mass 800
  setshade check IMG_0431.jpg --plan pot.plan --dye Bracken --promise "#d8a49b" --tolerance 1.5`,
		Args:              onePhoto,
		ValidArgsFunction: photographFiles(),
		RunE: func(cmd *cobra.Command, args []string) error {
			if len(q.Dyes) > 0 && q.Promise == "" {
				return &usageError{"with --dye the doses are not known; say what was promised, with --promise", helpOf(cmd)}
			}
			if q.ToleranceDE00 <= 0 {
				return &usageError{"--tolerance: write a difference above 0, like 2", helpOf(cmd)}
			}
			var answer workshop.PotAnswer
			err := a.withWorkshop(cmd.Context(), func(w *workshop.Workshop) (err error) {
				if q.Card, err = openCard(args[0], planFile); err != nil {
					return err
				}
				answer, err = w.CheckPot(cmd.Context(), q)
				return err
			})
			if err != nil {
				return err
			}
			err = a.tell(potCheckJSONOf(answer), report.PotCheck(a.colours(), answer))
			a.notes(append(converted(cmd.Flags()), answer.Notes...))
			return err
		},
	}
	cmd.Flags().StringVar(&planFile, "plan", "", "plan `file` (else the photograph's name with .plan)")
	cmd.Flags().StringArrayVar(&q.Dyes, "dye", nil, "`name` of a dye in the drops, when doses are not known; give it again for each")
	cmd.Flags().StringVar(&q.Promise, "promise", "", "`dose or colour` to keep (else what each drop's dose predicts)")
	numberFlag(cmd.Flags(), &q.ToleranceDE00, "tolerance", "accepted difference from the promise in `dE00`")
	massFlag(cmd.Flags(), &q.UndyedG, "wax-mass", "wax in the pot in `g`, or with its unit; dye and fragrance not counted")
	completeFlag(cmd, "plan", filesOf("plan"))
	completeFlag(cmd, "dye", dyeKind.offerNames(a))
	return cmd
}

func onePhoto(cmd *cobra.Command, args []string) error {
	if len(args) > 1 {
		return &usageError{"one photograph at a time; put quotes around a name with blanks", helpOf(cmd)}
	}
	return somePhotos(cmd, args)
}

// potCheckJSON is the shape of a check at the pot in JSON.
type potCheckJSON struct {
	workshop.PotAnswer
	Drops []potDropJSON `json:"drops"`
}

// potDropJSON is the shape of one liquid drop of it.
type potDropJSON struct {
	workshop.PotDrop
	Dose          wax.Recipe `json:"dose"`
	AddUndyedG    *float64   `json:"add_undyed_g" means:"without --wax-mass for each kg in the pot"`
	RescueCommand *string    `json:"rescue_command"`
}

func potCheckJSONOf(a workshop.PotAnswer) potCheckJSON {
	j := potCheckJSON{PotAnswer: a}
	for _, d := range a.Drops {
		drop := potDropJSON{PotDrop: d, Dose: d.Set.Recipe}
		if d.Rescue != nil {
			command := report.RescueCommand(a, d)
			drop.AddUndyedG, drop.RescueCommand = &d.Rescue.AddUndyedG, &command
		}
		j.Drops = append(j.Drops, drop)
	}
	return j
}
