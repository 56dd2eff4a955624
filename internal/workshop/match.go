package workshop

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"setshade/internal/batch"
	"setshade/internal/english"
	"setshade/internal/recipe"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// Wish is a colour that the maker wants, and what she allows for it.
type Wish struct {
	Wax string
	// Colour is written as for a rescue: "#d8a49b", "L* a* b*", "swatch 12"; it is
	// not used when there is a Spot.
	Colour string
	// Spot is the colour at a place of a photograph; nil for none.
	Spot *PhotoSpot
	// UndyedG is the wax in the batch in grams; it sets the dose that one chip,
	// drop or hundredth of a gram gives.
	UndyedG float64
	// MaxDyes is the most dyes in one recipe, 1..recipe.MostDyes.
	MaxDyes int
	// MustUse and NeverUse name dyes of the shelf.
	MustUse, NeverUse []string
	ToleranceDE00     float64
	// Answers is the most recipes to tell that use no stock, each of another set
	// of dyes.
	Answers int
	// Load is the batch's fragrance load; the zero Load is none.
	Load wax.Load
	// NoStock leaves out dyed wax set aside, which is tried otherwise.
	NoStock bool
}

// UsualWish is a Wish as far as the maker need not tell it: so much of it is told
// alike by command and page.
func UsualWish() Wish {
	return Wish{UndyedG: 1000, MaxDyes: 3, ToleranceDE00: HardlySeen, Answers: 3}
}

// Matched is the answer to a Wish.
type Matched struct {
	Wax    wax.Wax      `json:"wax"`
	Wanted spectrum.Lab `json:"wanted"`
	// OnCard says that the shades are of drops on their card, as the swatch
	// wanted is; otherwise they are of finished pieces.
	OnCard        bool    `json:"on_card"`
	UndyedG       float64 `json:"undyed_g"`
	ToleranceDE00 float64 `json:"tolerance_de00"`
	Load          wax.Load
	// Answers are the recipes: those that use stock, one for each that fits, then
	// the others, the best first.
	Answers []MatchedRecipe
	Reach   recipe.Reach `json:",inline"`
	Notes   []string     `json:"notes"`
}

// MatchedRecipe is one recipe for the colour wanted.
type MatchedRecipe struct {
	recipe.Candidate
	// Portions are the dyes as they are measured out for the batch, in the order
	// of Amounts.
	Portions []MeasuredDye
	// Stock is what is taken of dyed wax set aside, nil for none.
	Stock *StockUse `json:"stock"`
	// Batch is the whole melt; AddUndyedG and AddFragranceG are added beside the
	// portions of dye and the stock.
	Batch         wax.Batch `json:"batch"`
	AddUndyedG    float64   `json:"add_undyed_g"`
	AddFragranceG float64   `json:"add_fragrance_g"`
	// Price is what its dyes cost for the batch; those in Unpriced are not in it.
	Price float64 `json:"price" zero:"null"`
	// Shifts says in plain words under which lights it looks different.
	Shifts []string `json:"shifts"`
	// OffTarget says in plain words under which lights it leaves its target.
	OffTarget []string `json:"off_target"`
}

// MeasuredDye is a dye as it is counted or weighed out.
type MeasuredDye struct {
	Dye string `json:"dye"`
	// Count is in Unit: chips to the quarter, whole drops, grams to 0.01 g.
	Count float64 `json:"count"`
	Unit  string  `json:"unit"`
	G     float64 `json:"g"`
}

