package cli

import (
	"context"
	"errors"
	"fmt"
	"image"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"setshade/internal/english"
	"setshade/internal/picture"
	"setshade/internal/plan"
	"setshade/internal/report"
	"setshade/internal/wax"
	"setshade/internal/workshop"
)

const recordLong = `Read the drops from photographs of cards and keep them as swatches.

` + photographHelp + ` Take it from above in even daylight, the whole card in the
picture on a darker table, with no lamp mirrored in the drops (setshade help
photograph shows how). Hot wax burns and catches fire: never leave it to take a
photograph.

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

The line "mass 0.45 g" tells what each drop weighs, and "3 Bracken 2 chips/kg mass
0.3 g" what one does: of drops from a pipette, weigh twenty together and write a
twentieth. On a printed card, where diameters are read, it tells how thick each
drop is, and so how much card shows through.

The line "card 92 0 0" gives the colour of the bare card, L*, a* and b* under D65.
Without it the card is taken to be bright white, 95.5 0 0; on one less white, undyed
wax seems brighter than the card, and all drops read too light.

Drops are numbered from 1 without a gap, from left to right in each row, and from
the top row of the picture down: plain card has no way up that can be seen, so
photograph it upright. On a printed card the plan may leave numbers out; they are
then those printed beside the places that hold a drop. Or "rows 0 0 6" tells how
many drops each row of places holds, from its first place on.

A drop marked check is kept back to test predictions, never learned from. Wax and
dyes must be on the shelf. With the line "piece thick" the card shows finished
pieces, through which no card shows, in place of drops: lay them on plain white
card, so far apart that card shows between them, or on the rings of the printed
one when they are at most 24 mm wide. A photograph is recorded whole
or not at all; of several, those that are refused do not keep the others from
being recorded.

More dye makes wax darker. A card whose drops do so only when it is turned was
photographed upside down, and is refused; --as-planned keeps it as it lies. One
drop that breaks the order is noted, and so are doses that fit a plain card as well
when it is turned.

With --same-card all the photographs show one card. Each drop keeps its one swatch,
which then has the colour that all of them tell together: taken in two lights, or
once under something black, they all but tell what the drops mirror. The first may
be recorded already, today or long ago; those without a plan beside them have the
first one's, and one of the drops still liquid, or set by now, needs its own. The
line "under overcast" in a plan, or --under, tells the light: window, overcast,
black (something black above the card) or lamp. Photographs under a lamp and in
daylight show other colours and are not combined.

A photograph that is recorded already and whose file the store has lost (see
setshade help store check) is put back: it needs no plan, is not read again, and
nothing else is changed.

Of a printed card (see setshade help card) the first photograph is the anchor
that later ones of the same print are brought to agree with. Colours taken in
daylight are absolute with a strip that was measured, or with --chart and a chart
of 24 patches lying beside the card in the same light. Under a warm lamp drops may
be 2 to 6 dE00 off, whatever sets them right; that is noted where the lamp shows.

` + chartHelp

// photographHelp says what a photograph may be.
const photographHelp = `A photograph is a JPEG, HEIC, PNG or TIFF, as the phone or camera wrote it.`

type recordOptions struct {
	photos []string
	plan   string
	// overlay, flatField and residuals are files for pictures of the reading.
	overlay, flatField, residuals string
	chart                         workshop.Chart
	dryRun, asPlanned, sameCard   bool
	// said are the lights as they were given, lights those of the photographs.
	said   []string
	lights []wax.Light
	// sameAs is the photograph that the others show the card of, once it is recorded.
	sameAs string
}

func newRecord(a *app) *cobra.Command {
	var o recordOptions
	var beside chartFlags
	cmd := &cobra.Command{
		Use:   "record PHOTO...",
		Short: "Read photographed test drops and keep them as swatches",
		Long:  recordLong,
		Example: `  setshade record bracken.jpg --dry-run --overlay bracken-read.png
  setshade record bracken.jpg slate-hill.jpg
  setshade record IMG_0412.jpg --plan bracken.plan
  setshade record bracken.jpg --chart published
  setshade record bracken.jpg bracken-black.jpg --same-card --under window,black`,
		Args:              somePhotos,
		ValidArgsFunction: photographFiles(),
		RunE: func(cmd *cobra.Command, args []string) error {
			o.photos = args
			if err := errors.Join(o.check(cmd), o.readLights(cmd)); err != nil {
				return err
			}
			var err error
			if o.chart, err = beside.read(cmd); err != nil {
				return err
			}
			return a.record(cmd.Context(), o)
		},
	}
	cmd.Flags().StringVar(&o.plan, "plan", "", "plan `file` (else the photograph's name with .plan)")
	cmd.Flags().StringVar(&o.overlay, "overlay", "", "write a picture of what was read where to a PNG `file`")
	cmd.Flags().StringVar(&o.flatField, "flat-field", "", "write a picture of the light on the card to a PNG `file`")
	cmd.Flags().StringVar(&o.residuals, "residuals", "", "write a picture of what is uneven once the light is taken out, ten times enlarged, to a PNG `file`")
	replaceFlag(cmd)
	beside.add(cmd, "beside the card")
	cmd.Flags().BoolVar(&o.dryRun, "dry-run", false, "read and show, record nothing")
	cmd.Flags().BoolVar(&o.sameCard, "same-card", false, "all the photographs show one card")
	cmd.Flags().StringSliceVar(&o.said, "under", nil, "`LIGHT` of each photograph, or of all: window, overcast, black or lamp (separate by commas)")
	cmd.Flags().BoolVar(&o.asPlanned, "as-planned", false, "keep the drops as the plan counts them, though the card looks turned")
	completeFlag(cmd, "plan", filesOf("plan"))
	for _, flag := range []string{"overlay", "flat-field", "residuals"} {
		completeFlag(cmd, flag, filesOf("png"))
	}
	return cmd
}

