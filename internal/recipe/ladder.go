package recipe

import (
	"errors"
	"fmt"
	"math"

	"setshade/internal/calibrate"
	"setshade/internal/shade"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// ErrSameShade is returned when the two ends of a ladder look the same.
var ErrSameShade = errors.New("both ends of the ladder have the same shade; choose two that differ")

// evenWithin is how far the steps of a ladder may differ, in dE00.
const evenWithin = 0.01

// Ladder returns the shades of n tints from one recipe to another, both
// included, with the same dE00 between each and the next, to 0.01. The doses
// lie on a straight line:
//
//	c(t) = (1 - t) c_from + t c_to,   0 <= t <= 1
//
// so a ladder from undyed wax to a recipe keeps its dyes in proportion. n is
// 2..100. It returns an error when a dye has not been learned, and ErrSameShade.
func Ladder(m *calibrate.Model, from, to wax.Recipe, n int, view calibrate.View) ([]shade.Shade, error) {
	if n < 2 || n > 100 {
		return nil, fmt.Errorf("a ladder of %d tints cannot be; choose 2 to 100", n)
	}
	l, err := newLine(m, from, to, view)
	if err != nil {
		return nil, err
	}
	places, err := l.even(n)
	if err != nil {
		return nil, err
	}
	out := make([]shade.Shade, n)
	for i, u := range places {
		recipe, err := l.recipe(u)
		if err != nil {
			return nil, err
		}
		if out[i], err = shade.Of(m, recipe, view); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// line is a straight line of recipes. Its places u in 0..1 are spread so that
// they are close where shades change fast, at either end:
//
//	t = u³ (10 - 15 u + 6 u²)
type line struct {
	model    *calibrate.Model
	from, to wax.Recipe
	view     calibrate.View
	marks    [marks + 1]spectrum.Lab // at even places
}

const marks = 1024

func newLine(m *calibrate.Model, from, to wax.Recipe, view calibrate.View) (*line, error) {
	for _, r := range []wax.Recipe{from, to} {
		if _, err := wax.NewRecipe(r...); err != nil {
			return nil, err
		}
		if _, err := m.Lab(r, view); err != nil {
			return nil, err
		}
	}
	l := &line{model: m, from: from, to: to, view: view}
	for i := range l.marks {
		l.marks[i] = l.lab(float64(i) / marks)
	}
	return l, nil
}

func (l *line) recipe(u float64) (wax.Recipe, error) {
	t := u * u * u * (10 + u*(-15+6*u))
	doses := map[string]float64{}
	for _, p := range l.from {
		doses[p.Dye] += (1 - t) * p.DoseGPerKg
	}
	for _, p := range l.to {
		doses[p.Dye] += t * p.DoseGPerKg
	}
	var parts []wax.Part
	for dye, dose := range doses {
		if dose > 0 {
			parts = append(parts, wax.Part{Dye: dye, DoseGPerKg: dose})
		}
	}
	return wax.NewRecipe(parts...)
}

func (l *line) lab(u float64) spectrum.Lab {
	recipe, err := l.recipe(u)
	if err == nil {
		var lab spectrum.Lab
		if lab, err = l.model.Lab(recipe, l.view); err == nil {
			return lab
		}
	}
	panic("recipe: the ends of the line were checked: " + err.Error())
}

// even finds places with equal steps, by bisection over the step: too large a
// step leaves too little for the last.
func (l *line) even(n int) ([]float64, error) {
	length := 0.0
	for i := range marks {
		length += spectrum.DE00(l.marks[i], l.marks[i+1])
	}
	if length < evenWithin {
		return nil, ErrSameShade
	}
	end := l.marks[marks]
	var places []float64
	for low, high := 0.0, 2*length; high-low > 1e-9*length; {
		step := (low + high) / 2
		walked, last := l.walk(n-1, step)
		if left := spectrum.DE00(last, end); len(walked) == n-1 && left >= step {
			low = step
			places = walked
		} else {
			high = step
		}
	}
	places = append(places, 1)
	first := spectrum.DE00(l.marks[0], l.lab(places[1]))
	if last := spectrum.DE00(l.lab(places[n-2]), end); math.Abs(last-first) > evenWithin {
		return nil, fmt.Errorf("no %d even steps lead from one end of this ladder to the other, since its shades turn back; choose ends that are nearer", n-1)
	}
	return places, nil
}

// walk takes steps of a given dE00 from the start and returns the places it
// comes to, at most count, and the last shade; fewer when the line ends.
func (l *line) walk(count int, step float64) ([]float64, spectrum.Lab) {
	places, at := []float64{0}, l.marks[0]
	for len(places) < count {
		here := places[len(places)-1]
		mark := int(here*marks) + 1
		for mark <= marks && spectrum.DE00(at, l.marks[mark]) < step {
			mark++
		}
		if mark > marks {
			break
		}
		low, high := max(here, float64(mark-1)/marks), float64(mark)/marks
		for range 40 {
			if middle := (low + high) / 2; spectrum.DE00(at, l.lab(middle)) < step {
				low = middle
			} else {
				high = middle
			}
		}
		places, at = append(places, high), l.lab(high)
	}
	return places, at
}
