package workshop

import (
	"context"
	"fmt"
	"strconv"
	"strings"

	"setshade/internal/calibrate"
	"setshade/internal/shade"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// What is taken of doses before a drop is seen, as standard errors of their logs:
// of those that were weighed by plan, and of those that nobody knows (common
// practice, no source).
const (
	doseWeighed = 0.05
	doseUnknown = 2.0
)

// typedError is the standard error of each coordinate of a colour that is typed
// and not read from a photograph (common practice, no source).
const typedError = 0.3

// seenDrop is a colour that stands for the batch, with the recipe of the swatch.
type seenDrop struct {
	Sighting
	recipe wax.Recipe
}

// drop reads the colour of a drop: as any colour, and of a swatch also while it
// is liquid.
func (w *Workshop) drop(ctx context.Context, text string) (seenDrop, error) {
	words := strings.Fields(text)
	if len(words) == 2 && strings.EqualFold(words[0], "swatch") {
		if id, err := strconv.ParseInt(words[1], 10, 64); err == nil {
			s, err := w.Store.Swatch(ctx, id)
			if err != nil {
				return seenDrop{}, err
			}
			seen := Sighting{Colour: s.Colour, Liquid: s.State == wax.LiquidState, Thick: s.Thick, Card: s.Card}
			return seenDrop{seen, s.Recipe}, nil
		}
	}
	c, err := w.colour(ctx, text)
	if err != nil {
		return seenDrop{}, err
	}
	seen := Sighting{Colour: spectrum.Measured{Lab: c.lab}, Thick: c.view.Thick, Card: c.view.Card}
	for i := range seen.Colour.Cov {
		seen.Colour.Cov[i][i] = typedError * typedError
	}
	return seenDrop{Sighting: seen}, nil
}

// begin tells what is known of the batch before anything is added: by its plan, by
// a drop, or by both weighed together.
func (w *Workshop) begin(ctx context.Context, m *calibrate.Model, t Trouble, c *Course, r *Remedy) error {
	c.DoseSpread = doseWeighed
	if t.Dose != "" {
		recipe, notes, err := w.recipe(ctx, t.Dose)
		if err != nil {
			return err
		}
		c.Batch.Recipe = recipe
		r.Notes = append(r.Notes, notes...)
	}
	if t.Drop == "" {
		return nil
	}
	drop, err := w.drop(ctx, t.Drop)
	if err != nil {
		return err
	}
	r.FromDrop = true
	c.Events = []Event{{Drop: &drop.Sighting}}
	if t.Dose != "" {
		return r.weigh(m, c, drop)
	}
	dyes, err := w.dyesOf(ctx, t.Dyes, drop.recipe)
	if err != nil {
		return err
	}
	return r.readOff(m, c, dyes, drop)
}

// readOff takes the doses from the drop alone.
func (r *Remedy) readOff(m *calibrate.Model, c *Course, dyes []string, drop seenDrop) error {
	var err error
	c.DoseSpread = doseUnknown
	if c.Batch.Recipe, r.DropMissDE00, err = shade.DosesOf(m, dyes, drop.Colour.Lab, drop.view()); err != nil {
		return err
	}
	if r.DropMissDE00 > c.Means.ToleranceDE00 {
		r.Notes = append(r.Notes, fmt.Sprintf("no doses of these dyes give the drop's colour, the nearest stay %.1f dE00 away; check which dyes are in it and read the drop again", r.DropMissDE00))
	}
	return nil
}

// mostDyesOfDrop is how many doses the three numbers of a colour can tell.
const mostDyesOfDrop = 3

// weigh puts the plan and the drop together. A drop that can hardly be of the
// planned doses speaks against the plan, and is then believed alone: weighed
// together, the dyes would be blamed for a dose.
func (r *Remedy) weigh(m *calibrate.Model, c *Course, drop seenDrop) error {
	planned := c.Batch.Recipe
	before := *c
	before.Events = nil
	asPlanned, err := before.replay(m)
	if err != nil {
		return err
	}
	expected, err := shade.OfPot(m, asPlanned.known, drop.view())
	if err != nil {
		return err
	}
	r.Plan = &PlanBeside{Recipe: planned, MissDE00: spectrum.DE00(expected.Lab, drop.Colour.Lab)}
	if !expected.Agrees(drop.Colour) && len(planned) > 0 && len(planned) <= mostDyesOfDrop {
		r.Plan.Against = true
		var dyes []string
		for _, p := range planned {
			dyes = append(dyes, p.Dye)
		}
		return r.readOff(m, c, dyes, drop)
	}
	together, err := c.replay(m)
	if err != nil {
		return err
	}
	r.DropMissDE00 = together.known.ExplainedDE00
	return nil
}
