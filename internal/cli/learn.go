package cli

import (
	"context"
	"errors"
	"image"

	"github.com/spf13/cobra"

	"setshade/internal/report"
	"setshade/internal/shade"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
	"setshade/internal/workshop"
)

const learnLong = `Learn a wax and every dye that its set drops show, and say how well it holds.

All set swatches of the wax are fitted together, except those kept back as
checks. Each drop is then left out once and predicted by the others; that is how
far a new drop will typically miss. The check drops, which no fit has seen, are
shown predicted beside measured.

With one wax on the shelf its name may be left out. Learn again after recording,
removing or keeping back swatches.`

func newLearn(a *app) *cobra.Command {
	var all bool
	var beside, curves string
	cmd := &cobra.Command{
		Use:   "learn [WAX]",
		Short: "Learn a wax and its dyes from its set drops",
		Long:  learnLong,
		Example: `  setshade learn "Harrow Soy"
  setshade learn --all
  setshade learn --picture predicted-beside-measured.png
  setshade learn --plot curves.png`,
		Args:              atMostOneWax,
		ValidArgsFunction: waxKind.completeNames(a),
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := errors.Join(checkPicture(cmd, "picture", beside), checkPicture(cmd, "plot", curves)); err != nil {
				return err
			}
			name := ""
			if len(args) == 1 {
				name = args[0]
			}
			lesson, err := a.learn(cmd.Context(), name, beside, curves)
			if err != nil {
				return err
			}
			err = a.tell(lessonJSONOf(lesson), report.Lesson(a.colours(), lesson, all))
			a.notes(lesson.Notes)
			return err
		},
	}
	cmd.Flags().BoolVar(&all, "all", false, "show every drop, in the fit and left out of it")
	cmd.Flags().StringVar(&beside, "picture", "", "draw predicted beside measured to a PNG `file`")
	cmd.Flags().StringVar(&curves, "plot", "", "draw each dye's curve, its hues from pale to strong and the misses to a PNG `file`")
	replaceFlag(cmd)
	completeFlag(cmd, "picture", filesOf("png"))
	completeFlag(cmd, "plot", filesOf("png"))
	return cmd
}

func atMostOneWax(cmd *cobra.Command, args []string) error {
	if len(args) == 0 {
		return nil
	}
	return oneName(waxKind.noun, waxKind.example)(cmd, args)
}

// learn learns a wax, and draws the pictures that there is a path for.
func (a *app) learn(ctx context.Context, name, besidePath, curvesPath string) (workshop.Lesson, error) {
	beside, err := newPicture(besidePath)
	if err != nil {
		return workshop.Lesson{}, err
	}
	defer beside.discard()
	curves, err := newPicture(curvesPath)
	if err != nil {
		return workshop.Lesson{}, err
	}
	defer curves.discard()
	progress := a.progress()
	defer progress.End()
	progress.Step("learning", 0, 0)
	lesson, err := ask(ctx, a, func(w *workshop.Workshop) (workshop.Lesson, error) {
		return w.Learn(ctx, name, func(done, of int) { progress.Step("leaving each drop out once", done+1, of) })
	})
	if err == nil && beside != nil {
		err = beside.write(asPNG(report.LessonPicture(lesson)))
	}
	if err == nil && curves != nil {
		var drawn image.Image
		if drawn, err = report.CurvesPicture(lesson); err == nil {
			err = curves.write(asPNG(drawn))
		}
	}
	return lesson, err
}

// newPicture is a picture in the making, nil when there is no path for it.
func newPicture(path string) (*wholeFile, error) {
	if path == "" {
		return nil, nil
	}
	return newWholeFile("picture", path)
}

// lessonJSON is the shape of what was learned in JSON.
type lessonJSON struct {
	Wax       string           `json:"wax"`
	Converged bool             `json:"converged"`
	NoiseDE00 float64          `json:"noise_de00"`
	Dyes      []learnedDyeJSON `json:"dyes"`
	Drops     []dropFitJSON    `json:"drops"`
	Checks    []checkJSON      `json:"checks"`
	Notes     []string         `json:"notes"`
}

// learnedDyeJSON is the shape of a learned dye in JSON.
type learnedDyeJSON struct {
	Dye               string   `json:"dye"`
	Drops             int      `json:"drops"`
	MinGPerKg         float64  `json:"min_g_per_kg"`
	MaxGPerKg         float64  `json:"max_g_per_kg"`
	LeftOutMedianDE00 *float64 `json:"left_out_median_de00" means:"null where all drops have one dose"`
	LeftOutWorstDE00  *float64 `json:"left_out_worst_de00"`
}

// dropFitJSON is the shape of a drop learned from in JSON.
type dropFitJSON struct {
	Number      int64        `json:"number"`
	Dose        wax.Recipe   `json:"dose"`
	Predicted   spectrum.Lab `json:"predicted"`
	Measured    spectrum.Lab `json:"measured"`
	FitDE00     float64      `json:"fit_de00"`
	LeftOutDE00 *float64     `json:"left_out_de00"`
	Trust       float64      `json:"trust"`
	Suspicion   string       `json:"suspicion" zero:"null"`
}

// checkJSON is the shape of a check drop in JSON.
type checkJSON struct {
	Number    int64        `json:"number"`
	Dose      wax.Recipe   `json:"dose"`
	Predicted shade.Shade  `json:"predicted"`
	Measured  spectrum.Lab `json:"measured"`
	DE00      float64      `json:"de00"`
	Within95  float64      `json:"within_95_de00"`
	Inside    bool         `json:"inside"`
}

func lessonJSONOf(l workshop.Lesson) lessonJSON {
	j := lessonJSON{Wax: l.Wax.Name, Converged: l.Model.Converged, NoiseDE00: l.Model.NoiseDE00, Notes: l.Notes}
	for _, d := range l.Model.Dyes {
		m := l.LeftOut(d.Name)
		dye := learnedDyeJSON{Dye: d.Name, Drops: d.Drops, MinGPerKg: d.MinGPerKg, MaxGPerKg: d.MaxGPerKg}
		if m.Count > 0 {
			dye.LeftOutMedianDE00, dye.LeftOutWorstDE00 = &m.MedianDE00, &m.WorstDE00
		}
		j.Dyes = append(j.Dyes, dye)
	}
	for i, fit := range l.Model.Drops {
		s := l.Drops[i]
		j.Drops = append(j.Drops, dropFitJSON{
			Number: s.ID, Dose: s.Recipe, Predicted: fit.Predicted, Measured: s.Colour.Lab,
			FitDE00: fit.DE00, LeftOutDE00: fit.LeftOutDE00, Trust: fit.Trust, Suspicion: fit.Suspicion,
		})
	}
	for _, c := range l.Checks {
		j.Checks = append(j.Checks, checkJSON{
			c.Swatch.ID, c.Swatch.Recipe, c.Predicted, c.Swatch.Colour.Lab,
			c.MissDE00, c.Within95, c.Held(),
		})
	}
	return j
}
