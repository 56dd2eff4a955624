package workshop

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"slices"

	"setshade/internal/calibrate"
	"setshade/internal/english"
	"setshade/internal/shade"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// Lesson is what was learned of a wax, and how well it holds.
type Lesson struct {
	Wax   wax.Wax
	Model *calibrate.Model
	// Drops are the swatches learned from, in the order of Model.Drops: one that lies
	// half on a black bar stands there twice, the second time as it looks over black.
	Drops []wax.Swatch
	// Dyes are those of the shelf.
	Dyes []wax.Dye
	// Checks are the set drops kept back, each beside its prediction.
	Checks []Check
	// Notes say what the maker should know of the lesson, in plain words.
	Notes []string
}

// Check is a drop kept back from learning, beside its prediction.
type Check struct {
	Swatch    wax.Swatch
	Predicted shade.Shade
	MissDE00  float64
	// Within95 is how far prediction and reading may lie apart 95 times in 100,
	// the error of both counted.
	Within95 float64
}

// Held reports whether the drop lies within the interval of its prediction.
func (c Check) Held() bool { return c.MissDE00 <= c.Within95 }

// Learn fits a wax and all dyes its set drops show, keeps the result, and
// leaves every drop out once to see how it would have been predicted. Progress
// is called before each of those fits, if not nil.
func (w *Workshop) Learn(ctx context.Context, waxName string, progress func(done, of int)) (Lesson, error) {
	base, err := w.wax(ctx, waxName)
	if err != nil {
		return Lesson{}, err
	}
	swatches, err := w.Store.LearnFrom(ctx, base.Name)
	if err != nil {
		return Lesson{}, err
	}
	dyes, err := w.Store.Dyes.List(ctx)
	if err != nil {
		return Lesson{}, err
	}
	samples := calibrate.SamplesOf(base, swatches)
	model, err := calibrate.Learn(base, samples, calibrate.WithForms(formsOf(dyes)), calibrate.WithLots(lotsOfDyes(dyes)...))
	if errors.Is(err, calibrate.ErrNothingToLearn) {
		return Lesson{}, fmt.Errorf("of %s %w; record a card of set drops first", base.Name, err)
	}
	if err != nil {
		return Lesson{}, err
	}
	if err := ctx.Err(); err != nil {
		return Lesson{}, err
	}
	model.LeaveOneOut(samples, progress)
	if err := ctx.Err(); err != nil {
		return Lesson{}, err
	}
	model.Explore(samples, drawsKept, drawsSeed)
	saved, err := json.Marshal(model)
	if err != nil {
		return Lesson{}, fmt.Errorf("what was learned of %s cannot be kept: %w", base.Name, err)
	}
	if err := w.Store.SaveLearned(ctx, base.Name, saved, w.Now()); err != nil {
		return Lesson{}, err
	}
	l, err := lesson(base, model, swatches)
	if err != nil {
		return Lesson{}, err
	}
	l.Dyes = dyes
	l.Notes = slices.Concat(l.Notes, cautions(model, samples), oldReadings(swatches))
	return l, nil
}

// The draws kept with a model, for intervals outside the doses tested. The seed
// only has to be the same every time.
const drawsKept, drawsSeed = 40, 1948

// formsOf tells how every dye on the shelf comes.
func formsOf(dyes []wax.Dye) map[string]wax.Form {
	forms := make(map[string]wax.Form, len(dyes))
	for _, d := range dyes {
		forms[d.Name] = d.Form
	}
	return forms
}

// lesson puts drops and checks beside a model.
func lesson(base wax.Wax, model *calibrate.Model, swatches []wax.Swatch) (Lesson, error) {
	l := Lesson{Wax: base, Model: model, Drops: fitted(model, swatches)}
	for _, s := range swatches {
		if !s.Check || s.State != wax.SetState {
			continue
		}
		check, err := checked(model, s)
		if errors.Is(err, calibrate.ErrUnknownDye) {
			l.Notes = append(l.Notes, fmt.Sprintf("check drop %d has a dye that was not learned", s.ID))
			continue
		}
		if err != nil {
			return Lesson{}, err
		}
		l.Checks = append(l.Checks, check)
	}
	return l, nil
}

