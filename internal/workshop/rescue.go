package workshop

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"setshade/internal/batch"
	"setshade/internal/calibrate"
	"setshade/internal/rescue"
	"setshade/internal/shade"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// Trouble is a batch that came out wrong, as the maker tells it.
type Trouble struct {
	Wax string
	// UndyedG is the wax in the batch in grams, dye, fragrance and additives not
	// counted.
	UndyedG   float64
	Load      wax.Load
	Additives []wax.Additive
	// Dose is the batch's dose as in a plan, and Drop the colour of a drop of it;
	// one of the two, or both. Dyes names what is in a drop without a dose.
	Dose string
	Drop string
	Dyes []string
	// Target is the colour wanted, or LighterPercent the share of dye to be
	// gone; one of the two.
	Target         string
	LighterPercent float64
	// Believe says which of Dose and Drop to believe where they exclude each other.
	Believe Belief
	// Means say what may be used. Without names in With, all dyes on the shelf
	// that dissolve and were learned may be; none when WaxOnly.
	Means
	WaxOnly bool
}

// UsualMeans are those of a Trouble of which the maker says nothing: any amount
// of anything, and the nearest shade within what is seen side by side.
func UsualMeans() Means { return Means{ToleranceDE00: SeenSideBySide} }

// Remedy is the answer to a Trouble.
type Remedy struct {
	// Answer is in whole portions of every dye, as it is weighed or counted out;
	// Exact is the same to the gram.
	rescue.Answer
	Exact rescue.Answer
	Wax   wax.Wax `json:"wax"`
	// Batch is the batch as it is, its doses in g/kg as they are believed.
	Batch wax.Batch `json:"batch"`
	// FromDrop says that a drop told of the doses, DropMissDE00 how far they stay
	// from its colour.
	FromDrop     bool `json:"doses_from_drop"`
	DropMissDE00 float64
	// Plan stands beside the drop when both were told.
	Plan *PlanBeside `json:"plan"`
	// OnCard says that the shades are of drops on their card, as the target is;
	// otherwise they are of finished pieces.
	OnCard bool `json:"on_card"`
	// Dyes are the correcting dyes as they are measured out, in the order of
	// AddDyes, and Cost what they and the undyed wax cost; what has no recorded
	// price counts nothing.
	Dyes []MeasuredDye
	Cost float64 `json:"cost"`
	// UndyedWithin95G is how many grams more or less of undyed wax the batch may
	// turn out to need, 95 times in 100, for a colour; 0 when none is added, and for so much less dye.
	UndyedWithin95G float64 `json:"undyed_within_95_g" zero:"null"`
	// Verdict says whether to mend at all, and FreshDyes how the dyes of a fresh batch
	// are measured out.
	Verdict   rescue.Verdict
	FreshDyes []MeasuredDye
	// Steps are the parts in which to add; nil when nothing is to be added, or when
	// that is out of proportion and was not asked for.
	Steps []Step
	// Number is that of the rescue in the store; 0 while it is not kept.
	Number int64 `json:"number" zero:"null"`
	// Outcome is the drop that was read of the mended batch; nil while there is none.
	Outcome *Outcome `json:"outcome"`
	// Readings counts the drops seen since the rescue began.
	Readings int      `json:"readings"`
	Notes    []string `json:"notes"`
}

// PlanBeside is a planned dose beside a drop of the batch, weighed together.
type PlanBeside struct {
	Recipe wax.Recipe `json:"dose"`
	// Shade is the shade of the planned dose.
	Shade shade.Shade `json:"shade"`
	// MissDE00 is how far the drop is from what the plan should look like.
	MissDE00 float64 `json:"drop_miss_de00"`
}

// Rescue says what to add to a batch, and returns with it the rescue as it can be
// continued after the first step.
func (w *Workshop) Rescue(ctx context.Context, t Trouble) (Remedy, Course, error) {
	if !(t.ToleranceDE00 >= 0) {
		return Remedy{}, Course{}, fmt.Errorf("a tolerance of %g dE00 cannot be; %g is just seen side by side", t.ToleranceDE00, SeenSideBySide)
	}
	if t.Dose == "" && t.Drop == "" {
		return Remedy{}, Course{}, errors.New("say what is in the batch: its dose, the colour of a drop of it with the dyes in it, or both")
	}
	base, err := w.wax(ctx, t.Wax)
	if err != nil {
		return Remedy{}, Course{}, err
	}
	model, notes, err := w.learned(ctx, base)
	if err != nil {
		return Remedy{}, Course{}, err
	}
	r := Remedy{Wax: base, Notes: notes}
	c := Course{
		Version: courseVersion, Wax: base.Name, Means: t.Means,
		Batch: wax.Batch{UndyedG: t.UndyedG, Load: t.Load, Additives: t.Additives},
	}
	request := rescue.Request{View: calibrate.View{Thick: true}}
	wanted, err := w.target(ctx, t, &request)
	if err != nil {
		return Remedy{}, Course{}, err
	}
	if c.Means.With, err = w.offered(ctx, model, t); err != nil {
		return Remedy{}, Course{}, err
	}
	now, err := w.begin(ctx, model, t, &c, &r)
	if err != nil {
		return Remedy{}, Course{}, err
	}
	if r.Plan != nil {
		if r.Plan.Shade, err = shade.Of(model, r.Plan.Recipe, request.View); err != nil {
			return Remedy{}, Course{}, err
		}
	}
	if err := w.mend(ctx, model, now, &c, request, &r, cautiousShares); err != nil {
		return Remedy{}, Course{}, err
	}
	if wanted != nil {
		r.Notes = append(r.Notes, offUnderLights(model, r.Reached, *wanted, t.ToleranceDE00)...)
	}
	c.Target = Sighting{Colour: spectrum.Measured{Lab: r.Wanted}, Thick: request.View.Thick, Card: request.View.Card}
	return r, c, nil
}

