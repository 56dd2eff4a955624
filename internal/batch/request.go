package batch

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"setshade/internal/plaintext"
	"setshade/internal/wax"
)

// Request is what the maker wants made.
type Request struct {
	Wax wax.Wax
	// Shelf holds at least the dyes of the colours.
	Shelf []wax.Dye
	Fill  Fill
	// LossPercent is what stays in pots and jugs, in percent of what is filled
	// and added on top of it; 0..50.
	LossPercent float64
	// Load is the fragrance load; the zero Load is none.
	Load      wax.Load
	Fragrance Fragrance
	// Additives are melted with the wax, before it is split; nil for none.
	Additives []wax.Additive
	// MarkupPercent is put on the cost of a piece for its selling price, in
	// percent of the cost, 0..10000; 0 for no selling price.
	MarkupPercent float64
	// Colours share the melt; at least one, with names of their own when there
	// are more.
	Colours []Colour
	// Wicked marks candles with a wick.
	Wicked bool
}

// Fragrance is what its supplier says of it.
type Fragrance struct {
	// DensityGPerML, 0.5..1.5; 0 when not recorded.
	DensityGPerML float64
	// FlashPointC, 0..200; 0 when not recorded.
	FlashPointC float64
	// PricePerG in the maker's own currency; 0 when not recorded.
	PricePerG float64
}

// UsualFragranceDensityGPerML stands in for a density that is not recorded
// (common practice, no source).
const UsualFragranceDensityGPerML = 1.0

// Colour is one colour of the melt.
type Colour struct {
	Name string
	// Recipe may be empty for undyed wax.
	Recipe wax.Recipe
	// Portions is how many pieces or scoops get this colour. Colours with 0
	// share evenly what the others leave.
	Portions float64
}

func (r Request) validate() error {
	if err := r.Wax.Validate(); err != nil {
		return err
	}
	if r.Fill.basis == 0 {
		return errors.New("nothing is to be filled; give moulds, pieces or scoops")
	}
	if !within(r.LossPercent, 0, 50) {
		return fmt.Errorf("a loss of %g %% cannot be; it must lie between 0 and 50 %%", r.LossPercent)
	}
	if !within(r.MarkupPercent, 0, 10000) {
		return fmt.Errorf("%g %% on the cost cannot be; it must lie between 0 and 10000 %%", r.MarkupPercent)
	}
	if r.MarkupPercent > 0 && !r.Fill.makesPieces() {
		return errors.New("a selling price is of a piece, and scoops are not pieces; give moulds or pieces")
	}
	if err := r.Fragrance.validate(); err != nil {
		return err
	}
	if err := CheckLoad(r.Load, r.Wax); err != nil {
		return err
	}
	return r.validateColours()
}

func (f Fragrance) validate() error {
	switch {
	case f.DensityGPerML != 0 && !within(f.DensityGPerML, 0.5, 1.5):
		return fmt.Errorf("a fragrance of %g g/ml cannot be; its density must lie between 0.5 and 1.5 g/ml", f.DensityGPerML)
	case !within(f.FlashPointC, 0, 200):
		return fmt.Errorf("a flash point of %g °C cannot be; it must lie between 0 and 200 °C", f.FlashPointC)
	case !within(f.PricePerG, 0, 1e6):
		return fmt.Errorf("the price of the fragrance is %g per gram; it must not be negative", f.PricePerG)
	}
	return nil
}

func (r Request) validateColours() error {
	if len(r.Colours) == 0 {
		return errors.New("the batch has no colour; give a recipe, or an empty one for undyed wax")
	}
	seen := map[string]bool{}
	for _, c := range r.Colours {
		if err := c.validate(); err != nil {
			return err
		}
		name := strings.ToLower(c.Name)
		if len(r.Colours) > 1 && (name == "" || seen[name]) {
			return fmt.Errorf("two colours are named %q; give each pot a name of its own", c.Name)
		}
		seen[name] = true
		for _, p := range c.Recipe {
			if err := r.checkDye(p.Dye); err != nil {
				return err
			}
		}
	}
	return nil
}

func (c Colour) validate() error {
	if strings.TrimSpace(c.Name) != c.Name || strings.ContainsFunc(c.Name, plaintext.IsHidden) || len(c.Name) > 80 {
		return fmt.Errorf("the colour's name %.80q cannot be shown; give it up to 80 plain characters without blanks around them", c.Name)
	}
	if !within(c.Portions, 0, 1e8) {
		return fmt.Errorf("%s cannot take %g portions; give a number above 0, or none to take what is left", c.title(), c.Portions)
	}
	_, err := wax.NewRecipe(c.Recipe...)
	return err
}

// title names a colour in a sentence.
func (c Colour) title() string {
	if c.Name == "" {
		return "the colour"
	}
	return c.Name
}

// checkDye refuses a dye that is not on the shelf, and mica beside a wick.
func (r Request) checkDye(name string) error {
	d, ok := r.dye(name)
	if !ok {
		return fmt.Errorf("there is no dye %q on the shelf; add it first", name)
	}
	if r.Wicked && d.Form == wax.Mica {
		return fmt.Errorf("%s is a mica, which clogs a wick; colour a candle with a dye that dissolves", d.Name)
	}
	return d.Validate()
}

func (r Request) dye(name string) (wax.Dye, bool) {
	for _, d := range r.Shelf {
		if d.Name == name {
			return d, true
		}
	}
	return wax.Dye{}, false
}

func (r Request) fragranceDensity() float64 {
	if r.Fragrance.DensityGPerML == 0 {
		return UsualFragranceDensityGPerML
	}
	return r.Fragrance.DensityGPerML
}

func within(v, from, to float64) bool { return !math.IsNaN(v) && v >= from && v <= to }
