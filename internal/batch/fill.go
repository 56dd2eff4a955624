package batch

import (
	"fmt"

	"setshade/internal/wax"
)

// Fill says how much is to be made, in equal portions: pieces, or scoops of
// flake. Make one with Moulds, Pieces or Scoops.
type Fill struct {
	basis    basis
	portions float64
	// size of one portion: millilitres, or grams.
	size float64
}

// basis is what the size of a portion measures.
type basis int

const (
	moltenML basis = iota + 1
	pieceG
	flakeG
)

// Moulds fills a mould so many times: 1..10000.
func Moulds(m wax.Mould, times int) (Fill, error) {
	if err := m.Validate(); err != nil {
		return Fill{}, err
	}
	if times < 1 || times > 10000 {
		return Fill{}, fmt.Errorf("%s cannot be filled %d times; give 1 to 10000", m.Name, times)
	}
	return Fill{moltenML, float64(times * m.Cavities), m.CavityML}, nil
}

// Pieces makes so many pieces, 1..10000, each of a mass in grams, 0.1..100000,
// with its dye and fragrance.
func Pieces(count int, massG float64) (Fill, error) {
	if count < 1 || count > 10000 {
		return Fill{}, fmt.Errorf("%d pieces cannot be made; give 1 to 10000", count)
	}
	if !within(massG, 0.1, 1e5) {
		return Fill{}, fmt.Errorf("a piece of %g g cannot be; give the mass of one between 0.1 and 100000 g", massG)
	}
	return Fill{pieceG, float64(count), massG}, nil
}

// Scoops melts so many scoops of flake, 0.1..10000, of the mass in grams,
// 0.1..100000, that the maker's own scoop was found to hold.
func Scoops(count, scoopG float64) (Fill, error) {
	if !within(count, 0.1, 1e4) {
		return Fill{}, fmt.Errorf("%g scoops cannot be melted; give 0.1 to 10000", count)
	}
	if !within(scoopG, 0.1, 1e5) {
		return Fill{}, fmt.Errorf("a scoop of %g g cannot be; weigh ten level scoops of flake together and give a tenth of it", scoopG)
	}
	return Fill{flakeG, count, scoopG}, nil
}

// word names the portions.
func (f Fill) word() string {
	if f.basis == flakeG {
		return "scoops"
	}
	return "pieces"
}

// makesPieces reports whether the portions are pieces that can be counted.
func (f Fill) makesPieces() bool { return f.basis != flakeG }

// undyedG returns the grams of undyed wax for one portion of wax with solidG of
// dye and additives and fragranceG per gram of wax, and the share of loss on top. Scoops are what is
// melted, so their loss is already in them.
func (f Fill) undyedG(r Request, solidG, fragranceG float64) float64 {
	lossy := f.size * (1 + r.LossPercent/100)
	switch f.basis {
	case moltenML:
		return lossy / ((1+solidG)/r.Wax.DensityGPerML + fragranceG/r.fragranceDensity())
	case pieceG:
		return lossy / (1 + solidG + fragranceG)
	case flakeG:
		return f.size
	}
	panic("batch: a Fill is made with Moulds, Pieces or Scoops")
}
