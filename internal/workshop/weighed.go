package workshop

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"setshade/internal/wax"
)

// NotAsPlanned is an amount that was weighed and is far from the plan.
type NotAsPlanned struct {
	What              string
	WeighedG, Planned float64
}

// Error says which amount.
func (e *NotAsPlanned) Error() string {
	return fmt.Sprintf("%s was planned to be %.4g g, and %.4g g were weighed", e.What, e.Planned, e.WeighedG)
}

// Advice says what to do.
func (e *NotAsPlanned) Advice() string {
	return "look again at the amount and its unit; if it was truly so, say that it was as weighed"
}

// weighed puts what was truly weighed in the place of what was planned, and promises the
// shades of that. Where nothing is said and rounding took a dose farther than weighing
// errs, it asks.
func (w *Workshop) weighed(ctx context.Context, plan *BatchPlan, p PouredOrder) error {
	pots := plan.Sheet.Pots
	names := make([]string, len(pots))
	for i, pot := range pots {
		names[i] = pot.Name
	}
	seen := map[string]bool{}
	for _, text := range p.Weighed {
		colour, amount, named := strings.Cut(text, ":")
		if !named {
			colour, amount = "", text
		}
		at, err := namedColour(names, strings.Join(strings.Fields(colour), " "))
		if err != nil {
			return err
		}
		dye, g, err := addedOf(amount, plan.Dyes)
		if err != nil {
			return err
		}
		what := dye.Name
		if what == "" {
			what = "undyed wax"
		}
		if key := fmt.Sprint(at, what); seen[key] {
			return fmt.Errorf("%q names what was named before; add the two up", text)
		} else {
			seen[key] = true
		}
		pot := &pots[at].Batch
		plannedG := pot.UndyedG
		if dye.Name != "" {
			plannedG = pot.Recipe.Dose(dye.Name) * pot.UndyedG / 1000
		}
		if !p.AsWeighed && !near(g, plannedG) {
			return &NotAsPlanned{what, g, plannedG}
		}
		if *pot, err = withAmount(*pot, dye.Name, g); err != nil {
			return err
		}
	}
	if len(p.Weighed) > 0 {
		var err error
		plan.Shades, err = w.potShades(ctx, &BatchPlan{Sheet: plan.Sheet})
		return err
	}
	for _, pot := range pots {
		for _, m := range pot.Dyes {
			if !near(m.ReachedGPerKg, m.AskedGPerKg) {
				plan.Notes = append(plan.Notes, fmt.Sprintf("%.4g g/kg of %s are kept, as it is measured out, for the %.4g g/kg asked; if other was weighed, say so with --weighed",
					m.ReachedGPerKg, m.Dye, m.AskedGPerKg))
			}
		}
	}
	return nil
}

// near reports two amounts that weighing takes for one.
func near(g, plannedG float64) bool { return math.Abs(g-plannedG) <= doseWeighed*plannedG }

// withAmount is a batch with so many grams of a dye, or of undyed wax for "", and all else
// in it by mass as it was.
func withAmount(b wax.Batch, dye string, g float64) (wax.Batch, error) {
	parts := slices.DeleteFunc(slices.Clone(b.Recipe), func(p wax.Part) bool { return p.Dye == dye })
	undyedG := b.UndyedG
	if dye == "" {
		undyedG = g
	} else if g > 0 {
		parts = append(parts, wax.Part{Dye: dye, DoseGPerKg: 1000 * g / b.UndyedG})
	}
	for i := range parts {
		parts[i].DoseGPerKg *= b.UndyedG / undyedG
	}
	var err error
	b.UndyedG = undyedG
	if b.Recipe, err = wax.NewRecipe(parts...); err != nil {
		return b, err
	}
	return b, b.Validate()
}