func somePhotos(cmd *cobra.Command, args []string) error {
	if len(args) == 0 {
		return &usageError{"name the photograph of a card", cmd.CommandPath() + " bracken.jpg"}
	}
	return nil
}

// readLights gives each photograph its light.
func (o *recordOptions) readLights(cmd *cobra.Command) error {
	if n := len(o.said); n > 1 && n != len(o.photos) {
		return &usageError{fmt.Sprintf("--under names %d lights for %s; name one for each, or one for all", n, english.Count(len(o.photos), "photograph", "photographs")), helpOf(cmd)}
	}
	o.lights = make([]wax.Light, len(o.photos))
	for i := range o.photos {
		if len(o.said) == 0 {
			break
		}
		light, err := plan.ParseLight(o.said[min(i, len(o.said)-1)])
		if err != nil {
			return &usageError{"--under: " + err.Error(), helpOf(cmd)}
		}
		o.lights[i] = light
	}
	return nil
}

func (o recordOptions) check(cmd *cobra.Command) error {
	if o.sameCard && (o.dryRun || len(o.photos) < 2) {
		return &usageError{"--same-card joins photographs with those that are recorded; name two or more, and leave out --dry-run", helpOf(cmd)}
	}
	if o.sameCard && o.overlay+o.flatField+o.residuals == "" {
		return nil // of one card there is one plan
	}
	if len(o.photos) > 1 && o.plan+o.overlay+o.flatField+o.residuals != "" {
		return &usageError{"--plan and pictures such as --overlay go with one photograph; name one, or leave them out", helpOf(cmd)}
	}
	written := map[string]string{}
	for _, p := range o.pictures() {
		if err := checkPicture(cmd, p.flag, p.path, o.photos[0]); err != nil {
			return err
		}
		if other := written[p.path]; p.path != "" && other != "" {
			return &usageError{fmt.Sprintf("--%s and --%s name the same file; give each its own", other, p.flag), helpOf(cmd)}
		}
		written[p.path] = p.flag
	}
	return nil
}

// readingPicture is a picture of a reading that was asked for; no path is none.
type readingPicture struct {
	flag, path, says string
	of               func(workshop.Reading) image.Image
}

func (o recordOptions) pictures() []readingPicture {
	return []readingPicture{
		{"overlay", o.overlay, "What was read where", workshop.Reading.Overlay},
		{"flat-field", o.flatField, "The light on the card", workshop.Reading.FlatField},
		{"residuals", o.residuals, "What that light leaves, ten times enlarged,", workshop.Reading.Residuals},
	}
}

