package workshop

import (
	"context"
	"errors"
	"fmt"

	"setshade/internal/rescue"
	"setshade/internal/shade"
	"setshade/internal/wax"
)

// Trouble is a batch that came out too dark, as the maker tells it.
type Trouble struct {
	Wax string
	// UndyedG is the wax in the batch in grams, dye and fragrance not counted.
	UndyedG float64
	Load    wax.Load
	// Dose is the batch's dose as in a plan. When it is not known, Drop is the
	// colour of a set drop of the batch and Dyes what is in it.
	Dose string
	Drop string
	Dyes []string
	// Target is the colour wanted, or LighterPercent the share of dye to be
	// gone; one of the two.
	Target         string
	LighterPercent float64
	PotG           float64
	ToleranceDE00  float64
}

// Remedy is the answer to a Trouble.
type Remedy struct {
	rescue.Answer
	Wax wax.Wax
	// Batch is the batch as it was, its doses in g/kg.
	Batch wax.Batch
	// FromDrop says that the doses were read off a drop, DropMissDE00 how far
	// they stay from its colour.
	FromDrop     bool
	DropMissDE00 float64
	// OnCard says that the shades are of drops on their card, as the target is;
	// otherwise they are of finished pieces.
	OnCard bool
	// Steps are the parts in which to add; nil when nothing is to be added.
	Steps []Step
	Notes []string
}

// Rescue says what to add to a batch.
func (w *Workshop) Rescue(ctx context.Context, t Trouble) (Remedy, error) {
	if !(t.ToleranceDE00 >= 0) {
		return Remedy{}, fmt.Errorf("a tolerance of %g dE00 cannot be; %g is just seen side by side", t.ToleranceDE00, SeenSideBySide)
	}
	base, err := w.wax(ctx, t.Wax)
	if err != nil {
		return Remedy{}, err
	}
	model, notes, err := w.learned(ctx, base)
	if err != nil {
		return Remedy{}, err
	}
	r := Remedy{Wax: base, Notes: notes}
	request := rescue.Request{
		Batch: wax.Batch{UndyedG: t.UndyedG, Load: t.Load},
		PotG:  t.PotG, ToleranceDE00: t.ToleranceDE00,
	}
	wanted, err := w.target(ctx, t, &request)
	if err != nil {
		return Remedy{}, err
	}
	switch {
	case (t.Dose == "") == (t.Drop == ""):
		return Remedy{}, errors.New("say what is in the batch: its dose, or the colour of a set drop of it with the dyes in it")
	case t.Dose != "":
		var doseNotes []string
		if request.Batch.Recipe, doseNotes, err = w.recipe(ctx, t.Dose); err != nil {
			return Remedy{}, err
		}
		r.Notes = append(r.Notes, doseNotes...)
	default:
		drop, err := w.colour(ctx, t.Drop)
		if err != nil {
			return Remedy{}, err
		}
		dyes, err := w.dyesOf(ctx, t.Dyes, drop.recipe)
		if err != nil {
			return Remedy{}, err
		}
		r.FromDrop = true
		if request.Batch.Recipe, r.DropMissDE00, err = shade.DosesOf(model, dyes, drop.lab, drop.view); err != nil {
			return Remedy{}, err
		}
		if r.DropMissDE00 > t.ToleranceDE00 {
			r.Notes = append(r.Notes, fmt.Sprintf("no doses of these dyes give the drop's colour, the nearest stay %.1f dE00 away; check which dyes are in it and read the drop again", r.DropMissDE00))
		}
	}
	if r.Answer, err = rescue.Mend(model, request); err != nil {
		return Remedy{}, err
	}
	r.Batch, r.OnCard = request.Batch, !request.View.Thick
	r.Notes = append(r.Notes, loadNotes(base, t.Load)...)
	if wanted != nil {
		r.Notes = append(r.Notes, offUnderLights(model, r.Reached, *wanted, t.ToleranceDE00)...)
	}
	r.Steps, err = stepsOf(model, r.Start, r.After)
	return r, err
}

// target fills in what is wanted, and returns the colour named, if one was.
func (w *Workshop) target(ctx context.Context, t Trouble, r *rescue.Request) (*named, error) {
	if (t.Target == "") == (t.LighterPercent == 0) {
		return nil, errors.New("say what the batch should become: a colour, or how many per cent lighter; one of the two")
	}
	if t.LighterPercent != 0 {
		r.View.Thick = true
		var err error
		r.Target, err = rescue.Lighter(t.LighterPercent)
		return nil, err
	}
	wanted, err := w.colour(ctx, t.Target)
	if err != nil {
		return nil, err
	}
	r.Target, r.View = rescue.Colour(wanted.lab), wanted.view
	return &wanted, nil
}

// dyesOf finds the dyes named, or those of the swatch when none is named.
func (w *Workshop) dyesOf(ctx context.Context, names []string, recipe wax.Recipe) ([]string, error) {
	if len(names) == 0 {
		for _, p := range recipe {
			names = append(names, p.Dye)
		}
	}
	found := make([]string, len(names))
	for i, n := range names {
		d, err := w.Store.Dyes.Get(ctx, n)
		if err != nil {
			return nil, err
		}
		found[i] = d.Name
	}
	return found, nil
}

func loadNotes(base wax.Wax, load wax.Load) []string {
	if base.MaxLoad.Percent > 0 && load.PerWaxPercent() > base.MaxLoad.PerWaxPercent()*(1+1e-9) {
		return []string{fmt.Sprintf("the load of %s is above the supplier's maximum of %s for %s; keep to the supplier", load, base.MaxLoad, base.Name)}
	}
	return nil
}

// Tolerances in dE00, each with its meaning to the eye (common practice, no
// source).
const (
	HardlySeen     = 1.0
	SeenSideBySide = 2.0
	SeenApart      = 5.0
)

// Seen says what a colour difference means to the eye.
func Seen(de00 float64) string {
	switch {
	case de00 < HardlySeen:
		return "hardly seen side by side"
	case de00 < SeenSideBySide:
		return "just seen side by side"
	case de00 < SeenApart:
		return "seen side by side"
	}
	return "seen apart"
}