// ContinueRescue goes on with a rescue after a step: what was to be added next is
// in the pot, but for other amounts that are named in added ("undyed 120 g",
// "Bracken 2 chips"), and the drop is of it. Without a drop it goes on from what was
// added alone. A drop that was followed last already takes no step as done: the answer
// is told again, and the Course returned is c. One that the pot excludes is followed
// only if it is believed.
func (w *Workshop) ContinueRescue(ctx context.Context, c Course, added []string, drop string, believe Belief) (Remedy, Course, error) {
	var happened []Event
	var notes []string
	if drop == "" && len(added) == 0 {
		return Remedy{}, c, errors.New("say the colour of a drop taken after the step, or what was added")
	}
	var seen seenDrop
	var err error
	if drop != "" {
		if seen, err = w.drop(ctx, drop); err != nil {
			return Remedy{}, c, err
		}
	}
	switch {
	case drop != "" && c.saw(seen.Sighting) && len(added) > 0:
		return Remedy{}, c, errors.New("this drop was followed already, before anything more was added; read a drop of the pot as it is now")
	case drop != "" && c.saw(seen.Sighting):
		notes = append(notes, "this drop was followed already, so no step is taken as done; the answer is told again")
	default:
		truly, err := w.added(ctx, c.Next, added)
		if err != nil {
			return Remedy{}, c, err
		}
		if truly != nil {
			happened = append(happened, Event{Added: truly})
		}
		if drop != "" {
			happened = append(happened, Event{Drop: &seen.Sighting})
		}
	}
	r, next, err := w.followed(ctx, c, happened, seen, believe)
	r.Notes = append(r.Notes, notes...)
	return r, next, err
}

// followed is the answer for a rescue once this happened to it; nothing may.
func (w *Workshop) followed(ctx context.Context, c Course, happened []Event, drop seenDrop, believe Belief) (Remedy, Course, error) {
	base, err := w.wax(ctx, c.Wax)
	if err != nil {
		return Remedy{}, c, err
	}
	model, notes, err := w.learned(ctx, base)
	if err != nil {
		return Remedy{}, c, err
	}
	now, err := c.replay(model)
	if err != nil {
		return Remedy{}, c, err
	}
	r := Remedy{Wax: base, Notes: notes}
	for _, e := range happened {
		if e.Drop != nil {
			missDE00, err := now.excludes(model, drop, c.Means.ToleranceDE00)
			var excluded *Excluded
			switch {
			case errors.As(err, &excluded) && believe == BelieveDrop:
				r.Notes = append(r.Notes, fmt.Sprintf("this drop lies %.1f dE00 from what was expected, and is believed", missDE00))
			case err != nil:
				return Remedy{}, c, err
			}
		}
		if now, err = now.follow(e); err != nil {
			return Remedy{}, c, err
		}
	}
	c.Events = slices.Concat(c.Events, happened)
	shares := cautiousShares
	for _, e := range c.Events {
		if e.Added != nil {
			shares = []float64{1}
		} else {
			r.FromDrop = true
			r.Readings++
		}
	}
	if r.FromDrop {
		r.DropMissDE00 = now.known.ExplainedDE00
	}
	if len(c.Events) < 2 && len(happened) == 0 {
		r.Readings = 0 // the drop that the rescue began with
	}
	request := rescue.Request{View: c.Target.view(), Target: rescue.Colour(c.Target.Colour.Lab)}
	err = w.mend(ctx, model, now, &c, request, &r, shares)
	return r, c, err
}

