package cli

import (
	"github.com/spf13/cobra"

	"setshade/internal/batch"
	"setshade/internal/recipe"
	"setshade/internal/report"
	"setshade/internal/shade"
	"setshade/internal/wax"
	"setshade/internal/workshop"
)

const blendLong = `Pour layers of different tints from one pot, with nothing left at the end: what
to add before each pour, how much the pot then holds, and how much to pour.

Dyes are told in whole chips, drops and 0.01 g, each layer making up for the
rounding of the one before, and what the rounding costs.

Layers are given in the order they are poured. Dark to pale, what is left is
diluted with undyed wax; pale to dark, dye is added. Where the next tint lacks a
dye of the one before, the pot is emptied and started anew.

A LAYER is a dose as in a plan, and the mass to pour, with wax, dye and
fragrance counted: "Bracken 2 g/kg x 200 g", "undyed x 1/2 lb".`

func newBlend(a *app) *cobra.Command {
	var l workshop.Layers
	cmd := &cobra.Command{
		Use:   "blend LAYER...",
		Short: "Pour layers of different tints from one pot",
		Long:  blendLong,
		Example: `  setshade blend "Bracken 2 g/kg x 200 g" "Bracken 1 g/kg x 200 g" "Bracken 0.3 g/kg x 200 g"
  setshade blend "undyed x 150 g" "Bracken 1 chip/kg x 150 g" --load 8 --load-per wax --pot "1 kg"`,
		Args:              someLayers,
		ValidArgsFunction: cobra.NoFileCompletions,
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := checkLayers(cmd, &l); err != nil {
				return err
			}
			l.Pours = args
			b, err := ask(cmd.Context(), a, func(w *workshop.Workshop) (workshop.Blend, error) {
				return w.Blend(cmd.Context(), l)
			})
			if err != nil {
				return err
			}
			err = a.tell(blendJSONOf(b), report.Blend(a.colours(), b))
			a.notes(append(converted(cmd.Flags()), b.Notes...))
			return err
		},
	}
	flags := cmd.Flags()
	flags.StringVar(&l.Wax, "wax", "", "`name` of the wax (else the only one on the shelf)")
	numberFlag(flags, &l.Load.Percent, "load", "fragrance load of the layers in `%`; say of what with --load-per")
	flags.StringVar((*string)(&l.Load.Per), "load-per", "", "what the load is a share of: `wax|total`")
	massFlag(flags, &l.PotG, "pot", "most that the pot may hold in `g`, or with its unit (else any amount)")
	completeFlag(cmd, "wax", waxKind.offerNames(a))
	completeFlag(cmd, "load-per", cobra.FixedCompletions(waxKind.choices["load-per"], cobra.ShellCompDirectiveNoFileComp))
	return cmd
}

func someLayers(cmd *cobra.Command, args []string) error {
	if len(args) == 0 {
		return &usageError{"say which layers to pour", cmd.CommandPath() + ` "Bracken 2 g/kg x 200 g" "undyed x 200 g"`}
	}
	return nil
}

// checkLayers refuses flags that leave open what is meant. Without --load the
// layers have no fragrance.
func checkLayers(cmd *cobra.Command, l *workshop.Layers) error {
	if cmd.Flags().Changed("pot") && l.PotG == 0 {
		return &usageError{"--pot: a pot of 0 g holds nothing; leave the flag out when the pot is large enough", helpOf(cmd)}
	}
	if err := checkLoad("load", l.Load); err != nil {
		return &usageError{err.Error(), helpOf(cmd)}
	}
	if l.Load.Per == "" {
		l.Load.Per = wax.PerWax
	}
	return nil
}

// blendJSON is the shape of layers in JSON.
type blendJSON struct {
	Wax    wax.Wax     `json:"wax"`
	Load   wax.Load    `json:"load"`
	Layers []layerJSON `json:"layers"`
	Notes  []string    `json:"notes"`
}

// layerJSON is the shape of one layer in JSON; measured are the dyes to add in whole
// portions.
type layerJSON struct {
	recipe.BlendStep
	Left         *wax.Batch       `json:"left"`
	Shade        *shade.Shade     `json:"shade"`
	Measured     []batch.Measured `json:"measured" means:"what to add, in whole portions"`
	ShadeReached *shade.Shade     `json:"shade_reached"`
	RoundingDE00 *float64         `json:"rounding_de00"`
}

func blendJSONOf(b workshop.Blend) blendJSON {
	j := blendJSON{Wax: b.Wax, Load: b.Steps[0].Pot.Load, Notes: b.Notes}
	for i, s := range b.Steps {
		m := &b.Measured[i]
		layer := layerJSON{BlendStep: s, Measured: m.Adds}
		if s.Left.UndyedG > 0 {
			layer.Left = &s.Left
		}
		if b.Shades != nil {
			layer.Shade, layer.ShadeReached, layer.RoundingDE00 = &b.Shades[i], &m.Shade, &m.RoundingDE00
		}
		j.Layers = append(j.Layers, layer)
	}
	return j
}
