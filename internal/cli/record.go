package cli

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"setshade/internal/photo"
	"setshade/internal/plan"
	"setshade/internal/report"
	"setshade/internal/workshop"
)

const recordLong = `Read the drops from photographs of cards and keep them as swatches.

Beside each photograph lies its plan, a text that says which drop is which dose;
it has the photograph's name with .plan at its end, unless --plan names another:

  wax   Harrow Soy
  state set
  rows  3 2
  1  undyed
  2  Bracken 0.5 g/kg
  3  Bracken 2 chips/kg
  4  Bracken 0.5 g/kg + Slate Hill 1 g/kg
  5  Bracken 1 g/kg check

Drops are numbered from left to right in each row, and from the top row down.
A drop marked check is kept back to test predictions, never learned from. Wax
and dyes must be on the shelf. A photograph is recorded whole or not at all; of
several, those that are refused do not keep the others from being recorded.

With --json: {"cards": [{"photo", "plan", "recorded", "swatches", "notes"}]},
where swatches have the shape that setshade help swatch show tells.`

type recordOptions struct {
	photos  []string
	plan    string
	overlay string
	dryRun  bool
}

func newRecord(a *app) *cobra.Command {
	var o recordOptions
	cmd := &cobra.Command{
		Use:   "record PHOTO...",
		Short: "Read photographed test drops and keep them as swatches",
		Long:  recordLong,
		Example: `  setshade record bracken.jpg --dry-run --overlay bracken-read.png
  setshade record bracken.jpg slate-hill.jpg
  setshade record IMG_0412.jpg --plan bracken.plan`,
		Args:              somePhotos,
		ValidArgsFunction: filesOf("jpg", "jpeg", "png"),
		RunE: func(cmd *cobra.Command, args []string) error {
			o.photos = args
			if err := o.check(cmd); err != nil {
				return err
			}
			return a.record(cmd.Context(), o)
		},
	}
	cmd.Flags().StringVar(&o.plan, "plan", "", "plan `file` (else the photograph's name with .plan)")
	cmd.Flags().StringVar(&o.overlay, "overlay", "", "write a picture of what was read where to a PNG `file`")
	cmd.Flags().BoolVar(&o.dryRun, "dry-run", false, "read and show, record nothing")
	completeFlag(cmd, "plan", filesOf("plan"))
	completeFlag(cmd, "overlay", filesOf("png"))
	return cmd
}

func somePhotos(cmd *cobra.Command, args []string) error {
	if len(args) == 0 {
		return &usageError{"name the photograph of a card", cmd.CommandPath() + " bracken.jpg"}
	}
	return nil
}

func (o recordOptions) check(cmd *cobra.Command) error {
	if len(o.photos) > 1 && (o.plan != "" || o.overlay != "") {
		return &usageError{"--plan and --overlay go with one photograph; name one, or leave them out", helpOf(cmd)}
	}
	return checkPicture(cmd, "overlay", o.overlay, o.photos[0])
}

// readCard is a card as it was read, and whether it was recorded.
type readCard struct {
	workshop.Card
	workshop.Reading
	recorded bool
}

// record reads and records one photograph after the other, then shows those
// that were read. Of several, each refusal is said when it comes.
func (a *app) record(ctx context.Context, o recordOptions) error {
	var read []readCard
	refused := 0
	err := a.withWorkshop(ctx, func(w *workshop.Workshop) error {
		progress := a.progress()
		defer progress.End()
		for i, photo := range o.photos {
			progress.Step("reading "+filepath.Base(photo), i+1, len(o.photos))
			card, err := a.recordOne(ctx, w, photo, o)
			switch {
			case err == nil:
				read = append(read, card)
			case len(o.photos) == 1:
				return err
			case ctx.Err() != nil:
				refused += len(o.photos) - i
				return nil
			default:
				progress.Clear()
				sayError(a.env.Stderr, err)
				refused++
			}
		}
		return nil
	})
	if len(read) > 0 {
		err = errors.Join(err, a.showCards(read))
	}
	if refused > 0 {
		err = errors.Join(err, fmt.Errorf("%d of %d photographs were refused", refused, len(o.photos)))
	}
	return err
}

func (a *app) recordOne(ctx context.Context, w *workshop.Workshop, photo string, o recordOptions) (readCard, error) {
	card, err := openCard(photo, o.plan)
	if err != nil {
		return readCard{}, err
	}
	var picture *wholeFile
	if o.overlay != "" {
		if picture, err = newWholeFile("picture", o.overlay); err != nil {
			return readCard{}, err
		}
		defer picture.discard()
	}
	do := w.Record
	if o.dryRun {
		do = w.Read
	}
	reading, err := do(ctx, card)
	if overlay := reading.Overlay(); picture != nil && overlay != nil {
		if err := picture.write(asPNG(overlay)); err != nil {
			return readCard{}, err
		}
		a.note("What was read where is drawn in %s.", o.overlay)
	}
	return readCard{card, reading, !o.dryRun}, err
}

// openCard reads the files of a card.
func openCard(photograph, planFile string) (workshop.Card, error) {
	bytes, err := readFile("photograph", photograph, photo.MaxBytes)
	if err != nil {
		return workshop.Card{}, err
	}
	if planFile == "" {
		planFile = strings.TrimSuffix(photograph, filepath.Ext(photograph)) + ".plan"
		if _, err := os.Stat(planFile); errors.Is(err, fs.ErrNotExist) {
			return workshop.Card{}, fmt.Errorf("the photograph %s has no plan %s beside it; write one (see setshade help record), or say where it is with --plan", photograph, planFile)
		}
	}
	text, err := readFile("plan", planFile, plan.MaxBytes)
	if err != nil {
		return workshop.Card{}, err
	}
	return workshop.Card{
		PhotoName: filepath.Base(photograph), PlanName: filepath.Base(planFile),
		Photo: bytes, PlanText: string(text),
	}, nil
}

func (a *app) showCards(cards []readCard) error {
	shapes := make([]cardJSON, len(cards))
	texts := make([]string, len(cards))
	for i, c := range cards {
		shapes[i] = cardJSONOf(c)
		texts[i] = report.Card(a.colours(), c.PhotoName, c.Reading, c.recorded)
	}
	err := a.tell(map[string][]cardJSON{"cards": shapes}, strings.Join(texts, "\n"))
	a.notes(cardNotes(cards))
	return err
}

// cardNotes gathers the notes of all cards, each once with the cards it is on.
func cardNotes(cards []readCard) []string {
	on := map[string][]string{}
	var order []string
	for _, c := range cards {
		for _, note := range c.Notes {
			if on[note] == nil {
				order = append(order, note)
			}
			on[note] = append(on[note], c.PhotoName)
		}
	}
	for i, note := range order {
		order[i] = fewNames(on[note]) + ": " + note
	}
	return order
}

func fewNames(names []string) string {
	const shown = 3
	if len(names) > shown {
		return fmt.Sprintf("%s and %d more", strings.Join(names[:shown], ", "), len(names)-shown)
	}
	return strings.Join(names, ", ")
}

// cardJSON is the shape of a read card in JSON.
type cardJSON struct {
	Photo    string       `json:"photo"`
	Plan     string       `json:"plan"`
	Recorded bool         `json:"recorded"`
	Swatches []swatchJSON `json:"swatches"`
	Notes    []string     `json:"notes"`
}

func cardJSONOf(c readCard) cardJSON {
	return cardJSON{c.PhotoName, c.PlanName, c.recorded, swatchesJSON(c.Swatches), orEmpty(c.Notes)}
}