// Match finds recipes for a colour among the dyes on the shelf.
func (w *Workshop) Match(ctx context.Context, wish Wish) (Matched, error) {
	if err := wish.load().Validate(); err != nil {
		return Matched{}, err
	}
	base, err := w.wax(ctx, wish.Wax)
	if err != nil {
		return Matched{}, err
	}
	if err := batch.CheckLoad(wish.Load, base); err != nil {
		return Matched{}, err
	}
	model, notes, err := w.learned(ctx, base)
	if err != nil {
		return Matched{}, err
	}
	wanted, spotNotes, err := w.wanted(ctx, wish)
	if err != nil {
		return Matched{}, err
	}
	notes = append(notes, spotNotes...)
	m := Matched{
		Wax: base, Wanted: wanted.lab, OnCard: !wanted.view.Thick,
		UndyedG: wish.UndyedG, ToleranceDE00: wish.ToleranceDE00, Load: wish.load(), Notes: notes,
	}
	limits := recipe.Limits{MaxDyes: wish.MaxDyes, ToleranceDE00: wish.ToleranceDE00, Answers: wish.Answers, View: wanted.view}
	if limits.MustUse, err = w.dyesOf(ctx, wish.MustUse, nil); err != nil {
		return Matched{}, err
	}
	if limits.NeverUse, err = w.dyesOf(ctx, wish.NeverUse, nil); err != nil {
		return Matched{}, err
	}
	dyes, err := w.searched(ctx, limits.MustUse)
	if err != nil {
		return Matched{}, err
	}
	shelf, err := ingredientsOf(dyes, wish.UndyedG)
	if err != nil {
		return Matched{}, err
	}
	found, reach, err := recipe.MatchMeasured(model, shelf, wanted.lab, limits)
	if err != nil {
		return Matched{}, err
	}
	m.Reach = reach
	m.Notes = append(m.Notes, notSearched(reach, base)...)
	answer := func(c recipe.Candidate, use *StockUse) {
		r := matchedRecipe(c, dyes, m.UndyedG, m.Load, use)
		r.OffTarget = offUnderLights(model, c.Shade, wanted, max(wish.ToleranceDE00, SeenSideBySide))
		m.Answers = append(m.Answers, r)
	}
	stocks, err := w.stocksFor(ctx, wish, base)
	if err != nil {
		return Matched{}, err
	}
	withStock, uses, stockNotes := wish.withStock(model, shelf, stocks, wanted.lab, limits, found[0].DE00)
	for i, c := range withStock {
		answer(c.Candidate, &uses[i])
	}
	m.Notes = append(m.Notes, stockNotes...)
	if len(withStock) > 0 && withStock[0].DE00 <= wish.ToleranceDE00 {
		m.Reach.Reached, m.Reach.Why = true, nil
	}
	far := 0
	for _, c := range found {
		if c.DE00 > found[0].DE00+SeenApart {
			far++
			continue
		}
		answer(c, nil)
	}
	if far > 0 {
		m.Notes = append(m.Notes, fmt.Sprintf("%d further %s left out, more than %g dE00 farther off than the first", far, english.Plural(far, "recipe is", "recipes are"), SeenApart))
	}
	return m, nil
}

// load is the load with a convention even where there is no fragrance.
func (wish Wish) load() wax.Load {
	if wish.Load == (wax.Load{}) {
		return wax.Load{Per: wax.PerWax}
	}
	return wish.Load
}

// stocksFor are the stocks of the wax that a wish allows.
func (w *Workshop) stocksFor(ctx context.Context, wish Wish, base wax.Wax) ([]wax.Stock, error) {
	if wish.NoStock {
		return nil, nil
	}
	all, err := w.Store.Stocks(ctx)
	return slices.DeleteFunc(all, func(s wax.Stock) bool { return s.Wax != base.Name }), err
}

// searched lists the dyes to make recipes of: those of which an older lot is
// asked for by name count too.
func (w *Workshop) searched(ctx context.Context, mustUse []string) ([]wax.Dye, error) {
	dyes, err := w.Store.Dyes.List(ctx)
	var out []wax.Dye
	for _, d := range dyes {
		if newestLot(d, dyes) == nil || slices.Contains(mustUse, d.Name) {
			out = append(out, d)
		}
	}
	return out, err
}

func ingredientsOf(dyes []wax.Dye, undyedG float64) ([]recipe.Ingredient, error) {
	if len(dyes) == 0 {
		return nil, errors.New("there is no dye on the shelf yet; add one first")
	}
	shelf := make([]recipe.Ingredient, len(dyes))
	for i, d := range dyes {
		var err error
		if shelf[i], err = recipe.NewIngredient(d, undyedG); err != nil {
			return nil, err
		}
	}
	return shelf, nil
}

func matchedRecipe(c recipe.Candidate, dyes []wax.Dye, undyedG float64, load wax.Load, use *StockUse) MatchedRecipe {
	r := MatchedRecipe{Candidate: c, Stock: use, Price: c.PricePerKg * undyedG / 1000, Shifts: lightShift(c.Shade)}
	r.Batch, r.AddUndyedG, r.AddFragranceG = melt(c.Recipe, undyedG, load, use)
	for _, a := range c.Amounts {
		for _, d := range dyes {
			if d.Name == a.Dye {
				r.Portions = append(r.Portions, measuredOut(d, float64(a.Portions)*a.Portion.MassG))
			}
		}
	}
	return r
}

// measuredOut counts a mass of a dye in the dye's own unit, or in grams when it
// is weighed.
func measuredOut(d wax.Dye, g float64) MeasuredDye {
	p := d.PortionOf(g)
	return MeasuredDye{d.Name, math.Round(g/p.MassG) / p.PerUnit, p.Unit, g}
}

// notSearched says which dyes of the shelf had no part, and whether the search
// is to be believed to the end.
func notSearched(r recipe.Reach, base wax.Wax) []string {
	var out []string
	if len(r.NotLearned) > 0 {
		out = append(out, fmt.Sprintf("not tried, since no drop has shown what they do in %s: %s", base.Name, english.And(r.NotLearned)))
	}
	if len(r.Particles) > 0 {
		out = append(out, "not tried, since recipes are searched for among dyes that dissolve: "+english.And(r.Particles))
	}
	if !r.Complete {
		out = append(out, "the search was cut short, and these are the best recipes that it found; allow fewer dyes for one that is sure")
	}
	return out
}
