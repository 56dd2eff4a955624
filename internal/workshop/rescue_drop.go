package workshop

import (
	"context"
	"errors"
	"fmt"
	"strconv"
	"strings"

	"setshade/internal/calibrate"
	"setshade/internal/english"
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

// Belief says which to believe where a drop and what should be in the pot exclude
// each other; the zero Belief asks.
type Belief string

// What may be believed: what was weighed, or the drop.
const (
	BelieveDose Belief = "dose"
	BelieveDrop Belief = "drop"
)

// Beliefs lists every belief that can be told.
func Beliefs() []Belief { return []Belief{BelieveDose, BelieveDrop} }

// Excluded is a drop and a pot of which one must be wrong.
type Excluded struct {
	Recipe   wax.Recipe
	MissDE00 float64
}

// Error says what is wrong.
func (e *Excluded) Error() string {
	return fmt.Sprintf("the drop lies %.1f dE00 from what %s looks like, farther than weighing and reading err: one of the two is wrong", e.MissDE00, e.Recipe)
}

// Advice says what to do.
func (e *Excluded) Advice() string {
	return "look for a dose weighed twice or left out, a step not followed, or a drop of another batch; then say which to believe, the dose or the drop"
}

// excludes returns an *Excluded where the drop can hardly be of this pot, and lies
// out of tolerance of it. Weighed together, the dyes would be blamed for a dose.
func (p pot) excludes(m *calibrate.Model, drop seenDrop, toleranceDE00 float64) (missDE00 float64, err error) {
	expected, err := p.shade(m, drop.view())
	if err != nil {
		return 0, err
	}
	missDE00 = spectrum.DE00(expected.Lab, drop.Colour.Lab)
	if missDE00 > toleranceDE00 && !expected.Agrees(drop.Colour) {
		err = &Excluded{p.Recipe, missDE00}
	}
	return missDE00, err
}

// begin tells what is known of the batch before anything is added: by its plan, by
// a drop, or by both weighed together.
func (w *Workshop) begin(ctx context.Context, m *calibrate.Model, t Trouble, c *Course, r *Remedy) (pot, error) {
	c.DoseSpread = doseWeighed
	if t.Dose != "" {
		recipe, notes, err := w.recipe(ctx, t.Dose)
		if err != nil {
			return pot{}, err
		}
		c.Batch.Recipe = recipe
		r.Notes = append(r.Notes, notes...)
	}
	if t.Drop == "" || t.Believe == BelieveDose {
		return c.replay(m)
	}
	drop, err := w.drop(ctx, t.Drop)
	if err != nil {
		return pot{}, err
	}
	r.FromDrop = true
	seen := Event{Drop: &drop.Sighting}
	if t.Dose != "" && t.Believe == "" {
		planned, err := c.replay(m)
		if err != nil {
			return pot{}, err
		}
		r.Plan = &PlanBeside{Recipe: c.Batch.Recipe}
		if r.Plan.MissDE00, err = planned.excludes(m, drop, c.Means.ToleranceDE00); err != nil {
			return pot{}, err
		}
		c.Events = []Event{seen}
		now, err := planned.follow(seen)
		if err == nil {
			r.DropMissDE00 = now.known.ExplainedDE00
		}
		return now, err
	}
	in := c.Batch.Recipe
	if len(in) == 0 {
		in = drop.recipe
	}
	dyes, err := w.dyesOf(ctx, t.Dyes, in)
	if err != nil {
		return pot{}, err
	}
	if err := r.readOff(m, c, dyes, drop); err != nil {
		return pot{}, err
	}
	c.Events = []Event{seen}
	return c.replay(m)
}

// readOff takes the doses from the drop alone, and refuses one that is plainly of
// other dyes.
func (r *Remedy) readOff(m *calibrate.Model, c *Course, dyes []string, drop seenDrop) error {
	var err error
	c.DoseSpread = doseUnknown
	if c.Batch.Recipe, r.DropMissDE00, err = shade.DosesOf(m, dyes, drop.Colour.Lab, drop.view()); err != nil {
		return err
	}
	other := fmt.Sprintf("no doses of %s give the drop's colour, the nearest stay %.1f dE00 away; check which dyes are in it and read the drop again", english.And(dyes), r.DropMissDE00)
	switch {
	case r.DropMissDE00 > SeenApart:
		return errors.New(other)
	case r.DropMissDE00 > c.Means.ToleranceDE00:
		r.Notes = append(r.Notes, other)
	}
	return nil
}
