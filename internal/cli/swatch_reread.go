package cli

import (
	"time"

	"github.com/spf13/cobra"

	"setshade/internal/report"
	"setshade/internal/wax"
	"setshade/internal/workshop"
)

const rereadLong = `Read all photographs in the store again with this setshade's reader, and show what
would change. Do so after setshade was renewed, and after the strip of the printed
card was measured. With --accept the new numbers are put in place of the old ones:
of each photograph all of them or none. Learn the waxes again afterwards.

Numbers of swatches, their doses and marks for checking stay as they are. A
photograph that is lost, or refused now, keeps its old numbers; what a reader of
before is known to have read wrong is then a doubt of all its drops alike when they
are learned from. Nothing is replaced before all have been read: Ctrl-C leaves
everything as it was. With --bring-back the numbers, the anchors and what was
learned are again what they were before the last --accept; once more, and the new
ones are back.`

func newSwatchReread(a *app) *cobra.Command {
	var accept, bringBack bool
	cmd := &cobra.Command{
		Use:   "reread",
		Short: "Read the recorded photographs again with the present reader, and accept what it reads",
		Long:  rereadLong,
		Example: `  setshade swatch reread
  setshade swatch reread --accept
  setshade swatch reread --bring-back`,
		Args: noArguments,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if bringBack {
				since, err := ask(cmd.Context(), a, func(w *workshop.Workshop) (time.Time, error) { return w.BringBack(cmd.Context()) })
				if err != nil {
					return err
				}
				return a.tell(rereadJSON{BroughtBack: &since, Photos: []rereadPhotoJSON{}}, report.BroughtBack(since))
			}
			var done workshop.Reread
			err := a.withWorkshop(cmd.Context(), func(w *workshop.Workshop) (err error) {
				progress := a.progress()
				defer progress.End()
				done, err = w.Reread(cmd.Context(), !accept, func(n, of int) { progress.Step("reading photographs again", n, of) })
				return err
			})
			if err != nil {
				return err
			}
			if len(done.Photos) == 0 {
				a.note("There are no photographs in the store.\ntry: setshade record bracken.jpg")
			}
			return a.tell(rereadJSONOf(done), report.Reread(done))
		},
	}
	cmd.Flags().BoolVar(&accept, "accept", false, "put the new numbers in place of the old")
	cmd.Flags().BoolVar(&bringBack, "bring-back", false, "put back what the last --accept replaced")
	cmd.MarkFlagsMutuallyExclusive("accept", "bring-back")
	return cmd
}

// rereadJSON is the shape of a rereading in JSON.
type rereadJSON struct {
	BroughtBack *time.Time        `json:"brought_back" means:"when what was brought back had been replaced"`
	Replaced    bool              `json:"replaced"`
	Photos      []rereadPhotoJSON `json:"photos"`
}

// rereadPhotoJSON is the shape of one photograph; refused is null when it was read.
type rereadPhotoJSON struct {
	Name      string  `json:"name"`
	SHA256    string  `json:"sha256"`
	Refused   *string `json:"refused" means:"why the old numbers stay"`
	OldReader int     `json:"old_reader_version"`
	Reader    int     `json:"reader_version"`
	readingJSON
	MedianDE00 float64          `json:"median_de00"`
	WorstDE00  float64          `json:"worst_de00"`
	Drops      []rereadDropJSON `json:"drops"`
	Notes      []string         `json:"notes"`
}

type rereadDropJSON struct {
	Number     int64   `json:"number"`
	Drop       int     `json:"drop"`
	Before     numbers `json:"lab_before"`
	Lab        numbers `json:"lab"`
	ChangeDE00 float64 `json:"change_de00"`
}

func rereadJSONOf(r workshop.Reread) rereadJSON {
	out := rereadJSON{nil, r.Replaced, nil}
	for _, p := range r.Photos {
		j := rereadPhotoJSON{
			Name: p.Name, SHA256: p.SHA256, OldReader: p.OldReader, Reader: p.Reader, readingJSON: readingJSONOf(p.Correction, p.Quality),
			MedianDE00: p.MedianDE00(), WorstDE00: p.WorstDE00(), Notes: p.Notes,
		}
		if p.Refusal != nil {
			why := p.Refusal.Error()
			j.Refused, j.Reader = &why, p.OldReader
		}
		for _, d := range p.Drops {
			j.Drops = append(j.Drops, rereadDropJSON{d.Swatch.ID, d.Swatch.Drop, numbers(d.Swatch.Colour.Lab), numbers(d.After), d.DE00()})
		}
		out.Photos = append(out.Photos, j)
	}
	return out
}

// readingJSON is the shape of what is known of a photograph as a measurement in
// JSON; both are null where it was not kept.
type readingJSON struct {
	Correction *correctionJSON `json:"correction"`
	Quality    *qualityJSON    `json:"quality"`
}

type correctionJSON struct {
	Kind        string  `json:"kind"`
	Model       string  `json:"model"`
	Patches     int     `json:"patches"`
	MedianDE00  float64 `json:"median_de00"`
	WorstDE00   float64 `json:"worst_de00"`
	HeldOutDE00 float64 `json:"held_out_de00"`
}

type qualityJSON struct {
	LightRatio float64 `json:"light_ratio" means:"brightest over darkest light on the card"`
	TintShift  float64 `json:"tint_shift" means:"change of red over blue over it"`
	Noise      float64 `json:"noise" means:"as a share of white"`
	EdgePx     float64 `json:"edge_px" zero:"null" means:"how wide an edge is"`
}

func readingJSONOf(c wax.Correction, q wax.Quality) readingJSON {
	if !c.IsKnown() {
		return readingJSON{}
	}
	return readingJSON{
		&correctionJSON{c.Kind, c.Model, c.Patches, c.MedianDE00, c.WorstDE00, c.HeldOutDE00},
		&qualityJSON{q.LightRatio, q.TintShift, q.Noise, q.EdgePx},
	}
}
