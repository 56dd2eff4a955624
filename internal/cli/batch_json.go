package cli

import (
	"time"

	"setshade/internal/batch"
	"setshade/internal/wax"
	"setshade/internal/workshop"
)

// batchPlanJSON is the shape of the plan of a batch in JSON.
type batchPlanJSON struct {
	PlannedAt    time.Time         `json:"planned_at"`
	Wax          string            `json:"wax"`
	Portion      string            `json:"portion"`
	UndyedG      float64           `json:"undyed_g"`
	DyeG         float64           `json:"dye_g"`
	FragranceG   float64           `json:"fragrance_g"`
	AdditivesG   float64           `json:"additives_g"`
	Additives    []additiveJSON    `json:"additives"`
	TotalG       float64           `json:"total_g"`
	PouredG      float64           `json:"poured_g"`
	LossG        float64           `json:"loss_g"`
	MoltenML     float64           `json:"molten_ml"`
	FragranceML  float64           `json:"fragrance_ml"`
	Load         loadJSON          `json:"load"`
	LoadReadings *loadReadingsJSON `json:"load_readings"`
	Pots         []potJSON         `json:"pots"`
	Steps        []benchStepJSON   `json:"steps"`
	Ready        *figureJSON       `json:"ready"`
	Cost         costJSON          `json:"cost"`
	// Assumed is what the plan takes for granted.
	Assumed []string `json:"assumed"`
	Notes   []string `json:"notes"`
}

// loadReadingsJSON is the shape of a load told both ways in JSON.
type loadReadingsJSON struct {
	PerWaxG   float64 `json:"per_wax_g"`
	PerTotalG float64 `json:"per_total_g"`
	Explained string  `json:"explained"`
}

// potJSON is the shape of one colour of a batch in JSON. Shades and rounding are
// null where nothing was learned.
type potJSON struct {
	Name         string         `json:"name"`
	Portions     float64        `json:"portions"`
	Leftover     bool           `json:"leftover"`
	Batch        batchJSON      `json:"batch"`
	Asked        []partJSON     `json:"asked"`
	Dyes         []measuredJSON `json:"dyes"`
	ShadeAsked   *shadeJSON     `json:"shade_asked"`
	ShadeReached *shadeJSON     `json:"shade_reached"`
	RoundingDE00 *float64       `json:"rounding_de00"`
	Cost         costJSON       `json:"cost"`
}

// measuredJSON is the shape of a dye as it is measured out in JSON.
type measuredJSON struct {
	Dye           string   `json:"dye"`
	Form          wax.Form `json:"form"`
	AskedGPerKg   float64  `json:"asked_g_per_kg"`
	AskedG        float64  `json:"asked_g"`
	Count         float64  `json:"count"`
	Unit          string   `json:"unit"`
	G             float64  `json:"g"`
	ReachedGPerKg float64  `json:"reached_g_per_kg"`
	Remarks       []string `json:"remarks"`
}

// benchStepJSON is the shape of a step at the bench in JSON.
type benchStepJSON struct {
	Kind     batch.Kind     `json:"kind"`
	Do       string         `json:"do"`
	At       *figureJSON    `json:"at"`
	Lasts    *figureJSON    `json:"lasts"`
	Starts   *figureJSON    `json:"starts"`
	Adds     []additionJSON `json:"adds"`
	Cautions []string       `json:"cautions"`
}

// additionJSON is the shape of one thing added in JSON; pot is "" for all.
type additionJSON struct {
	Pot   string  `json:"pot"`
	What  string  `json:"what"`
	Count float64 `json:"count"`
	Unit  string  `json:"unit"`
	G     float64 `json:"g"`
}

// figureJSON is the shape of a temperature or time in JSON; value is null where
// none is recorded.
type figureJSON struct {
	Value *float64 `json:"value"`
	Unit  string   `json:"unit"`
}

// costJSON is the shape of a cost in JSON; per_piece is null for scoops, selling
// where no markup was asked.
type costJSON struct {
	Wax       float64  `json:"wax"`
	Dye       float64  `json:"dye"`
	Fragrance float64  `json:"fragrance"`
	Total     float64  `json:"total"`
	PerPiece  *float64 `json:"per_piece"`
	Selling   *float64 `json:"selling"`
	Unpriced  []string `json:"unpriced"`
}

func batchPlanJSONOf(p workshop.BatchPlan) batchPlanJSON {
	s := p.Sheet
	j := batchPlanJSON{
		PlannedAt: p.PlannedAt.UTC(), Wax: s.Wax.Name, Portion: p.Portion,
		UndyedG: s.UndyedG, DyeG: s.DyeG, FragranceG: s.FragranceG,
		AdditivesG: s.AdditivesG, Additives: additivesJSON(wax.Batch{UndyedG: s.UndyedG, Additives: s.Additives}), TotalG: s.TotalG, PouredG: s.PouredG, LossG: s.LossG,
		MoltenML: s.MoltenML, FragranceML: s.FragranceML, Load: loadJSON{s.Load.Percent, s.Load.Per},
		Ready: figureJSONOf(s.Ready), Cost: costJSONOf(s.Cost, p), Assumed: orEmpty(s.Notes), Notes: orEmpty(p.Notes),
	}
	if r := s.Readings; r != nil {
		j.LoadReadings = &loadReadingsJSON{r.PerWaxG, r.PerTotalG, r.Explained}
	}
	for i, pot := range s.Pots {
		j.Pots = append(j.Pots, potJSONOf(pot, p, p.Shades[i]))
	}
	for _, step := range s.Steps {
		j.Steps = append(j.Steps, benchStepJSONOf(step))
	}
	return j
}

func potJSONOf(pot batch.Pot, p workshop.BatchPlan, shades workshop.PotShade) potJSON {
	j := potJSON{
		Name: pot.Name, Portions: pot.Portions, Leftover: pot.Leftover, Batch: batchJSONOf(pot.Batch),
		Asked: doseJSON(pot.Asked), Dyes: measuredDyesJSON(pot.Dyes), Cost: costJSONOf(pot.Cost, p),
	}
	if shades.Known {
		asked, reached := shadeJSONOf(shades.Asked), shadeJSONOf(shades.Reached)
		j.ShadeAsked, j.ShadeReached, j.RoundingDE00 = &asked, &reached, &shades.RoundingDE00
	}
	return j
}

func measuredDyesJSON(dyes []batch.Measured) []measuredJSON {
	list := make([]measuredJSON, len(dyes))
	for i, m := range dyes {
		list[i] = measuredJSON{
			m.Dye, m.Form, m.AskedGPerKg, m.AskedG, m.Count, m.Unit, m.G, m.ReachedGPerKg, orEmpty(m.Remarks),
		}
	}
	return list
}

func benchStepJSONOf(s batch.Step) benchStepJSON {
	j := benchStepJSON{
		Kind: s.Kind, Do: s.Do, At: figureJSONOf(s.At), Lasts: figureJSONOf(s.Lasts), Starts: figureJSONOf(s.Starts),
		Adds: []additionJSON{}, Cautions: orEmpty(s.Cautions),
	}
	for _, a := range s.Adds {
		j.Adds = append(j.Adds, additionJSON(a))
	}
	return j
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

func costJSONOf(c batch.Cost, p workshop.BatchPlan) costJSON {
	j := costJSON{Wax: c.Wax, Dye: c.Dye, Fragrance: c.Fragrance, Total: c.Total(), Selling: recorded(c.Selling), Unpriced: orEmpty(c.Unpriced)}
	if p.Portion == "piece" {
		j.PerPiece = &c.PerPiece
	}
	return j
}
