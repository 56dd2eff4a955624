package workshop

import (
	"cmp"
	"context"
	"errors"
	"math"
	"slices"
	"time"

	"setshade/internal/calibrate"
	"setshade/internal/plan"
	"setshade/internal/shade"
	"setshade/internal/spectrum"
	"setshade/internal/store"
	"setshade/internal/wax"
)

// DyeReport is everything there is to say of one dye in one wax.
type DyeReport struct {
	Dye wax.Dye
	Wax wax.Wax
	At  time.Time
	// Set and Liquid are its drops without another dye, those kept back among
	// them, in order of dose.
	Set, Liquid []wax.Swatch
	// Learned is what was learned of it; nil when nothing was.
	Learned *LearnedDye
	// Notes say what the maker should know, in plain words.
	Notes []string
}

// LearnedDye is what was learned of one dye.
type LearnedDye struct {
	calibrate.DyeRange
	// Lesson is that of all dyes of the wax.
	Lesson Lesson
	Curve  []CurvePoint
	// Absorption is the K/S that it adds at its reference dose.
	Absorption spectrum.Spectrum
	// Doses are predicted at even ratios over the doses tested.
	Doses []DoseShade
}

// DoseShade is what a dose sets to.
type DoseShade struct {
	// Dose is as it is measured out, GPerKg the same in g/kg.
	Dose   plan.Amount
	GPerKg float64
	// Piece is the shade of a finished piece, Drop that of a test drop on usual
	// white card.
	Piece, Drop shade.Shade
}

// ReportDye gathers what is known of a dye in a wax.
func (w *Workshop) ReportDye(ctx context.Context, waxName, dyeName string) (DyeReport, error) {
	dye, err := w.Store.Dyes.Get(ctx, dyeName)
	if err != nil {
		return DyeReport{}, err
	}
	base, err := w.wax(ctx, waxName)
	if err != nil {
		return DyeReport{}, err
	}
	r := DyeReport{Dye: dye, Wax: base, At: w.Now()}
	swatches, err := w.Store.Swatches(ctx, store.Filter{Wax: base.Name, Dye: dye.Name})
	if err != nil {
		return DyeReport{}, err
	}
	r.Set, r.Liquid = ladderOf(swatches, wax.SetState), ladderOf(swatches, wax.LiquidState)
	lesson, err := w.lastLesson(ctx, base)
	if err != nil || lesson == nil {
		return r, err
	}
	r.Notes = lesson.Notes
	r.Learned, err = lesson.dye(dye)
	return r, err
}

// ladderOf are the drops of a dye alone in one state, in order of dose.
func ladderOf(swatches []wax.Swatch, state wax.State) []wax.Swatch {
	var out []wax.Swatch
	for _, s := range swatches {
		if s.State == state && len(s.Recipe) == 1 {
			out = append(out, s)
		}
	}
	slices.SortStableFunc(out, func(a, b wax.Swatch) int {
		return cmp.Compare(a.Recipe[0].DoseGPerKg, b.Recipe[0].DoseGPerKg)
	})
	return out
}

// lastLesson is what was learned of a wax when it was last learned; nil when it
// never was. Drops recorded since are not in it, nor those removed since.
func (w *Workshop) lastLesson(ctx context.Context, base wax.Wax) (*Lesson, error) {
	model, notes, err := w.learned(ctx, base)
	if errors.Is(err, store.ErrNotFound) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	swatches, err := w.Store.Swatches(ctx, store.Filter{Wax: base.Name})
	if err != nil {
		return nil, err
	}
	taught := map[int64]bool{}
	for _, fit := range model.Drops {
		taught[fit.ID] = true
	}
	swatches = slices.DeleteFunc(swatches, func(s wax.Swatch) bool { return !s.Check && !taught[s.ID] })
	there := map[int64]bool{}
	for _, s := range swatches {
		there[s.ID] = !s.Check
	}
	model.Drops = slices.DeleteFunc(model.Drops, func(fit calibrate.DropFit) bool { return !there[fit.ID] })
	l, err := lesson(base, model, swatches)
	l.Notes = append(append(notes, l.Notes...), unsure(model)...)
	return &l, err
}

// dye is what was learned of one dye; nil when no drop showed it.
func (l Lesson) dye(d wax.Dye) (*LearnedDye, error) {
	tested, known := l.Model.Range(d.Name)
	if !known {
		return nil, nil
	}
	out := LearnedDye{DyeRange: tested, Lesson: l}
	var err error
	if out.Curve, err = l.Curve(tested); err != nil {
		return nil, err
	}
	if out.Absorption, err = l.Model.AbsorptionOf(d.Name); err != nil {
		return nil, err
	}
	out.Doses, err = l.doses(d, tested, reportDoses)
	return &out, err
}

// reportDoses is how many doses of a dye a report foretells.
const reportDoses = 6

// doses foretells so many doses at even ratios over those tested, each as it can
// be measured out; doses that come out the same are told once.
func (l Lesson) doses(d wax.Dye, tested calibrate.DyeRange, count int) ([]DoseShade, error) {
	var out []DoseShade
	for i := range count {
		at := tested.MinGPerKg * math.Pow(tested.MaxGPerKg/tested.MinGPerKg, float64(i)/float64(count-1))
		one := DoseShade{Dose: practical(d, at)}
		recipe, _, err := plan.ResolveDose([]plan.Amount{one.Dose}, []wax.Dye{d})
		if err != nil {
			return nil, err
		}
		one.GPerKg = recipe[0].DoseGPerKg
		if i > 0 && slices.ContainsFunc(out, func(o DoseShade) bool { return o.GPerKg == one.GPerKg }) {
			continue
		}
		if one.Piece, err = shade.Of(l.Model, recipe, calibrate.View{Thick: true}); err != nil {
			return nil, err
		}
		if one.Drop, err = shade.Of(l.Model, recipe, calibrate.View{Card: plan.UsualCard}); err != nil {
			return nil, err
		}
		out = append(out, one)
	}
	return out, nil
}
