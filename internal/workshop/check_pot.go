package workshop

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"setshade/internal/calibrate"
	"setshade/internal/plan"
	"setshade/internal/rescue"
	"setshade/internal/shade"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// PotQuestion is a photographed card of liquid drops, and what the pot should
// become.
type PotQuestion struct {
	Card Card
	// Dyes name what is in the drops when their doses are not known; the doses
	// of the plan are then not used.
	Dyes []string
	// Promise is a dose as in a plan or a colour; without one, each drop is
	// compared with the shade predicted for its own dose.
	Promise       string
	ToleranceDE00 float64
	// UndyedG is the wax in the pot in grams, dye and fragrance not counted; 0
	// when not told. Amounts are then for each kg.
	UndyedG float64
}

// PotAnswer tells of each dyed drop what its pot will set to.
type PotAnswer struct {
	Wax           wax.Wax `json:"wax"`
	ToleranceDE00 float64 `json:"tolerance_de00"`
	// UndyedG is that of the question.
	UndyedG float64
	Drops   []PotDrop
	Notes   []string `json:"notes"`
}

// PotDrop is the set shade told by one liquid drop.
type PotDrop struct {
	Number int `json:"number"`
	// Planned is the recipe that went in; nil when it is not known.
	Planned wax.Recipe `json:"planned" zero:"null"`
	// Liquid is the colour read.
	Liquid spectrum.Measured `json:"liquid"`
	// Set is the shade once set, of the doses that the drop tells.
	Set shade.Shade `json:"set"`
	// AgainstPlan says that the planned doses were likelier not followed than
	// followed, by the drop.
	AgainstPlan bool `json:"against_plan"`
	// ExplainedDE00 is how far the drop stays from the colour of these doses.
	ExplainedDE00 float64 `json:"explained_de00"`
	// Promised is the colour to keep; OnCard says that it and Set are of a drop
	// on its card, otherwise of a finished piece.
	Promised spectrum.Lab `json:"promised"`
	OnCard   bool         `json:"on_card"`
	shade.Promise
	// Rescue is what undyed wax does for a shade that breaks the promise; nil
	// when it keeps it, or when undyed wax brings it no nearer.
	Rescue *rescue.Answer
	// Missing is the dye in g for each kg that the pot lacks of a promised dose;
	// nil unless the promise is broken and a dose was promised.
	Missing wax.Recipe `json:"missing_per_kg" zero:"null"`
}

// CheckPot tells from liquid drops whether their pots will keep the promise.
// Nothing is recorded.
func (w *Workshop) CheckPot(ctx context.Context, q PotQuestion) (PotAnswer, error) {
	if !(q.ToleranceDE00 > 0) {
		return PotAnswer{}, fmt.Errorf("a tolerance of %g dE00 cannot be kept; %g is just seen side by side", q.ToleranceDE00, SeenSideBySide)
	}
	if len(q.Dyes) > 0 && q.Promise == "" {
		return PotAnswer{}, errors.New("the doses of the drop are not known, so say what was promised: a dose or a colour")
	}
	q.Card.AsPlanned = true // a pot that strayed from its dose is what is looked for
	reading, err := w.Read(ctx, q.Card)
	if err != nil {
		return PotAnswer{}, err
	}
	first := reading.Swatches[0]
	if first.State != wax.LiquidState {
		return PotAnswer{}, fmt.Errorf("the drops of %s are set by their plan; a set drop is its own answer, a liquid one needs the line \"state liquid\"", q.Card.PlanName)
	}
	base, err := w.wax(ctx, first.Wax)
	if err != nil {
		return PotAnswer{}, err
	}
	model, notes, err := w.learned(ctx, base)
	if err != nil {
		return PotAnswer{}, err
	}
	dyes, err := w.dyesOf(ctx, q.Dyes, nil)
	if err != nil {
		return PotAnswer{}, err
	}
	a := PotAnswer{Wax: base, ToleranceDE00: q.ToleranceDE00, UndyedG: q.UndyedG, Notes: append(reading.Notes, notes...)}
	wanted, notes, err := w.promised(ctx, q.Promise)
	if err != nil {
		return PotAnswer{}, err
	}
	a.Notes = append(a.Notes, notes...)
	for _, s := range reading.Swatches {
		if len(s.Recipe) == 0 {
			continue
		}
		drop, err := q.check(model, s, dyes, wanted)
		if err != nil {
			return PotAnswer{}, fmt.Errorf("drop %d: %w", s.Drop, err)
		}
		a.Drops = append(a.Drops, drop)
		for _, note := range drop.underLights(model, wanted, q.ToleranceDE00) {
			a.Notes = append(a.Notes, fmt.Sprintf("drop %d: %s", s.Drop, note))
		}
	}
	if len(a.Drops) == 0 {
		return PotAnswer{}, fmt.Errorf("the plan %s has undyed drops only; there is no shade to check", q.Card.PlanName)
	}
	return a, nil
}

