package internal_test

import (
	"fmt"
	"math"
	"reflect"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/batch"
	"setshade/internal/calibrate"
	"setshade/internal/plan"
	"setshade/internal/recipe"
	"setshade/internal/rescue"
	"setshade/internal/shade"
	"setshade/internal/spectrum"
	"setshade/internal/units"
	"setshade/internal/wax"
)

// odd are numbers that no maker means and a file may hold. They are put in the place
// of every number of a request, one at a time.
var odd = []float64{math.NaN(), math.Inf(1), math.Inf(-1), -1, 0, 5e-324, 1e-12, 1e6, math.MaxFloat64}

// spoil calls do with every number of a value replaced by every odd one in turn.
func spoil(value reflect.Value, where string, do func(where string)) {
	switch value.Kind() {
	case reflect.Float64:
		was := value.Float()
		for _, v := range odd {
			value.SetFloat(v)
			do(fmt.Sprintf("%s = %g", where, v))
		}
		value.SetFloat(was)
	case reflect.Struct:
		for i := range value.NumField() {
			if field := value.Type().Field(i); field.IsExported() {
				spoil(value.Field(i), where+"."+field.Name, do)
			}
		}
	case reflect.Slice, reflect.Array:
		for i := range value.Len() {
			spoil(value.Index(i), fmt.Sprintf("%s[%d]", where, i), do)
		}
	case reflect.Pointer:
		if !value.IsNil() {
			spoil(value.Elem(), where, do)
		}
	}
}

// notFinite finds the first number of a value that is none.
func notFinite(value reflect.Value, where string) string {
	switch value.Kind() {
	case reflect.Float64:
		if v := value.Float(); math.IsNaN(v) || math.IsInf(v, 0) {
			return fmt.Sprintf("%s is %g", where, v)
		}
	case reflect.Struct:
		for i := range value.NumField() {
			if field := value.Type().Field(i); field.IsExported() {
				if found := notFinite(value.Field(i), where+"."+field.Name); found != "" {
					return found
				}
			}
		}
	case reflect.Slice, reflect.Array:
		for i := range value.Len() {
			if found := notFinite(value.Index(i), fmt.Sprintf("%s[%d]", where, i)); found != "" {
				return found
			}
		}
	case reflect.Pointer, reflect.Interface:
		if !value.IsNil() {
			return notFinite(value.Elem(), where)
		}
	}
	return ""
}

// question asks a pure package something. It answers with values, an error, or a
// panic in the package's name.
type question struct {
	of      string // the package
	request any    // a pointer, whose numbers are spoiled
	ask     func() (answers []any, err error)
}

// answered counts the spoiled requests that were answered all the same.
func (q question) answered(t *testing.T) int {
	count := 0
	spoil(reflect.ValueOf(q.request), q.of, func(where string) {
		defer func() {
			if p := recover(); p != nil {
				require.Regexp(t, "^[a-z]+: ", fmt.Sprint(p), where)
				require.NotContains(t, fmt.Sprint(p), "runtime error", where)
				require.NotContains(t, fmt.Sprint(p), "mat: ", where)
			}
		}()
		answers, err := q.ask()
		if err != nil {
			require.NotContains(t, strings.ToLower(err.Error()), "nan nan", where)
			return
		}
		count++
		for _, a := range answers {
			require.Empty(t, notFinite(reflect.ValueOf(a), "the answer"), where)
		}
	})
	return count
}

// harrow is an invented wax with two invented dyes, learned from invented drops.
func harrow(t *testing.T) *calibrate.Model {
	t.Helper()
	card := spectrum.Lab{L: 95.5}
	drop := func(dye string, dose, l, a, b float64) calibrate.Sample {
		s := calibrate.Sample{Colour: spectrum.Measured{Lab: spectrum.Lab{L: l, A: a, B: b}}, Card: card}
		if dye != "" {
			s.Recipe = wax.Recipe{{Dye: dye, DoseGPerKg: dose}}
		}
		return s
	}
	m, err := calibrate.Learn(wax.Wax{Name: "Harrow Soy", RefractiveIndex: 1.44}, []calibrate.Sample{
		drop("", 0, 94, 0, 4), drop("Bracken", 0.5, 80, 6, 18), drop("Bracken", 2, 66, 12, 30),
		drop("Slate", 0.5, 78, -8, -10), drop("Slate", 2, 60, -14, -20),
		{Recipe: wax.Recipe{{Dye: "Bracken", DoseGPerKg: 1}}, Colour: spectrum.Measured{Lab: spectrum.Lab{L: 55, A: 14, B: 40}}, Card: card, State: wax.LiquidState},
	})
	require.NoError(t, err)
	return m
}

