package workshop

import (
	"context"
	"errors"
	"fmt"
	"time"

	"setshade/internal/batch"
	"setshade/internal/calibrate"
	"setshade/internal/plan"
	"setshade/internal/shade"
	"setshade/internal/spectrum"
	"setshade/internal/store"
	"setshade/internal/wax"
)

// Order is a batch as the maker asks for it.
type Order struct {
	Wax string
	// What is to be filled, one of three: Times a mould of the shelf, by its volume
	// or, where PieceG is given, by the mass of one piece; Pieces of PieceG grams
	// each; or Scoops of flake of ScoopG grams each.
	Mould          string
	Times          int
	Pieces         int
	PieceG         float64
	Scoops, ScoopG float64
	LossPercent    float64
	// Load is the fragrance load; the zero Load is none.
	Load      wax.Load
	Fragrance batch.Fragrance
	// Additives are written "Stearin 3%", of the undyed wax.
	Additives []string
	// MarkupPercent is put on the cost of a piece for its selling price; 0 for
	// none.
	MarkupPercent float64
	// Colours are written "Dawn = Bracken 2 g/kg x 16": a name, a dose as in a
	// plan, and how many portions; name and portions may be left out.
	Colours []string
	// Wicked marks candles with a wick.
	Wicked bool
}

// BatchPlan is the answer to an Order.
type BatchPlan struct {
	Sheet batch.Sheet `json:",inline"`
	// Portion names one portion: "piece" or "scoop".
	Portion string `json:"portion"`
	// Shades are those of the pots, in their order.
	Shades []PotShade
	// Dyes are those on the shelf that the colours use.
	Dyes []wax.Dye
	// PlannedAt is when the plan was made.
	PlannedAt time.Time `json:"planned_at"`
	// Notes are remarks on doses and shades, in plain words.
	Notes []string `json:"notes"`
}

// PotShade is the shade of a pot as a finished piece.
type PotShade struct {
	// Known is false when the wax or a dye of the pot has not been learned; the
	// rest is zero then.
	Known bool
	// Asked is the shade of the recipe, Reached that of the dye as it can be
	// measured; RoundingDE00 lies between.
	Asked, Reached shade.Shade
	RoundingDE00   float64
	// Drop is Reached as a test drop on usual white card.
	Drop shade.Shade
}

// PlanBatch plans a batch, from what is to be filled to the steps at the bench,
// and predicts its shades where they were learned.
func (w *Workshop) PlanBatch(ctx context.Context, o Order) (BatchPlan, error) {
	r, p, err := w.request(ctx, o)
	if err != nil {
		return BatchPlan{}, err
	}
	if p.Sheet, err = batch.Plan(r); err != nil {
		return BatchPlan{}, err
	}
	if p.Shades, err = w.potShades(ctx, &p); err != nil {
		return BatchPlan{}, err
	}
	p.PlannedAt = w.Now()
	return p, nil
}

// request finds on the shelf what an order names, and begins the plan with it.
func (w *Workshop) request(ctx context.Context, o Order) (batch.Request, BatchPlan, error) {
	r := batch.Request{LossPercent: o.LossPercent, Load: o.Load, Fragrance: o.Fragrance, MarkupPercent: o.MarkupPercent, Wicked: o.Wicked}
	p := BatchPlan{Portion: "piece"}
	if o.Scoops != 0 {
		p.Portion = "scoop"
	}
	var err error
	if r.Wax, err = w.wax(ctx, o.Wax); err != nil {
		return r, p, err
	}
	if r.Additives, err = ParseAdditives(o.Additives); err != nil {
		return r, p, err
	}
	if r.Shelf, err = w.Store.Dyes.List(ctx); err != nil {
		return r, p, err
	}
	if r.Fill, err = w.fill(ctx, o); err != nil {
		return r, p, err
	}
	if r.Colours, p.Notes, err = coloursOf(o.Colours, r.Shelf); err != nil {
		return r, p, err
	}
	for _, d := range r.Shelf {
		for _, c := range r.Colours {
			if c.Recipe.Dose(d.Name) > 0 {
				p.Dyes = append(p.Dyes, d)
				break
			}
		}
	}
	return r, p, nil
}

// fill is what an order fills.
func (w *Workshop) fill(ctx context.Context, o Order) (batch.Fill, error) {
	ways := 0
	for _, given := range []bool{o.Mould != "", o.Pieces != 0, o.Scoops != 0} {
		if given {
			ways++
		}
	}
	switch {
	case ways != 1:
		return batch.Fill{}, errors.New("say what is to be filled: a mould so many times, so many pieces of a mass, or so many scoops of a mass; one of the three")
	case o.Pieces != 0:
		return batch.Pieces(o.Pieces, o.PieceG)
	case o.Scoops != 0:
		return batch.Scoops(o.Scoops, o.ScoopG)
	}
	m, err := w.Store.Moulds.Get(ctx, o.Mould)
	if err != nil {
		return batch.Fill{}, err
	}
	if o.PieceG != 0 {
		return batch.Pieces(m.Cavities*o.Times, o.PieceG)
	}
	return batch.Moulds(m, o.Times)
}

// potShades predicts every pot. What was not learned is no failure: the batch
// can be poured without it.
func (w *Workshop) potShades(ctx context.Context, p *BatchPlan) ([]PotShade, error) {
	shades := make([]PotShade, len(p.Sheet.Pots))
	model, notes, err := w.learned(ctx, p.Sheet.Wax)
	if errors.Is(err, store.ErrNotFound) {
		p.Notes = append(p.Notes, fmt.Sprintf("no shades are told: %s has not been learned yet", p.Sheet.Wax.Name))
		return shades, nil
	}
	if err != nil {
		return nil, err
	}
	p.Notes = append(p.Notes, notes...)
	for i, pot := range p.Sheet.Pots {
		shades[i], err = potShade(model, pot)
		if errors.Is(err, calibrate.ErrUnknownDye) {
			p.Notes = append(p.Notes, fmt.Sprintf("no shade is told of %s: it has a dye that was not learned in %s", pot.Asked, p.Sheet.Wax.Name))
			continue
		}
		if err != nil {
			return nil, err
		}
	}
	return shades, nil
}

func potShade(model *calibrate.Model, pot batch.Pot) (PotShade, error) {
	s := PotShade{Known: true}
	for _, part := range []struct {
		into   *shade.Shade
		recipe wax.Recipe
		view   calibrate.View
	}{
		{&s.Asked, pot.Asked, calibrate.View{Thick: true}},
		{&s.Reached, pot.Recipe, calibrate.View{Thick: true}},
		{&s.Drop, pot.Recipe, calibrate.View{Card: plan.UsualCard}},
	} {
		var err error
		if *part.into, err = shade.Of(model, part.recipe, part.view); err != nil {
			return PotShade{}, err
		}
	}
	s.RoundingDE00 = spectrum.DE00(s.Asked.Lab, s.Reached.Lab)
	return s, nil
}
