package main

import (
	"fmt"
	"strings"

	"setshade/internal/scene"
	"setshade/internal/wax"
	"setshade/swatches"
)

// card is one photograph to make, with its plan.
type card struct {
	name  string
	title string
	state wax.State
	rows  [][]drop
	view  scene.Options
}

// drop is what the maker writes for one drop.
type drop struct {
	parts []amount
	check bool
}

// amount is a dye in the unit it is counted in, for each kg of undyed wax.
type amount struct {
	dye   string
	value float64
}

var undyed = drop{}

func of(dye string, value float64) drop { return drop{parts: []amount{{dye, value}}} }

func (d drop) and(dye string, value float64) drop {
	d.parts = append(d.parts[:len(d.parts):len(d.parts)], amount{dye, value})
	return d
}

// keptBack marks the drop as never to be learned from.
func (d drop) keptBack() drop {
	d.check = true
	return d
}

// ladders are the doses of each dye, in its own unit: five to learn from, then
// those kept back. Liquid drops are clear and soon look black, so their ladders
// are short.
var ladders = []struct {
	dye                         string
	set, liquid                 [5]float64
	setKeptBack, liquidKeptBack []float64
}{
	{"Bracken", [5]float64{0.5, 1, 2.5, 5, 10}, [5]float64{0.1, 0.2, 0.35, 0.5, 0.75}, []float64{1.5, 7}, []float64{0.25}},
	{"Foxglove", [5]float64{0.05, 0.15, 0.4, 1, 2.5}, [5]float64{0.01, 0.02, 0.04, 0.08, 0.16}, []float64{0.25, 1.6}, []float64{0.06}},
	{"Marigold Lane", [5]float64{0.5, 1, 2.5, 5, 10}, [5]float64{0.1, 0.2, 0.35, 0.7, 1}, []float64{1.5, 7}, []float64{0.5}},
	{"Slate Hill", [5]float64{0.03, 0.1, 0.3, 0.75, 1.8}, [5]float64{0.01, 0.02, 0.03, 0.07, 0.13}, []float64{0.2, 1.2}, []float64{0.05}},
	{"Sorrel", [5]float64{3, 8, 20, 50, 120}, [5]float64{0.5, 1, 2.5, 4, 6}, []float64{12, 80}, []float64{3}},
	{"Tidewater", [5]float64{3, 8, 20, 50, 100}, [5]float64{0.5, 1, 2.5, 4, 6}, []float64{12, 70}, []float64{2}},
}

// cards lists every photograph of the demo.
func cards() []card {
	var all []card
	for _, l := range ladders {
		for _, state := range []wax.State{wax.SetState, wax.LiquidState} {
			doses, kept := l.set, l.setKeptBack
			if state == wax.LiquidState {
				doses, kept = l.liquid, l.liquidKeptBack
			}
			drops := []drop{undyed}
			for _, dose := range doses {
				drops = append(drops, of(l.dye, dose))
			}
			for _, dose := range kept {
				drops = append(drops, of(l.dye, dose).keptBack())
			}
			all = append(all, card{
				name:  strings.ToLower(strings.ReplaceAll(l.dye, " ", "-")) + "-" + string(state),
				title: fmt.Sprintf("a ladder of %s, %s", l.dye, state),
				state: state,
				rows:  [][]drop{drops[:4], drops[4:]},
			})
		}
	}
	all = append(all,
		card{name: "mixtures-1", title: "mixtures of two dyes, set", state: wax.SetState, rows: [][]drop{{
			undyed,
			of("Bracken", 1).and("Marigold Lane", 2),
			of("Foxglove", 0.2).and("Tidewater", 10).keptBack(),
			of("Marigold Lane", 1).and("Sorrel", 10),
		}, {
			of("Foxglove", 0.3).and("Slate Hill", 0.1),
			of("Sorrel", 15).and("Tidewater", 15).keptBack(),
			of("Bracken", 2).and("Slate Hill", 0.15).keptBack(),
			of("Foxglove", 0.4).and("Marigold Lane", 2),
		}}},
		card{name: "mixtures-2", title: "mixtures of two dyes, set", state: wax.SetState, rows: [][]drop{{
			undyed,
			of("Marigold Lane", 3).and("Tidewater", 20),
			of("Bracken", 2).and("Foxglove", 0.6).keptBack(),
			of("Slate Hill", 0.2).and("Sorrel", 15),
		}, {
			of("Bracken", 3).and("Tidewater", 12).keptBack(),
			of("Marigold Lane", 4).and("Slate Hill", 0.1).keptBack(),
			of("Foxglove", 0.8).and("Sorrel", 10),
			of("Slate Hill", 0.25).and("Tidewater", 20).keptBack(),
		}}},
		card{name: "overdyed", title: "two drops of the batch that came out too strong", state: wax.SetState, rows: [][]drop{{
			undyed,
			of("Foxglove", 0.9).and("Marigold Lane", 4).keptBack(),
			of("Foxglove", 0.9).and("Marigold Lane", 4).keptBack(),
		}}},
	)
	for i := range all {
		all[i].view = view(i)
	}
	return all
}

// view is how the maker happened to hold her camera for the card of this index.
func view(index int) scene.Options {
	i := float64(index)
	turn := func(step float64) float64 { // somewhere in -1..1, another for each card
		x := i*step + 0.35
		return 2*(x-float64(int(x))) - 1
	}
	return scene.Options{
		Seed:            uint64(1000 + index),
		RotationDegrees: 5 * turn(0.618),
		TiltDegrees:     8 + 5*turn(0.414),
		LightRatio:      1.28 + 0.14*turn(0.732),
		LightTint:       0.015 + 0.012*turn(0.236),
	}
}

// sheet is the card for the renderer.
func (c card) sheet(shelf *scene.Shelf) scene.Sheet {
	s := scene.Sheet{Shelf: shelf, Card: scene.WhiteCard(), State: c.state}
	for _, row := range c.rows {
		var recipes []wax.Recipe
		for _, d := range row {
			recipes = append(recipes, d.recipe())
		}
		s.Rows = append(s.Rows, recipes)
	}
	return s
}

func (d drop) recipe() wax.Recipe {
	var parts []wax.Part
	for _, a := range d.parts {
		parts = append(parts, wax.Part{Dye: a.dye, DoseGPerKg: a.value * gramsOf(dyeNamed(a.dye))})
	}
	r, err := wax.NewRecipe(parts...)
	if err != nil {
		panic("generate: " + err.Error())
	}
	return r
}

// gramsOf is the mass of what the dye is counted in: a chip, a drop, a gram.
func gramsOf(d wax.Dye) float64 {
	if d.Form.Unit() == "" {
		return 1
	}
	return d.UnitMassG
}

func dyeNamed(name string) wax.Dye {
	for _, d := range swatches.Dyes() {
		if d.Name == name {
			return d
		}
	}
	panic("generate: no dye is called " + name)
}