func requestsOf(m *calibrate.Model) []question {
	thick := calibrate.View{Thick: true}
	shelf := []wax.Dye{{Name: "Bracken", Form: wax.Chip, UnitMassG: 1, MaxDoseGPerKg: 5, PricePerG: 1}, {Name: "Slate", Form: wax.Liquid, UnitMassG: 0.03}}
	bracken := wax.Recipe{{Dye: "Bracken", DoseGPerKg: 1}}
	melt := wax.Batch{UndyedG: 800, Recipe: bracken, Load: wax.Load{Percent: 8, Per: wax.PerTotal}, Additives: []wax.Additive{{Name: "Hardener", Percent: 2}}}
	soy := wax.Wax{Name: "Harrow Soy", RefractiveIndex: 1.44, DensityGPerML: 0.9, PricePerKg: 7, Bench: wax.Bench{HeatToC: 85, CureHours: 48}}
	lab := &spectrum.Lab{L: 70, A: 5, B: 10}

	shadeAsked := &struct {
		Recipe wax.Recipe
		View   calibrate.View
	}{bracken, calibrate.View{Card: spectrum.Lab{L: 95}}}
	weighed := &struct{ MassG, DiameterMM, DensityGPerML float64 }{0.45, 17, 0.9}
	drop := &shade.LiquidDrop{Colour: spectrum.Measured{Lab: *lab}, Card: spectrum.Lab{L: 95}, Recipe: bracken}
	dosesAsked := &struct{ Colour, Card spectrum.Lab }{*lab, spectrum.Lab{L: 95}}
	reading := &struct {
		Seen      spectrum.Measured
		Promised  spectrum.Lab
		Tolerance float64
		Cov       [3][3]float64
	}{spectrum.Measured{Lab: *lab}, *lab, 2, [3][3]float64{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}}
	matched := &struct {
		Target  spectrum.Lab
		Limits  recipe.Limits
		UndyedG float64
		Dye     wax.Dye
	}{*lab, recipe.Limits{MaxDyes: 1, ToleranceDE00: 2, Answers: 1, MostBoxes: 50, View: thick}, 500, shelf[0]}
	fromStock := &struct {
		Stock         wax.Recipe
		Share, AtMost float64
	}{wax.Recipe{{Dye: "Slate", DoseGPerKg: 0.5}}, 0.5, 5}
	ingredients := func() ([]recipe.Ingredient, error) {
		in, err := recipe.NewIngredient(matched.Dye, matched.UndyedG)
		return []recipe.Ingredient{in}, err
	}
	ladder := &struct{ From, To wax.Recipe }{wax.Recipe{{Dye: "Bracken", DoseGPerKg: 0.1}}, wax.Recipe{{Dye: "Bracken", DoseGPerKg: 2}}}
	pours := &struct {
		Pours []recipe.Pour
		Load  wax.Load
		PotG  float64
	}{[]recipe.Pour{{Recipe: bracken, TotalG: 100}, {Recipe: wax.Recipe{{Dye: "Bracken", DoseGPerKg: 2}}, TotalG: 50}}, wax.Load{Percent: 6, Per: wax.PerWax}, 400}
	cupboard := 500.0
	mend := &struct {
		Request rescue.Request
		Target  spectrum.Lab
		Lighter float64
	}{rescue.Request{Batch: melt, View: thick, ToleranceDE00: 1, Shelf: shelf, UndyedG: &cupboard, PotG: 1500, MouldsG: 1400, UndyedPricePerKg: 7, Prefer: rescue.LeastCost}, spectrum.Lab{L: 80, A: 4, B: 12}, 40}
	poured := &struct {
		Request     batch.Request
		Mould       wax.Mould
		PieceG      float64
		Scoops      float64
		ScoopG      float64
		Dose, Wax   float64
		DyeMeasured wax.Dye
	}{batch.Request{Wax: soy, Shelf: shelf, LossPercent: 3, Load: melt.Load, Fragrance: batch.Fragrance{DensityGPerML: 0.9, FlashPointC: 60, PricePerG: 0.1},
		Additives: melt.Additives, MarkupPercent: 50, Colours: []batch.Colour{{Name: "Dawn", Recipe: bracken, Portions: 4}, {Name: "Dusk"}}},
		wax.Mould{Name: "Tray", Cavities: 6, CavityML: 14}, 40, 3, 55, 1, 500, shelf[0]}
	plannedFill := func(fill batch.Fill, err error) ([]any, error) {
		if err != nil {
			return nil, err
		}
		poured.Request.Fill = fill
		sheet, err := batch.Plan(poured.Request)
		return []any{sheet}, err
	}
	written := &struct{ Value float64 }{1}
	mixed := &struct {
		Factor, Spread float64
		Added          wax.Recipe
	}{0.5, 0.1, wax.Recipe{{Dye: "Slate", DoseGPerKg: 0.2}}}

	return []question{
		{"shade", shadeAsked, func() ([]any, error) {
			s, err := shade.Of(m, shadeAsked.Recipe, shadeAsked.View)
			if err != nil {
				return nil, err
			}
			from, to := s.Range95(0)
			return []any{s, from, to}, nil
		}},
		{"shade", drop, func() ([]any, error) { s, err := shade.FromLiquid(m, *drop, thick); return []any{s}, err }},
		{"shade", dosesAsked, func() ([]any, error) {
			r, miss, err := shade.DosesOf(m, []string{"Bracken"}, dosesAsked.Colour, calibrate.View{Card: dosesAsked.Card})
			return []any{r, miss}, err
		}},
		{"shade", reading, func() ([]any, error) {
			s, err := shade.Of(m, bracken, thick)
			if err != nil {
				return nil, err
			}
			s.Agrees(reading.Seen)
			return []any{s.Keeping(reading.Promised, reading.Tolerance), shade.Within95(reading.Promised, reading.Cov)}, nil
		}},
		{"recipe", matched, func() ([]any, error) {
			in, err := ingredients()
			if err != nil {
				return nil, err
			}
			found, reach, err := recipe.Match(m, in, matched.Target, matched.Limits)
			return []any{found, reach}, err
		}},
		{"recipe", fromStock, func() ([]any, error) {
			in, err := ingredients()
			if err != nil {
				return nil, err
			}
			best, _, _, err := recipe.MatchStock(m, in, fromStock.Stock, []float64{fromStock.Share}, matched.Target, matched.Limits, fromStock.AtMost)
			return []any{best}, err
		}},
		{"recipe", ladder, func() ([]any, error) {
			s, err := recipe.Ladder(m, ladder.From, ladder.To, 3, thick)
			return []any{s}, err
		}},
		{"recipe", pours, func() ([]any, error) {
			s, err := recipe.Blend(pours.Pours, pours.Load, pours.PotG)
			return []any{s}, err
		}},
		{"rescue", mend, func() ([]any, error) {
			r := mend.Request
			r.Target = rescue.Colour(mend.Target)
			if lighter, err := rescue.Lighter(mend.Lighter); err != nil {
				return nil, err
			} else if mend.Lighter != 40 {
				r.Target = lighter
			}
			exact, err := rescue.Mend(m, r)
			if err != nil {
				return nil, err
			}
			measured, err := rescue.Measured(m, r, exact)
			if err != nil {
				return nil, err
			}
			spreadG, err := rescue.UndyedSpreadG(m, measured, r.View)
			return []any{exact, measured, math.Min(spreadG, math.MaxFloat64)}, err // +Inf where wax changes nothing
		}},
		{"batch", poured, func() ([]any, error) { return plannedFill(batch.Moulds(poured.Mould, 4)) }},
		{"batch", poured, func() ([]any, error) { return plannedFill(batch.Pieces(24, poured.PieceG)) }},
		{"batch", poured, func() ([]any, error) {
			poured.Request.MarkupPercent = 0
			return plannedFill(batch.Scoops(poured.Scoops, poured.ScoopG))
		}},
		{"batch", poured, func() ([]any, error) {
			if err := poured.DyeMeasured.Validate(); err != nil {
				return nil, err
			}
			return []any{batch.Measure(poured.DyeMeasured, poured.Dose, poured.Wax)}, nil
		}},
		{"wax", &melt, func() ([]any, error) {
			return []any{melt.TotalG(), melt.DyeG(), melt.FragranceG(), melt.AdditivesG()}, melt.Validate()
		}},
		{"wax", weighed, func() ([]any, error) {
			return []any{wax.Wax{DensityGPerML: weighed.DensityGPerML}.DropThicknessMM(weighed.MassG, weighed.DiameterMM)}, nil
		}},
		{"units", written, func() ([]any, error) {
			q, err := units.Parse(fmt.Sprint(written.Value), units.Mass)
			if err != nil {
				return nil, err
			}
			return []any{q, q.Grams(), q.In(units.Pound)}, nil
		}},
		{"plan", written, func() ([]any, error) {
			number := strconv.FormatFloat(written.Value, 'f', -1, 64)
			text := fmt.Sprintf("wax Harrow Soy\nstate set\ncard 95 0 %s\nmass %s g\nrows 1\n1 Bracken %s g/kg\n", number, number, number)
			p, err := plan.Parse(text)
			if err != nil {
				return nil, err
			}
			doses, _, err := plan.ResolveDose(p.Drops[0].Parts, shelf)
			return []any{p, doses}, err
		}},
		{"calibrate", mixed, func() ([]any, error) {
			pot, err := m.Planned(bracken, mixed.Spread)
			if err != nil {
				return nil, err
			}
			if pot, err = pot.Mixed(mixed.Factor, mixed.Added); err != nil {
				return nil, err
			}
			p, err := pot.Predict(thick)
			return []any{p, pot}, err
		}},
	}
}

// Whatever number stands in a request, a pure package answers with numbers, with an
// error, or with a panic in its own name; never with a NaN or an infinity.
func TestNoNaNLeavesAPurePackage(t *testing.T) {
	questions := requestsOf(harrow(t))
	for _, q := range questions {
		assert.Positive(t, q.answered(t), q.of)
	}
}
