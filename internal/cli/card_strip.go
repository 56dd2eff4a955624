package cli

import (
	"context"
	"fmt"
	"path/filepath"
	"time"

	"github.com/spf13/cobra"

	"setshade/internal/card"
	"setshade/internal/report"
	"setshade/internal/spectrum"
	"setshade/internal/workshop"
)

const cardReferenceLong = `Keep the colours of the printed card's strip as an instrument measured them,
show them, or forget them. Photographs of cards of that size and print are then read
to these colours, which makes theirs absolute in daylight. No strip takes away what
a lamp does to dyes: under a warm one drops may be 2 to 6 dE00 off. Cards of one
print must be alike, of the same printer, ink and paper: see setshade help card for
a new print.

` + stripFileHelp + `
The strip has 14 patches, from left to right; at least 8 must be given.

Photographs recorded before keep their numbers until setshade swatch reread.`

const cardAnchorLong = `Show, choose or forget the anchor of the printed card: its strip as the first
photograph in the store shows it that is sharp and evenly lit, with all its patches
clean. Wax or dirt is told where no printer prints a patch so; thin wax is not.
Later photographs of the same size and print are corrected so that their strip
agrees with it, which takes away what cameras do to colours. It does not take
away what another kind of lamp does to dyes: photograph all cards in the same
kind of light, best in daylight. A first photograph under a warm lamp becomes the
anchor too, and says so where the lamp's colour shows on the white card.

A strip measured with an instrument goes before the anchor: see setshade help
card reference. Once forgotten, the next photograph that is recorded becomes the
anchor.`

// stripUse is what a command does with the strips of one kind.
type stripUse struct {
	what string // "reference"
	none string
	list func(*workshop.Workshop, context.Context) ([]workshop.PrintStrip, error)
	drop func(*workshop.Workshop, context.Context, card.Geometry) error
}

var (
	referenceUse = stripUse{
		"reference", "No strip has been measured.\ntry: setshade card reference strip.csv",
		(*workshop.Workshop).References, (*workshop.Workshop).ForgetReference,
	}
	anchorUse = stripUse{
		"anchor", "There is no anchor yet; the first photograph of a printed card becomes it.\ntry: setshade record bracken.jpg",
		(*workshop.Workshop).Anchors, (*workshop.Workshop).ForgetAnchor,
	}
)

func newCardReference(a *app) *cobra.Command {
	var of cardOptions
	var light string
	var forget bool
	cmd := &cobra.Command{
		Use:   "reference [FILE]",
		Short: "Keep, show or forget the measured colours of the card's strip",
		Long:  cardReferenceLong,
		Example: `  setshade card reference strip.csv --size A5 --light D50
  setshade card reference strip-2.csv --print 2
  setshade card reference --forget`,
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) > 1 {
				return &usageError{"one file of colours at a time", cmd.CommandPath() + " strip.csv"}
			}
			if forget && len(args) > 0 {
				return &usageError{"--forget goes without a file", cmd.CommandPath() + " --forget"}
			}
			return nil
		},
		ValidArgsFunction: filesOf("csv"),
		RunE: func(cmd *cobra.Command, args []string) error {
			g, err := of.layout(cmd)
			if err != nil {
				return err
			}
			from, err := workshop.LightNamed(light)
			if err != nil {
				return &usageError{"--light: " + err.Error(), helpOf(cmd)}
			}
			if len(args) == 0 {
				return a.useStrips(cmd.Context(), referenceUse, g, forget)
			}
			return a.keepReference(cmd.Context(), g, args[0], from)
		},
	}
	of.flags(cmd)
	lightFlag(cmd, &light)
	cmd.Flags().BoolVar(&forget, "forget", false, "forget the measured colours")
	return cmd
}

func newCardAnchor(a *app) *cobra.Command {
	var of cardOptions
	var from string
	var forget bool
	cmd := &cobra.Command{
		Use:   "anchor",
		Short: "Show, choose or forget the strip that later photographs are brought to",
		Long:  cardAnchorLong,
		Example: `  setshade card anchor
  setshade card anchor --from bracken.jpg
  setshade card anchor --forget --size half-letter --print 2`,
		Args: noArguments,
		RunE: func(cmd *cobra.Command, _ []string) error {
			g, err := of.layout(cmd)
			if err != nil {
				return err
			}
			switch {
			case from != "" && forget:
				return &usageError{"--from and --forget do not go together; --from alone takes the old anchor's place", cmd.CommandPath() + " --from bracken.jpg"}
			case from != "":
				return a.chooseAnchor(cmd.Context(), from)
			}
			return a.useStrips(cmd.Context(), anchorUse, g, forget)
		},
	}
	of.flags(cmd)
	cmd.Flags().StringVar(&from, "from", "", "make a recorded `photograph` the anchor of its print: its name, or the number of a swatch of it")
	cmd.Flags().BoolVar(&forget, "forget", false, "forget the anchor")
	completeFlag(cmd, "from", photographFiles())
	return cmd
}

