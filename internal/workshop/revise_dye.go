package workshop

import (
	"context"
	"fmt"
	"math"
	"slices"

	"setshade/internal/english"
	"setshade/internal/plan"
	"setshade/internal/store"
	"setshade/internal/wax"
)

// Following says what recorded doses do when the mass of a chip or drop is corrected; the
// zero Following asks.
type Following string

// What doses may do: follow the mass, which was wrong, or stay, where it is that of later
// chips or drops.
const (
	DosesFollow Following = "follow"
	DosesStay   Following = "stay"
)

// MovedDose is the dose of a dye in a swatch before and after its mass is corrected.
type MovedDose struct {
	Swatch     wax.Swatch
	FromGPerKg float64
	ToGPerKg   float64
	recipe     wax.Recipe
}

// MovingDoses are the recorded doses that hang on the mass of a dye, of which nobody said
// yet whether they follow it.
type MovingDoses struct {
	Dye   wax.Dye
	WasG  float64
	Moves []MovedDose
}

// Error says which doses move.
func (m *MovingDoses) Error() string {
	unit := m.Dye.Form.Unit()
	var moves []string
	for _, d := range m.Moves {
		moves = append(moves, fmt.Sprintf("swatch %d from %.4g to %.4g g/kg", d.Swatch.ID, d.FromGPerKg, d.ToGPerKg))
	}
	return fmt.Sprintf("%s of %s were written in %ss, and move if one weighs %.4g g and not %.4g g: %s",
		english.Count(len(moves), "recorded dose", "recorded doses"), m.Dye.Name, unit, m.Dye.UnitMassG, m.WasG, english.AndMore(moves, 4))
}

// Advice says what to do.
func (m *MovingDoses) Advice() string {
	return fmt.Sprintf("let them follow where the mass was wrong all along, or stay where only the %ss from now on weigh so", m.Dye.Form.Unit())
}

// ReviseDye corrects a dye of the shelf. Where the mass of a chip or drop changes, the
// doses that plans wrote in chips or drops are worked out again or stay, as said; it
// returns those that moved, and fails with *MovingDoses where nothing was said and some
// would move. Nothing is changed then.
func (w *Workshop) ReviseDye(ctx context.Context, name string, to wax.Dye, doses Following) ([]MovedDose, error) {
	was, err := w.Store.Dyes.Get(ctx, name)
	if err != nil {
		return nil, err
	}
	moves, err := w.movedDoses(ctx, was, to)
	switch {
	case err != nil:
		return nil, err
	case len(moves) > 0 && doses == "":
		return nil, &MovingDoses{to, was.UnitMassG, moves}
	case doses == DosesStay:
		moves = nil
	}
	recipes := map[int64]wax.Recipe{}
	for _, m := range moves {
		recipes[m.Swatch.ID] = m.recipe
	}
	return moves, w.Store.SetDoses(ctx, recipes, &store.RevisedDye{Name: name, Dye: to})
}

// movedDoses finds the doses that a plan wrote in chips or drops of a dye, and that are
// recorded as the mass of one made them.
func (w *Workshop) movedDoses(ctx context.Context, was, to wax.Dye) ([]MovedDose, error) {
	if was.UnitMassG == 0 || to.UnitMassG == 0 || was.UnitMassG == to.UnitMassG || was.Form != to.Form {
		return nil, nil
	}
	photos, err := w.Store.Photos(ctx)
	if err != nil {
		return nil, err
	}
	drops := map[string][]plan.Drop{}
	for _, p := range photos {
		if said, err := plan.Parse(p.PlanText); err == nil { // a plan that does not read any more moves nothing
			drops[p.SHA256] = said.Drops
		}
	}
	swatches, err := w.Store.Swatches(ctx, store.Filter{})
	var moves []MovedDose
	for _, s := range swatches {
		part := slices.IndexFunc(s.Recipe, func(p wax.Part) bool { return p.Dye == was.Name })
		said := slices.IndexFunc(drops[s.Photo.SHA256], func(d plan.Drop) bool { return d.Number == s.Drop })
		if part < 0 || said < 0 {
			continue
		}
		for _, amount := range drops[s.Photo.SHA256][said].Parts {
			before, err1 := amount.GPerKg(was)
			after, err2 := amount.GPerKg(to)
			const same = 1e-9
			if err1 != nil || err2 != nil || before == after || math.Abs(before/s.Recipe[part].DoseGPerKg-1) > same {
				continue
			}
			recipe := slices.Clone(s.Recipe)
			recipe[part].DoseGPerKg = after
			moves = append(moves, MovedDose{s, before, after, recipe})
			break
		}
	}
	return moves, err
}

// ChangeDose corrects the dose of a swatch, written as in a plan, and returns the swatch
// with remarks on the dose.
func (w *Workshop) ChangeDose(ctx context.Context, id int64, dose string) (wax.Swatch, []string, error) {
	recipe, notes, err := w.recipe(ctx, dose)
	if err != nil {
		return wax.Swatch{}, nil, err
	}
	if err := w.Store.SetDoses(ctx, map[int64]wax.Recipe{id: recipe}, nil); err != nil {
		return wax.Swatch{}, nil, err
	}
	s, err := w.Store.Swatch(ctx, id)
	return s, append(notes, fmt.Sprintf("learn %s again, so that what was learned follows", s.Wax)), err
}
