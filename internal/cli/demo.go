package cli

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"

	"setshade/internal/durable"
	"setshade/internal/report"
	"setshade/internal/workshop"
)

const demoLong = `Run the main job on the shipped photographs, in a store that is thrown away:
record the test drops, learn the dyes, predict drops kept back beside what was
measured, and rescue a batch that came out too dark.

The workshop, Harrow Lane Wax, is invented and its photographs are rendered.
A picture of predicted beside measured is left behind, in a new folder for
temporary files unless --picture names another place; nothing else is. Your own
store is not touched, so --store is refused.`

type demoOptions struct{ picture string }

func newDemo(a *app) *cobra.Command {
	var o demoOptions
	cmd := &cobra.Command{
		Use:   "demo",
		Short: "Run the main job on the shipped photographs",
		Long:  demoLong,
		Example: `  setshade demo
  setshade demo --picture harrow-lane.png`,
		Args: noArguments,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if a.storePath != "" {
				return &usageError{"the demo works in a store that is thrown away; leave out --store", helpOf(cmd)}
			}
			if err := checkPicture(cmd, "picture", o.picture); err != nil {
				return err
			}
			return o.run(cmd.Context(), a)
		},
	}
	cmd.Flags().StringVar(&o.picture, "picture", "", "PNG `file` for the picture of predicted beside measured (else in a new folder, which is told)")
	replaceFlag(cmd)
	completeFlag(cmd, "picture", filesOf("png"))
	return cmd
}

func (o demoOptions) run(ctx context.Context, a *app) (err error) {
	folder, err := durable.TemporaryFolder("demo")
	if err != nil {
		return fmt.Errorf("there is no place for the demo's store: %w", cause(err))
	}
	defer func() { err = errors.Join(err, os.RemoveAll(folder)) }()
	if o.picture == "" {
		left, made := os.MkdirTemp("", "setshade-demo-picture-")
		if made != nil {
			return fmt.Errorf("there is no place for the demo's picture: %w; say where with --picture", cause(made))
		}
		defer func() {
			if err != nil {
				os.RemoveAll(left)
			}
		}()
		o.picture = filepath.Join(left, "predicted-beside-measured.png")
	}
	picture, err := newWholeFile("picture", o.picture)
	if err != nil {
		return err
	}
	defer picture.discard()
	d, err := o.tell(ctx, a, filepath.Join(folder, "demo.db"))
	if err != nil {
		return err
	}
	if err := picture.write(asPNG(report.LessonPicture(d.Lesson))); err != nil {
		return err
	}
	text := fmt.Sprintf("%s\nPredicted beside measured, as a picture: %s\n", report.Demo(a.colours(), d), o.picture)
	return a.tell(demoJSONOf(d, o.picture), text)
}

// tell does the main job in a store of its own.
func (o demoOptions) tell(ctx context.Context, a *app, path string) (d workshop.Demo, err error) {
	s, err := a.env.OpenStore(ctx, path)
	if err != nil {
		return d, err
	}
	defer func() { err = errors.Join(err, s.Close()) }()
	progress := a.progress()
	defer progress.End()
	w := workshop.Workshop{Store: s, Now: a.env.Now}
	return w.Demo(ctx, progress.Step)
}

// demoJSON is the shape of the demo in JSON.
type demoJSON struct {
	Photographs int        `json:"photographs"`
	SetDrops    int        `json:"set_drops"`
	LiquidDrops int        `json:"liquid_drops"`
	KeptBack    int        `json:"kept_back"`
	Learned     lessonJSON `json:"learned"`
	Rescue      remedyJSON `json:"rescue"`
	Picture     string     `json:"picture"`
}

func demoJSONOf(d workshop.Demo, picture string) demoJSON {
	return demoJSON{
		Photographs: d.Photographs, SetDrops: d.Set, LiquidDrops: d.Liquid, KeptBack: d.Checks,
		Learned: lessonJSONOf(d.Lesson), Rescue: remedyJSONOf(d.Remedy), Picture: picture,
	}
}