func (a *app) chooseAnchor(ctx context.Context, from string) error {
	var chosen workshop.PrintStrip
	var notes []string
	err := a.withWorkshop(ctx, func(w *workshop.Workshop) (err error) {
		chosen, notes, err = w.ChooseAnchor(ctx, from)
		return err
	})
	if err != nil {
		return err
	}
	err = a.tell(stripsJSONOf([]workshop.PrintStrip{chosen}), fmt.Sprintf("The anchor of the printed card %s is now %s.\n"+
		"Later photographs are brought to it; for those in the store: setshade swatch reread\n", chosen.Print, chosen.Name))
	a.notes(notes)
	return err
}

// cardOptions say which printed card is meant: A5 and the first print unless given.
type cardOptions struct {
	size  string
	print int
}

func (o *cardOptions) flags(cmd *cobra.Command) {
	cmd.Flags().StringVar(&o.size, "size", card.A5.String(), "paper: `A5|half-letter`")
	cmd.Flags().IntVar(&o.print, "print", 1, fmt.Sprintf("`number` of the print, 1 to %d", card.LastPrint))
	completeFlag(cmd, "size", cobra.FixedCompletions(sizeNames(), cobra.ShellCompDirectiveNoFileComp))
	completeFlag(cmd, "print", cobra.NoFileCompletions)
}

func (o *cardOptions) layout(cmd *cobra.Command) (card.Geometry, error) {
	paper, err := card.SizeNamed(o.size)
	if err != nil {
		return card.Geometry{}, &usageError{"--size: " + err.Error(), helpOf(cmd)}
	}
	g, err := workshop.CardOfPrint(paper, o.print)
	if err != nil {
		return g, &usageError{"--print: " + err.Error(), fmt.Sprintf("setshade card anchor --forget --print %d", card.LastPrint)}
	}
	return g, nil
}

func (a *app) keepReference(ctx context.Context, g card.Geometry, path string, light *spectrum.Illuminant) error {
	file, err := openColours(path, light)
	if err != nil {
		return err
	}
	strip, err := file.Strip(len(g.Strip))
	if err != nil {
		return askForLight(err)
	}
	err = a.withWorkshop(ctx, func(w *workshop.Workshop) error {
		return w.SaveReference(ctx, g, filepath.Base(path), strip)
	})
	if err != nil {
		return err
	}
	kept := []workshop.PrintStrip{{Print: g.Print(), Name: filepath.Base(path), Patches: strip, KeptAt: a.env.Now()}}
	return a.tell(stripsJSONOf(kept), fmt.Sprintf("Kept the colours of %d patches of the printed card %s.\n"+
		"Photographs are read to them from now on; for those in the store: setshade swatch reread\n", strip.Sound(), g.Print()))
}

// useStrips shows the strips of a kind, or forgets that of one print.
func (a *app) useStrips(ctx context.Context, use stripUse, g card.Geometry, forget bool) error {
	var strips []workshop.PrintStrip
	err := a.withWorkshop(ctx, func(w *workshop.Workshop) (err error) {
		if forget {
			return use.drop(w, ctx, g)
		}
		strips, err = use.list(w, ctx)
		return err
	})
	if err != nil {
		return err
	}
	if forget {
		return a.tell(stripsJSONOf(nil), fmt.Sprintf("Forgot the %s of the printed card %s\n", use.what, g.Print()))
	}
	if len(strips) == 0 {
		a.note("%s", use.none)
	}
	return a.tell(stripsJSONOf(strips), report.Strips(a.colours(), strips))
}

// stripsJSON is the shape of kept strips in JSON.
type stripsJSON struct {
	Strips []stripJSON `json:"strips"`
}

type stripJSON struct {
	Print   string          `json:"print"`
	Name    string          `json:"name"`
	KeptAt  time.Time       `json:"kept_at"`
	Patches []*spectrum.Lab `json:"patches"`
}

func stripsJSONOf(strips []workshop.PrintStrip) stripsJSON {
	var out stripsJSON
	for _, s := range strips {
		j := stripJSON{Print: s.Print, Name: s.Name, KeptAt: s.KeptAt}
		for _, lab := range s.Patches {
			var patch *spectrum.Lab
			if lab.IsFinite() {
				patch = &lab
			}
			j.Patches = append(j.Patches, patch)
		}
		out.Strips = append(out.Strips, j)
	}
	return out
}