// mend finds the answer for the pot as it is, and what comes next.
func (w *Workshop) mend(ctx context.Context, model *calibrate.Model, now pot, c *Course, request rescue.Request, r *Remedy, shares []float64) error {
	// All that is added keeps the load, and more fragrance than the wax takes is no order.
	if err := batch.CheckLoad(now.Load, r.Wax); err != nil {
		return err
	}
	dyes, err := w.Store.Dyes.List(ctx)
	if err != nil {
		return err
	}
	request.Batch, request.ToleranceDE00 = now.Batch, c.Means.ToleranceDE00
	request.UndyedG, request.PotG, request.MouldsG = now.undyedG, c.Means.PotG, c.Means.MouldsG
	request.Prefer, request.UndyedPricePerKg = c.Means.Prefer, r.Wax.PricePerKg
	for _, name := range c.Means.With {
		d, err := w.Store.Dyes.Get(ctx, name)
		if err != nil {
			return err
		}
		request.Shelf = append(request.Shelf, d)
	}
	request.Fresh = slices.Clone(request.Shelf)
	for _, p := range now.Recipe {
		if i := slices.IndexFunc(dyes, func(d wax.Dye) bool { return d.Name == p.Dye }); i >= 0 && !slices.Contains(c.Means.With, p.Dye) {
			request.Fresh = append(request.Fresh, dyes[i])
		}
	}
	learned := now.known.Learned()
	if r.Exact, err = rescue.Mend(learned, request); err != nil {
		return err
	}
	if r.Answer, err = rescue.Measured(learned, request, r.Exact); err != nil {
		return err
	}
	if r.Verdict, err = rescue.Judge(learned, request, r.Answer); err != nil {
		return err
	}
	for _, a := range r.AddDyes {
		r.Dyes = append(r.Dyes, measured(dyes, a.Dye, a.G))
	}
	if f := r.Verdict.Fresh; f != nil {
		for _, a := range f.Dyes {
			r.FreshDyes = append(r.FreshDyes, measured(dyes, a.Dye, a.G))
		}
	}
	r.Batch, r.OnCard, r.Cost = now.Batch, !request.View.Thick, request.Cost(r.Answer)
	if r.From, err = now.shade(model, request.View); err != nil {
		return err
	}
	all := Addition{UndyedG: r.AddUndyedG, DyesG: map[string]float64{}}
	if r.SetAside != nil {
		r.SetAside.Wax, all.TakenOutG = r.Wax.Name, r.SetAside.UndyedG
	}
	for _, d := range r.AddDyes {
		all.DyesG[d.Dye] = d.G
	}
	after, err := now.after(all)
	if err != nil {
		return err
	}
	if r.Reached, err = after.shade(model, request.View); err != nil {
		return err
	}
	spreadG, err := rescue.UndyedSpreadG(learned, r.Answer, request.View)
	if err != nil {
		return err
	}
	if request.Target.IsColour() && !math.IsInf(spreadG, 1) {
		r.UndyedWithin95G = calibrate.Z95 * spreadG
	}
	c.Next = nil
	if !r.Verdict.InProportion && !c.Means.HoweverMuch {
		return nil
	}
	if r.Steps, err = stepsOf(model, now, r.Answer, dyes, shares); err != nil {
		return err
	}
	if len(r.Steps) > 0 {
		c.Next = &r.Steps[0].Addition
	}
	return nil
}

// shade is what the pot sets to; beyond the doses tested its interval is no
// narrower than that of the doses alone.
func (p pot) shade(m *calibrate.Model, view calibrate.View) (shade.Shade, error) {
	s, err := shade.OfPot(m, p.known, view)
	if err != nil || len(s.Untested) == 0 {
		return s, err
	}
	exact, err := shade.Of(m, p.Recipe, view)
	s.Within95 = max(s.Within95, exact.Within95)
	return s, err
}

func measured(dyes []wax.Dye, name string, g float64) MeasuredDye {
	for _, d := range dyes {
		if d.Name == name {
			return measuredOut(d, g)
		}
	}
	panic("workshop: a dye that is added stands on the shelf")
}

// offered names the dyes that may be added.
func (w *Workshop) offered(ctx context.Context, m *calibrate.Model, t Trouble) ([]string, error) {
	if t.WaxOnly || t.LighterPercent > 0 {
		return nil, nil
	}
	if len(t.With) > 0 {
		names, err := w.dyesOf(ctx, t.With, nil)
		for _, n := range names {
			if _, err := m.AbsorptionOf(n); err != nil {
				return nil, err
			}
			if tested, _ := m.Range(n); tested.Scatters {
				return nil, fmt.Errorf("%s is particles, which scatter; batches are corrected with dyes that dissolve", n)
			}
		}
		return names, err
	}
	dyes, err := w.Store.Dyes.List(ctx)
	if err != nil {
		return nil, err
	}
	var names []string
	for _, d := range dyes {
		if tested, ok := m.Range(d.Name); ok && !tested.Scatters {
			names = append(names, d.Name)
		}
	}
	return names, nil
}

// target fills in what is wanted, and returns the colour named, if one was.
func (w *Workshop) target(ctx context.Context, t Trouble, r *rescue.Request) (*named, error) {
	if (t.Target == "") == (t.LighterPercent == 0) {
		return nil, errors.New("say what the batch should become: a colour, or how many per cent lighter; one of the two")
	}
	if t.LighterPercent != 0 {
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