// vow is what was promised: a recipe, a colour with its piece, or neither.
type vow struct {
	recipe wax.Recipe
	colour *named
}

// promised reads a promise, a dose or a colour.
func (w *Workshop) promised(ctx context.Context, text string) (vow, []string, error) {
	if text == "" {
		return vow{}, nil, nil
	}
	if _, err := plan.ParseDose(text); err == nil || strings.ContainsAny(text, "/%") {
		recipe, notes, err := w.recipe(ctx, text)
		return vow{recipe: recipe}, notes, err
	}
	colour, err := w.colour(ctx, text)
	return vow{colour: &colour}, nil, err
}

// check tells what one drop says of its pot.
func (q PotQuestion) check(m *calibrate.Model, s wax.Swatch, dyes []string, wanted vow) (PotDrop, error) {
	d := PotDrop{Number: s.Drop, Liquid: s.Colour}
	drop := shade.LiquidDrop{Colour: s.Colour, Card: s.Card, Dyes: dyes}
	if len(dyes) == 0 {
		d.Planned, drop.Recipe = s.Recipe, s.Recipe
	}
	view := calibrate.View{Thick: true}
	switch {
	case wanted.colour != nil:
		view, d.Promised = wanted.colour.view, wanted.colour.lab
	case wanted.recipe == nil:
		wanted.recipe = s.Recipe
		fallthrough
	default:
		promise, err := shade.Of(m, wanted.recipe, view)
		if err != nil {
			return d, err
		}
		d.Promised = promise.Lab
	}
	d.OnCard = !view.Thick
	found, err := shade.FromLiquid(m, drop, view)
	if err != nil {
		return d, err
	}
	d.Set, d.ExplainedDE00 = found.Shade, found.ExplainedDE00
	d.AgainstPlan = d.Planned != nil && found.Followed < 0.5
	d.Promise = d.Set.Keeping(d.Promised, q.ToleranceDE00)
	if d.Verdict != shade.Breaks {
		return d, nil
	}
	d.Missing = missing(d.Set.Recipe, wanted.recipe)
	d.Rescue, err = q.dilute(m, d, view)
	return d, err
}

// underLights warns of lights under which the set shade leaves its promise.
func (d PotDrop) underLights(m *calibrate.Model, wanted vow, toleranceDE00 float64) []string {
	target := named{lab: d.Promised, view: calibrate.View{Thick: true}, recipe: wanted.recipe}
	switch {
	case wanted.colour != nil:
		target = *wanted.colour
	case wanted.recipe == nil:
		target.recipe = d.Planned
	}
	return offUnderLights(m, d.Set, target, toleranceDE00)
}

// dilute tells what undyed wax does for the pot; nil when it brings it no
// nearer to the promise.
func (q PotQuestion) dilute(m *calibrate.Model, d PotDrop, view calibrate.View) (*rescue.Answer, error) {
	undyedG := q.UndyedG
	if undyedG == 0 {
		undyedG = 1000
	}
	a, err := rescue.Mend(m, rescue.Request{
		Batch: wax.Batch{UndyedG: undyedG, Recipe: d.Set.Recipe, Load: wax.Load{Per: wax.PerWax}}, Target: rescue.Colour(d.Promised),
		View: view, ToleranceDE00: q.ToleranceDE00,
	})
	if err != nil || a.AddUndyedG == 0 {
		return nil, err
	}
	return &a, nil
}

// missing is what each kg of the pot lacks of a promised recipe.
func missing(there, promised wax.Recipe) wax.Recipe {
	var out wax.Recipe
	for _, p := range promised {
		if lack := p.DoseGPerKg - there.Dose(p.Dye); lack > 0 {
			out = append(out, wax.Part{Dye: p.Dye, DoseGPerKg: lack})
		}
	}
	return out
}
