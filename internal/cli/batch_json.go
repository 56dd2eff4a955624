package cli

import (
	"setshade/internal/batch"
	"setshade/internal/shade"
	"setshade/internal/wax"
	"setshade/internal/workshop"
)

// batchPlanJSON is the shape of the plan of a batch in JSON.
type batchPlanJSON struct {
	workshop.BatchPlan
	Additives []additiveJSON `json:"additives"`
	Pots      []potJSON      `json:"pots"`
}

// potJSON is the shape of one colour of a batch in JSON. Shades and rounding are
// null where nothing was learned.
type potJSON struct {
	batch.Pot
	ShadeAsked   *shade.Shade `json:"shade_asked"`
	ShadeReached *shade.Shade `json:"shade_reached"`
	RoundingDE00 *float64     `json:"rounding_de00"`
}

// costJSON is the shape of a cost in JSON; per_piece is null for scoops, selling
// where no markup was asked.
type costJSON struct {
	batch.Cost
	Total float64 `json:"total"`
}

// batchJSON is the shape of a batch in JSON.
type batchJSON struct {
	UndyedG    float64    `json:"undyed_g"`
	DyeG       float64    `json:"dye_g"`
	FragranceG float64    `json:"fragrance_g"`
	AdditivesG float64    `json:"additives_g"`
	TotalG     float64    `json:"total_g"`
	Dose       wax.Recipe `json:"dose"`
	Load       wax.Load   `json:"load"`
}

func batchJSONOf(b wax.Batch) batchJSON {
	return batchJSON{b.UndyedG, b.DyeG(), b.FragranceG(), b.AdditivesG(), b.TotalG(), b.Recipe, b.Load}
}

func batchPlanJSONOf(p workshop.BatchPlan) batchPlanJSON {
	s := p.Sheet
	j := batchPlanJSON{BatchPlan: p, Additives: additivesJSON(wax.Batch{UndyedG: s.UndyedG, Additives: s.Additives})}
	for i, pot := range s.Pots {
		told := potJSON{Pot: pot}
		if of := &p.Shades[i]; of.Known {
			told.ShadeAsked, told.ShadeReached, told.RoundingDE00 = &of.Asked, &of.Reached, &of.RoundingDE00
		}
		j.Pots = append(j.Pots, told)
	}
	return j
}

// figureJSON is the shape of a temperature or time in JSON; value is null where
// none is recorded.
type figureJSON struct {
	Value *float64 `json:"value"`
	Unit  string   `json:"unit"`
}

func figureJSONOf(f batch.Figure) *figureJSON {
	switch {
	case f.Unit == "":
		return nil
	case !f.Known:
		return &figureJSON{Unit: f.Unit}
	}
	return &figureJSON{&f.Value, f.Unit}
}