// readCard is a card as it was read, and whether it was recorded.
type readCard struct {
	workshop.Card
	workshop.Reading
	recorded bool
	// back is the photograph that was put back in place of all this; nil for none.
	back  *workshop.PutBack
	bytes []byte
	// known says that it was recorded before, and that others were to be of its card.
	known bool
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
			card, err := a.recordOne(ctx, w, i, o)
			if i == 0 && o.sameCard && err == nil {
				o.sameAs, _, err = w.IsRecorded(ctx, card.bytes)
			}
			switch {
			case err == nil && card.known:
			case err == nil:
				read = append(read, card)
			case len(o.photos) == 1 || i == 0 && o.sameCard:
				return err
			case ctx.Err() != nil:
				refused += len(o.photos) - i
				return nil
			default:
				progress.Clear()
				sayError(a.env.Stderr, err, a.json)
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

// recordOne puts back what the store has lost, and reads and records any other.
func (a *app) recordOne(ctx context.Context, w *workshop.Workshop, i int, o recordOptions) (readCard, error) {
	photo := o.photos[i]
	bytes, err := readPhotograph(photo)
	if err != nil {
		return readCard{}, err
	}
	if !o.dryRun {
		back, err := w.PutBack(ctx, bytes)
		if back != nil || err != nil {
			return readCard{back: back, bytes: bytes}, err
		}
	}
	if o.sameCard && i == 0 {
		if _, known, err := w.IsRecorded(ctx, bytes); known || err != nil {
			return readCard{known: known, bytes: bytes}, err
		}
	}
	card, err := cardOf(photo, bytes, o.plan, o.sameAs != "")
	if err != nil {
		return readCard{}, err
	}
	card.Chart, card.AsPlanned, card.SameAs, card.Light = o.chart, o.asPlanned, o.sameAs, o.lights[i]
	files := map[string]*wholeFile{}
	for _, p := range o.pictures() {
		if p.path == "" {
			continue
		}
		if files[p.flag], err = newWholeFile("picture", p.path); err != nil {
			return readCard{}, err
		}
		defer files[p.flag].discard()
	}
	do := w.Record
	if o.dryRun {
		do = w.Read
	}
	reading, err := do(ctx, card)
	for _, p := range o.pictures() {
		picture := p.of(reading)
		if files[p.flag] == nil || picture == nil {
			continue
		}
		if err := files[p.flag].write(asPNG(picture)); err != nil {
			return readCard{}, err
		}
		a.note("%s is drawn in %s.", p.says, p.path)
	}
	return readCard{Card: card, Reading: reading, recorded: !o.dryRun, bytes: bytes}, err
}

// openCard reads the files of a card.
func openCard(photograph, planFile string) (workshop.Card, error) {
	bytes, err := readPhotograph(photograph)
	if err != nil {
		return workshop.Card{}, err
	}
	return cardOf(photograph, bytes, planFile, false)
}

func readPhotograph(path string) ([]byte, error) {
	return readFile("photograph", path, picture.MaxBytes)
}

// cardOf is a photograph with the plan that lies beside it, or in planFile; planned
// says that it may do without.
func cardOf(photograph string, bytes []byte, planFile string, planned bool) (workshop.Card, error) {
	if planFile == "" {
		planFile = strings.TrimSuffix(photograph, filepath.Ext(photograph)) + ".plan"
		if _, err := os.Stat(planFile); errors.Is(err, fs.ErrNotExist) {
			if planned {
				return workshop.Card{PhotoName: filepath.Base(photograph), PlanName: "of the same card", Photo: bytes}, nil
			}
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
	shapes := recordJSON{[]cardJSON{}, []putBackJSON{}}
	texts := make([]string, len(cards))
	for i, c := range cards {
		if c.back != nil {
			shapes.PutBack = append(shapes.PutBack, putBackJSONOf(c.back))
			texts[i] = report.Wrap("", report.PutBackText(c.back))
			continue
		}
		shapes.Cards = append(shapes.Cards, cardJSONOf(c))
		texts[i] = report.Card(a.colours(), c.PhotoName, c.Reading, c.recorded)
	}
	err := a.tell(shapes, strings.Join(texts, "\n"))
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
		order[i] = english.AndMore(on[note], 3) + ": " + note
	}
	return order
}

// recordJSON is the shape of all that was recorded, and of what was put back, in JSON.
type recordJSON struct {
	Cards   []cardJSON    `json:"cards"`
	PutBack []putBackJSON `json:"put_back"`
}

// putBackJSON is the shape of a photograph that was put back; aside is null when
// nothing stood in its place.
type putBackJSON struct {
	recordedJSON
	Aside string `json:"aside" zero:"null" means:"where a changed file is now"`
}

func putBackJSONOf(p *workshop.PutBack) putBackJSON {
	return putBackJSON{recordedJSONOf(p.Lost), p.Aside}
}

// cardJSON is the shape of a read card in JSON; print is null for a plain card.
type cardJSON struct {
	Photo    string `json:"photo"`
	Plan     string `json:"plan"`
	Recorded bool   `json:"recorded"`
	Print    string `json:"print" zero:"null"`
	readingJSON
	Swatches []swatchJSON  `json:"swatches"`
	LeftOut  []leftOutJSON `json:"left_out"`
	Notes    []string      `json:"notes"`
}

// leftOutJSON holds the shares of a drop's area that took no part in its colour.
type leftOutJSON struct {
	Drop int     `json:"drop"`
	Rim  float64 `json:"rim" means:"a share of the drop that took no part in its colour"`
	Bits float64 `json:"bits" means:"likewise"`
}

func cardJSONOf(c readCard) cardJSON {
	j := cardJSON{
		c.PhotoName, c.PlanName, c.recorded, c.Print, readingJSONOf(c.Correction, c.Quality), swatchesJSON(c.Swatches), nil, c.Notes,
	}
	for _, l := range c.LeftOut() {
		j.LeftOut = append(j.LeftOut, leftOutJSON(l))
	}
	return j
}
