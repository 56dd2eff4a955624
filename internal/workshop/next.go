package workshop

import (
	"context"
	"fmt"
	"math"
	"slices"

	"setshade/internal/calibrate"
	"setshade/internal/plan"
	"setshade/internal/wax"
)

// NextDrops are the drops worth making next.
type NextDrops struct {
	Wax wax.Wax `json:"wax"`
	// Wanted are the recipes asked for; nil for everything on the shelf.
	Wanted []wax.Recipe `json:"wanted" zero:"null"`
	// Drops are the best first, at most five, no more than two of the same dyes.
	Drops []NextDrop `json:"drops"`
	Notes []string   `json:"notes"`
}

// NextDrop is one of them.
type NextDrop struct {
	// Dose is as it is measured out, and Recipe the same in g/kg.
	Dose []plan.Amount `json:"dose"`
	calibrate.Worth
}

// How many drops are shown, and how many of them of the same dyes.
const mostNextDrops, mostOfSameDyes = 5, 2

// Next ranks the drops worth making by what they would tell of the doses
// wanted, each written as in a plan; of everything on the shelf without any.
func (w *Workshop) Next(ctx context.Context, waxName string, doses []string) (NextDrops, error) {
	base, err := w.wax(ctx, waxName)
	if err != nil {
		return NextDrops{}, err
	}
	model, notes, err := w.learned(ctx, base)
	if err != nil {
		return NextDrops{}, err
	}
	out := NextDrops{Wax: base, Notes: notes}
	for _, dose := range doses {
		recipe, notes, err := w.recipe(ctx, dose)
		if err != nil {
			return NextDrops{}, err
		}
		if len(recipe) == 0 {
			return NextDrops{}, fmt.Errorf("undyed wax is told by undyed drops; ask for a dose with a dye in it")
		}
		out.Wanted, out.Notes = append(out.Wanted, recipe), append(out.Notes, notes...)
	}
	shelf, err := w.Store.Dyes.List(ctx)
	if err != nil {
		return NextDrops{}, err
	}
	wanted := out.Wanted
	if wanted == nil {
		wanted = ofNewestLots(model.Everything(), shelf)
	}
	candidates, doseOf, err := dropsToTry(model, wanted, shelf)
	if err != nil {
		return NextDrops{}, err
	}
	onCard := calibrate.View{Card: plan.UsualCard}
	ranked, err := model.NextDrops(wanted, candidates, onCard)
	if err != nil {
		return NextDrops{}, err
	}
	for _, worth := range fewOfEach(ranked) {
		out.Drops = append(out.Drops, NextDrop{Dose: doseOf[worth.Recipe.String()], Worth: worth})
	}
	return out, nil
}

// ofNewestLots leaves out recipes with an older lot.
func ofNewestLots(recipes []wax.Recipe, shelf []wax.Dye) []wax.Recipe {
	return slices.DeleteFunc(recipes, func(r wax.Recipe) bool {
		return slices.ContainsFunc(shelf, func(d wax.Dye) bool { return r.Dose(d.Name) > 0 && newestLot(d, shelf) != nil })
	})
}

// fewOfEach takes the best drops, so few of the same dyes that one dye does not
// fill the list.
func fewOfEach(ranked []calibrate.Worth) []calibrate.Worth {
	var out []calibrate.Worth
	taken := map[string]int{}
	for _, worth := range ranked {
		dyes := dyesText(worth.Recipe)
		if taken[dyes]++; taken[dyes] <= mostOfSameDyes && len(out) < mostNextDrops {
			out = append(out, worth)
		}
	}
	return out
}

// dyesText names the dyes of a recipe, to tell mixtures apart.
func dyesText(r wax.Recipe) string {
	text := ""
	for _, p := range r {
		text += p.Dye + "+"
	}
	return text
}

// dropsToTry lists the drops to choose from: a ladder of each dye wanted, and
// every dose wanted at half, once and half as much again, all as they can be
// measured out. doseOf tells how, by the recipe's text.
func dropsToTry(m *calibrate.Model, wanted []wax.Recipe, shelf []wax.Dye) (candidates []wax.Recipe, doseOf map[string][]plan.Amount, err error) {
	doseOf = map[string][]plan.Amount{}
	add := func(parts []plan.Amount) error {
		recipe, over, err := plan.ResolveDose(parts, shelf)
		if err != nil || len(over) > 0 || doseOf[recipe.String()] != nil {
			return err
		}
		candidates, doseOf[recipe.String()] = append(candidates, recipe), parts
		return nil
	}
	for _, dye := range shelf {
		tested, learned := m.Range(dye.Name)
		if !learned || !slices.ContainsFunc(wanted, func(r wax.Recipe) bool { return r.Dose(dye.Name) > 0 }) {
			continue
		}
		for _, gPerKg := range ladder(tested.MinGPerKg/2, 2*tested.MaxGPerKg) {
			if err := add([]plan.Amount{practical(dye, gPerKg)}); err != nil {
				return nil, nil, err
			}
		}
	}
	for _, recipe := range wanted {
		for _, factor := range []float64{0.5, 1, 1.5} {
			var parts []plan.Amount
			for _, p := range recipe {
				at := slices.IndexFunc(shelf, func(d wax.Dye) bool { return d.Name == p.Dye })
				if at < 0 {
					continue // a dye that was learned and has left the shelf
				}
				parts = append(parts, practical(shelf[at], factor*p.DoseGPerKg))
			}
			if len(parts) < len(recipe) {
				continue
			}
			if err := add(parts); err != nil {
				return nil, nil, err
			}
		}
	}
	return candidates, doseOf, nil
}

// ladderSteps is how many steps of equal ratio a ladder to choose from has.
const ladderSteps = 12

func ladder(from, to float64) []float64 {
	doses := make([]float64, ladderSteps+1)
	for i := range doses {
		doses[i] = from * math.Pow(to/from, float64(i)/ladderSteps)
	}
	return doses
}

// practical is the dose nearest to so many g/kg that can be measured out at a
// bench: quarters of a chip, whole drops, or two figures of g, each for a kg of
// wax. A dye counted in units whose mass is not known is weighed.
func practical(dye wax.Dye, gPerKg float64) plan.Amount {
	if dye.UnitMassG > 0 {
		units := gPerKg / dye.UnitMassG
		switch dye.Form {
		case wax.Chip:
			return plan.Amount{Dye: dye.Name, Value: math.Max(0.25, math.Round(4*units)/4), Unit: plan.Chips}
		case wax.Liquid:
			return plan.Amount{Dye: dye.Name, Value: math.Max(1, math.Round(units)), Unit: plan.Drops}
		}
	}
	return plan.Amount{Dye: dye.Name, Value: tidy(gPerKg), Unit: plan.Gram}
}

// tidySteps are the first figures of a tidy dose, about a fifth apart.
var tidySteps = []float64{1, 1.2, 1.5, 2, 2.5, 3, 4, 5, 6, 8, 10}

// tidy is the nearest by ratio of 1, 1.2, 1.5, 2, 2.5, 3, 4, 5, 6, 8 and 10 times
// a power of ten.
func tidy(v float64) float64 {
	exponent := math.Floor(math.Log10(v))
	best, least := v, math.Inf(1)
	for _, step := range tidySteps {
		// Dividing keeps 0.3 what a plan writes as 0.3.
		at := step * math.Pow10(int(exponent))
		if exponent < 0 {
			at = step / math.Pow10(-int(exponent))
		}
		if off := math.Abs(math.Log(at / v)); off < least {
			best, least = at, off
		}
	}
	return best
}
