package rescue

import (
	"setshade/internal/calibrate"
	"setshade/internal/recipe"
	"setshade/internal/shade"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// Way is something that can be done with a batch that came out wrong.
type Way string

// The ways: mend the batch, pour it as it is, or pour a fresh batch and keep this
// one as stock.
const (
	MendIt    Way = "mend"
	PourAsIs  Way = "as it is"
	PourFresh Way = "fresh"
)

// Verdict sets the ways beside each other and takes one.
type Verdict struct {
	Way Way `json:"way"`
	// InProportion says that mending is in proportion to the batch and to what comes
	// of it, so that a maker may be told to do it; see Answer.InProportion.
	InProportion bool `json:"in_proportion"`
	// NearDE00 is the difference from the target that counts as near it: Near, or the
	// maker's own wider tolerance.
	NearDE00 float64
	// AsItIsDE00 is how far the batch lies from the target as it is.
	AsItIsDE00 float64 `json:"as_it_is_de00"`
	// Fresh is a new batch for the same target; nil where no recipe for one can be
	// searched for, or there is no undyed wax.
	Fresh *Fresh
}

// Fresh is a batch made from undyed wax, in whole portions of its dyes.
type Fresh struct {
	wax.Batch `json:"batch"`
	Dyes      []AddedDye
	Shade     shade.Shade `json:"shade"`
	MissDE00  float64     `json:"left_de00"`
	// Cost is that of wax and dyes; what has no price counts nothing.
	Cost float64 `json:"cost"`
}

// Near is the difference from the target, in dE00, to which mending must bring a batch
// for which it adds more than the batch itself (common practice, no source).
const Near = 2.0

// hardlySeen is a difference in dE00 that is hardly seen side by side (common practice,
// no source).
const hardlySeen = 1.0

// mostTimes is how many times the batch may be added to it (common practice, no
// source): a batch five times too strong is better kept as stock.
const mostTimes = 4.0

// InProportion reports whether what is added stands in proportion to what it is added
// to: up to as much again always, and up to four times as much where the shade then
// comes within Near of the target, or within the maker's own wider tolerance.
func (a Answer) InProportion(toleranceDE00 float64) bool {
	times := a.Times() * (1 - 1e-9)
	return times <= 1 || times <= mostTimes && a.MissDE00 <= max(Near, toleranceDE00)
}

// Times is how many times the mass of what is in the pot is added to it.
func (a Answer) Times() float64 { return a.AddedG() / a.Start.TotalG() }

// Judge sets mending a batch by this answer beside pouring it as it is, and beside a
// fresh batch of the same wax, as large as pot, moulds and cupboard allow, made of
// the dyes of the request's Fresh.
//
// What is within the tolerance is poured as it is. Otherwise the batch is mended if
// that is in proportion and comes near, or made anew if that comes near; where
// neither does, it is mended only if that is in proportion and makes a difference
// that is seen.
func Judge(m *calibrate.Model, r Request, a Answer) (Verdict, error) {
	v := Verdict{InProportion: a.InProportion(r.ToleranceDE00), NearDE00: max(Near, r.ToleranceDE00), AsItIsDE00: spectrum.DE00(a.From.Lab, a.Wanted)}
	var err error
	if v.Fresh, err = r.fresh(m, a.Wanted); err != nil {
		return Verdict{}, err
	}
	switch {
	case v.AsItIsDE00 <= r.ToleranceDE00:
		v.Way = PourAsIs
	case v.InProportion && a.MissDE00 <= v.NearDE00:
		v.Way = MendIt
	case v.Fresh != nil && v.Fresh.MissDE00 <= v.NearDE00:
		v.Way = PourFresh
	case v.InProportion && v.AsItIsDE00-a.MissDE00 >= hardlySeen:
		v.Way = MendIt
	default:
		v.Way = PourAsIs
	}
	return v, nil
}

// fresh is the batch to make anew.
func (r Request) fresh(m *calibrate.Model, wanted spectrum.Lab) (*Fresh, error) {
	undyedG := r.wholeG(1, nil)
	if r.UndyedG != nil {
		undyedG = min(undyedG, *r.UndyedG)
	}
	for undyedG > leastRoomG {
		f, err := r.freshOf(m, wanted, undyedG)
		over := 0.0
		if f != nil {
			over = f.TotalG() - r.capacityG()
		}
		if err != nil || over <= 1e-6*undyedG {
			return f, err
		}
		undyedG -= over // the dyes need room too
	}
	return nil, nil
}

func (r Request) freshOf(m *calibrate.Model, wanted spectrum.Lab, undyedG float64) (*Fresh, error) {
	var shelf []recipe.Ingredient
	for _, d := range r.Fresh {
		in, err := recipe.NewIngredient(d, undyedG)
		tested, learned := m.Range(d.Name)
		// What is too fine to be counted out for so large a batch is no dye for it.
		if err == nil && learned && !tested.Scatters && in.StepGPerKg <= wax.MaxDoseGPerKg && mostDose(m, d)/in.StepGPerKg < recipe.MostPortions {
			shelf = append(shelf, in)
		}
	}
	if len(shelf) == 0 {
		return nil, nil
	}
	// Enough boxes for what a fresh batch comes to; recipe.Match can search to the end.
	const dyes, boxes = 3, 20_000
	limits := recipe.Limits{MaxDyes: dyes, ToleranceDE00: min(r.ToleranceDE00, hardlySeen), Answers: 1, View: r.View, MostBoxes: boxes}
	found, _, err := recipe.MatchMeasured(m, shelf, wanted, limits)
	if err != nil {
		return nil, err
	}
	c := found[0]
	f := &Fresh{Batch: r.Batch, Shade: c.Shade, MissDE00: c.DE00}
	f.UndyedG, f.Recipe = undyedG, c.Recipe
	f.Cost = undyedG / 1000 * (r.UndyedPricePerKg + c.PricePerKg)
	for _, x := range c.Amounts {
		if x.Portions > 0 {
			f.Dyes = append(f.Dyes, AddedDye{x.Dye, float64(x.Portions) * x.Portion.MassG, x.Portion, float64(x.Portions), x.AtMaximum})
		}
	}
	return f, nil
}
