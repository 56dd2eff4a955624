package workshop

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"math"

	"setshade/internal/calibrate"
	"setshade/internal/rescue"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// courseVersion is raised whenever the meaning of a saved rescue changes.
const courseVersion = 1

// Course is a rescue on its way: the batch it began with, the means, and all that
// was added and seen since, in order. What is known of the batch follows from
// these and from what was learned of the wax.
type Course struct {
	Version int    `json:"version"`
	Wax     string `json:"wax"`
	// Batch is what was in the pot at the start. Its doses are believed give or take
	// DoseSpread, the standard error of each log dose, until drops tell more.
	Batch      wax.Batch `json:"batch"`
	DoseSpread float64   `json:"dose_spread"`
	Target     Sighting  `json:"target"`
	Means      Means     `json:"limits"` // its name in saved rescues
	Events     []Event   `json:"events"`
	// Next is what the maker was told to add next; nil when nothing.
	Next *Addition `json:"next"`
}

// Means are what a rescue may use, and what it should spare. What stops it from
// reaching its target are the Limits of its answer.
type Means struct {
	ToleranceDE00 float64 `json:"tolerance_de00"`
	// UndyedG is the undyed wax in the cupboard; nil for plenty. PotG and MouldsG
	// are what the pot and the moulds hold; 0 when they are large enough.
	UndyedG *float64          `json:"undyed_g"`
	PotG    float64           `json:"pot_g"`
	MouldsG float64           `json:"moulds_g"`
	Prefer  rescue.Preference `json:"prefer"`
	// With names the correcting dyes; empty for undyed wax only.
	With []string `json:"with"`
	// HoweverMuch asks for the steps also where mending is out of proportion.
	HoweverMuch bool `json:"however_much,omitempty"`
}

// Event is what happened to the pot: something was added, or a drop of it seen;
// one of the two.
type Event struct {
	Added *Addition `json:"added,omitempty"`
	Drop  *Sighting `json:"drop,omitempty"`
}

// Addition is what one step adds to the pot, in grams; fragrance and additives follow
// the undyed wax. It is told, or was truly done. (A store.Poured is a batch of the log.)
type Addition struct {
	// TakenOutG is set aside first, told by the undyed wax in it.
	TakenOutG float64            `json:"taken_out_g"`
	UndyedG   float64            `json:"undyed_g"`
	DyesG     map[string]float64 `json:"dyes_g"`
}

// Sighting is a colour with the piece of wax it is of.
type Sighting struct {
	Colour spectrum.Measured `json:"colour"`
	Thick  bool              `json:"thick"`
	Liquid bool              `json:"liquid"`
	Card   spectrum.Lab      `json:"card"`
}

func (s Sighting) view() calibrate.View {
	return calibrate.View{Thick: s.Thick, Liquid: s.Liquid, Card: s.Card}
}

// ParseCourse reads a saved rescue and refuses one that cannot be.
func ParseCourse(data []byte) (Course, error) {
	var c Course
	decoder := json.NewDecoder(bytes.NewReader(data))
	decoder.DisallowUnknownFields()
	if err := decoder.Decode(&c); err != nil {
		return c, fmt.Errorf("it is no saved rescue, or it is damaged (%w)", err)
	}
	return c, c.validate()
}

func (c Course) validate() error {
	if c.Version != courseVersion {
		return fmt.Errorf("it is a rescue of version %d, and this program reads %d", c.Version, courseVersion)
	}
	if !(c.DoseSpread > 0 && c.DoseSpread <= doseUnknown) {
		return fmt.Errorf("its doses are off by %g; that lies above 0 and at most %g", c.DoseSpread, doseUnknown)
	}
	if err := c.Batch.Validate(); err != nil {
		return err
	}
	if err := c.Target.validate(); err != nil {
		return err
	}
	additions := []*Addition{c.Next}
	for _, e := range c.Events {
		if (e.Added == nil) == (e.Drop == nil) {
			return errors.New("one of its events is neither an addition nor a drop")
		}
		additions = append(additions, e.Added)
		if e.Drop != nil {
			if err := e.Drop.validate(); err != nil {
				return err
			}
		}
	}
	for _, p := range additions {
		if p == nil {
			continue
		}
		grams := []float64{p.UndyedG, p.TakenOutG}
		for _, g := range p.DyesG {
			grams = append(grams, g)
		}
		for _, g := range grams {
			if !(g >= 0 && g <= 1e7) {
				return fmt.Errorf("%g g cannot be added or taken out", g)
			}
		}
	}
	return nil
}

func (s Sighting) validate() error {
	if !s.Colour.Lab.IsPlausible() || !s.Card.IsPlausible() || s.Thick && s.Liquid {
		return errors.New("one of its colours cannot be")
	}
	for i, row := range s.Colour.Cov {
		for k, v := range row {
			if math.IsNaN(v) || math.IsInf(v, 0) || v != s.Colour.Cov[k][i] || i == k && v < 0 {
				return errors.New("the error of one of its colours cannot be")
			}
		}
	}
	return nil
}

// pot is the batch as all events have left it.
type pot struct {
	wax.Batch
	// known is what is known of its doses and dyes.
	known *calibrate.Pot
	// undyedG is what is left in the cupboard; nil for plenty.
	undyedG *float64
}

// replay follows the events.
func (c Course) replay(m *calibrate.Model) (pot, error) {
	known, err := m.Planned(c.Batch.Recipe, c.DoseSpread)
	if err != nil {
		return pot{}, err
	}
	p := pot{Batch: c.Batch, known: known, undyedG: c.Means.UndyedG}
	p.Recipe = known.Recipe
	for _, e := range c.Events {
		if p, err = p.follow(e); err != nil {
			return pot{}, err
		}
	}
	return p, nil
}

// follow is the pot once something happened to it.
func (p pot) follow(e Event) (pot, error) {
	if e.Added != nil {
		return p.after(*e.Added)
	}
	var err error
	if p.known, err = p.known.Sight(e.Drop.view(), e.Drop.Colour); err != nil {
		return pot{}, err
	}
	p.Recipe = p.known.Recipe
	return p, nil
}

// saw reports whether the drop is the last that happened to the pot.
func (c Course) saw(drop Sighting) bool {
	n := len(c.Events)
	return n > 0 && c.Events[n-1].Drop != nil && *c.Events[n-1].Drop == drop
}

// after is the pot once something is added.
func (p pot) after(added Addition) (pot, error) {
	before := p.UndyedG - added.TakenOutG
	if !(before > 0) {
		return pot{}, fmt.Errorf("%g g cannot be taken out of a pot of %g g of wax", added.TakenOutG, p.UndyedG)
	}
	p.UndyedG = before + added.UndyedG
	if p.undyedG != nil {
		left := max(0, *p.undyedG-added.UndyedG)
		p.undyedG = &left
	}
	var dose []wax.Part
	for dye, g := range added.DyesG {
		if g > 0 {
			dose = append(dose, wax.Part{Dye: dye, DoseGPerKg: 1000 * g / p.UndyedG})
		}
	}
	recipe, err := wax.NewRecipe(dose...)
	if err != nil {
		return pot{}, err
	}
	if p.known, err = p.known.Mixed(before/p.UndyedG, recipe); err != nil {
		return pot{}, err
	}
	p.Recipe = p.known.Recipe
	return p, nil
}
