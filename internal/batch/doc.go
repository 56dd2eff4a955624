// Package batch plans a batch: from what is to be filled to the grams of wax,
// dye and fragrance, the steps at the bench and what it costs.
//
// Moulds are filled molten, so their volume V is shared by wax, dye and
// fragrance as liquids. With d grams of dye and additives and f grams of fragrance
// per gram of undyed wax, of densities ρw and ρf, the wax that fills V is
//
//	W = V / ((1 + d)/ρw + f/ρf)
//
// Dye and additives are counted at the density of the wax: of dye there are a few
// grams a kilogram, and nobody records the density of either. Volumes are taken to add up. A batch can also be
// planned from the mass M of a piece, W = M / (1 + d + f), or from scoops of
// flake, which are the undyed wax itself.
//
// One melt may be split over several colours. Each colour gets its own pot, the
// pots make up the melt to the last gram, and what no colour takes is planned
// as undyed wax. Dye is then rounded to what a maker can count or weigh: quarter
// chips, whole drops, 0.01 g. The wax is not changed by that rounding, the dose
// is; each dye says the dose asked and the dose reached, and a pot's recipe is
// the one reached, so that its shade can be asked.
//
// Temperatures and times are the wax's own record. Where there is none, the
// step says so and nothing is invented.
//
// The package is pure.
package batch
