package workshop

import (
	"context"
	"errors"
	"fmt"

	"setshade/internal/calibrate"
	"setshade/internal/rank"
	"setshade/internal/spectrum"
	"setshade/internal/store"
	"setshade/internal/wax"
)

// otherState says of drops that are far nearer to what was learned of the other state
// that the plan may name the wrong one. It says nothing where a model of the wax does
// not know both.
func (w *Workshop) otherState(ctx context.Context, swatches []wax.Swatch) ([]string, error) {
	said := swatches[0]
	if said.Thick {
		return nil, nil
	}
	saved, err := w.Store.Learned(ctx, said.Wax)
	if errors.Is(err, store.ErrNotFound) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	model, err := w.models.parse(said.Wax, saved)
	if errors.Is(err, calibrate.ErrSavedModel) { // said when it is asked for a shade
		return nil, nil
	}
	if err != nil || !model.KnowsLiquid() {
		return nil, err
	}
	other := wax.LiquidState
	if said.State == wax.LiquidState {
		other = wax.SetState
	}
	var asSaid, asOther []float64
	for _, s := range swatches {
		one, err1 := missAs(model, s, said.State)
		two, err2 := missAs(model, s, other)
		if err1 == nil && err2 == nil { // else a dye in it is not learned, or hides in liquid wax
			asSaid, asOther = append(asSaid, one), append(asOther, two)
		}
	}
	const least, nearer, plainly = 2, 0.5, 3.0 // drops; times as near, and dE00
	if len(asSaid) < least {
		return nil, nil
	}
	if far, near := rank.Median(asSaid), rank.Median(asOther); near < nearer*far && far-near > plainly {
		return []string{fmt.Sprintf("the drops are %s by the plan, but look %s: they lie %.1f dE00 from what was learned of %s drops, %.1f from that of %s ones; correct the plan's state, if it is wrong",
			said.State, other, far, said.State, near, other)}, nil
	}
	return nil, nil
}

// missAs is how far a drop lies from what it would be in a state, in dE00.
func missAs(m *calibrate.Model, s wax.Swatch, state wax.State) (float64, error) {
	lab, err := m.Lab(s.Recipe, calibrate.View{Card: s.Card, Liquid: state == wax.LiquidState})
	return spectrum.DE00(lab, s.Colour.Lab), err
}