// fitted puts the swatch beside each fit of a model.
func fitted(model *calibrate.Model, swatches []wax.Swatch) []wax.Swatch {
	numbered := make(map[int64]wax.Swatch, len(swatches))
	for _, s := range swatches {
		numbered[s.ID] = s
	}
	drops := make([]wax.Swatch, len(model.Drops))
	for i, fit := range model.Drops {
		drops[i] = numbered[fit.ID]
		if next := numbered[fit.ID]; next.OverBlack != nil && next.Bar != nil {
			next.Colour, next.Card = *next.OverBlack, *next.Bar
			numbered[fit.ID] = next
		}
	}
	return drops
}

func checked(model *calibrate.Model, s wax.Swatch) (Check, error) {
	predicted, err := shade.Of(model, s.Recipe, calibrate.View{Card: s.Card})
	if err != nil {
		return Check{}, err
	}
	both := predicted.Cov
	for r := range both {
		for c := range both[r] {
			both[r][c] += s.Colour.Cov[r][c]
		}
	}
	return Check{
		Swatch: s, Predicted: predicted, MissDE00: spectrum.DE00(predicted.Lab, s.Colour.Lab),
		Within95: shade.Within95(predicted.Lab, both),
	}, nil
}

// unsure says what of a model has little to stand on.
func unsure(model *calibrate.Model) []string {
	var out []string
	if !model.Converged {
		out = append(out, "the fit stopped early; believe the intervals less and record more doses")
	}
	for _, d := range model.Dyes {
		switch {
		case d.LotOf != "" && d.Drops < 3:
			out = append(out, fmt.Sprintf("%s was seen in %s; the rest is taken from its lot %s", d.Name, english.Count(d.Drops, "drop", "drops"), d.LotOf))
		case d.Drops < 3:
			out = append(out, fmt.Sprintf("%s was seen in %s only; three doses or more make its curve sure", d.Name, english.Count(d.Drops, "drop", "drops")))
		}
	}
	return out
}

// cautions says what the fit cannot vouch for.
func cautions(model *calibrate.Model, samples []calibrate.Sample) []string {
	out := append(unsure(model), hidingNotes(model)...)
	for _, doubt := range model.FormDoubts(samples) {
		out = append(out, doubt.String())
	}
	for _, swap := range model.Swaps(samples) {
		out = append(out, fmt.Sprintf("the labels of swatches %d and %d may be swapped: exchanged, both fit; look at the card", swap.A, swap.B))
	}
	return out
}

// oldReadings names the photographs whose numbers are learned from with the doubt of
// their reader.
func oldReadings(swatches []wax.Swatch) []string {
	var names []string
	doubt := 0.0
	for _, s := range swatches {
		if s.Photo.DoubtL() > 0 && !s.Check && !slices.Contains(names, s.Photo.Name) {
			names, doubt = append(names, s.Photo.Name), s.Photo.DoubtL()
		}
	}
	if names == nil {
		return nil
	}
	return []string{fmt.Sprintf("what an older reader read of %s may be %g L* off in all drops alike, and was learned from with that doubt; read it again (setshade swatch reread), or photograph its card again", english.AndMore(names, 3), doubt)}
}

// learned fetches what was learned of a wax, with a note when drops have been
// recorded or removed since.
func (w *Workshop) learned(ctx context.Context, base wax.Wax) (*calibrate.Model, []string, error) {
	saved, err := w.Store.Learned(ctx, base.Name)
	if err != nil {
		return nil, nil, err
	}
	model, err := w.models.parse(base.Name, saved)
	if err != nil {
		return nil, nil, fmt.Errorf("%s: %w", base.Name, err)
	}
	now, err := w.Store.SampleIDs(ctx, base.Name)
	if err != nil {
		return nil, nil, err
	}
	var notes []string
	then := model.Drops
	same := slices.EqualFunc(now, then, func(id int64, d calibrate.DropFit) bool { return id == d.ID })
	if !same {
		notes = append(notes, fmt.Sprintf("the drops of %s have changed since it was learned (%d then, %d now); learn it again", base.Name, len(then), len(now)))
	}
	return model, notes, nil
}
