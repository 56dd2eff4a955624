package workshop

import (
	"encoding/json"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/calibrate"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

func begun() Course {
	return Course{
		Version: courseVersion, Wax: "Harrow Soy", DoseSpread: doseWeighed,
		Batch:  wax.Batch{UndyedG: 800, Recipe: wax.Recipe{{Dye: "Bracken", DoseGPerKg: 3}}, Load: wax.Load{Percent: 8, Per: wax.PerWax}},
		Target: Sighting{Colour: spectrum.Measured{Lab: spectrum.Lab{L: 75, A: 8, B: 10}}, Thick: true},
		Means:  Means{ToleranceDE00: 1},
		Events: []Event{{Added: &Addition{TakenOutG: 200, UndyedG: 600, DyesG: map[string]float64{"Bracken": 0.3}}}},
		Next:   &Addition{UndyedG: 300},
	}
}

// What is saved is read back as it was, and followed: by mass, 600 g at 3 g/kg with
// 0.3 g more in 1200 g is 1.75 g/kg.
func TestCourseIsReadBackAndFollowed(t *testing.T) {
	saved, err := json.Marshal(begun())
	require.NoError(t, err)
	c, err := ParseCourse(saved)
	require.NoError(t, err)
	assert.Equal(t, begun(), c)
	now, err := c.replay(inventedModel(t))
	require.NoError(t, err)
	assert.InDelta(t, 1200, now.UndyedG, 1e-9)
	assert.InDelta(t, 1.75, now.Recipe.Dose("Bracken"), 1e-9)
}

func TestParseCourseRefuses(t *testing.T) {
	for name, change := range map[string]func(*Course){
		"another version":   func(c *Course) { c.Version = 9 },
		"no spread":         func(c *Course) { c.DoseSpread = 0 },
		"no wax":            func(c *Course) { c.Batch.UndyedG = 0 },
		"negative addition": func(c *Course) { c.Next.UndyedG = -1 },
		"empty event":       func(c *Course) { c.Events = []Event{{}} },
		"liquid and thick":  func(c *Course) { c.Target.Liquid = true },
		"crooked error":     func(c *Course) { c.Target.Colour.Cov[0][1] = 1 },
	} {
		c := begun()
		change(&c)
		saved, err := json.Marshal(c)
		require.NoError(t, err)
		_, err = ParseCourse(saved)
		assert.Error(t, err, name)
	}
	for _, text := range []string{"", "{", "[]", `{"version": 1, "mystery": 2}`, `{"version": 1e400}`} {
		_, err := ParseCourse([]byte(text))
		assert.ErrorContains(t, err, "no saved rescue", text)
	}
	c := begun()
	c.Events[0].Added.TakenOutG = 900
	_, err := c.replay(inventedModel(t))
	assert.ErrorContains(t, err, "cannot be taken out")
}

func FuzzParseCourse(f *testing.F) {
	saved, _ := json.Marshal(begun())
	f.Add(saved)
	f.Add([]byte(`{"version": 1, "events": [{}]}`))
	model := inventedModel(f)
	f.Fuzz(func(t *testing.T, data []byte) {
		c, err := ParseCourse(data)
		if err != nil {
			return
		}
		require.NoError(t, c.validate())
		now, err := c.replay(model)
		if err != nil {
			return
		}
		// What it comes to is a batch of numbers, with a shade that is one.
		require.False(t, math.IsNaN(now.TotalG()) || math.IsInf(now.TotalG(), 0), "%+v", now.Batch)
		if s, err := now.shade(model, calibrate.View{Thick: true}); err == nil {
			require.True(t, s.Lab.IsPlausible() && s.Within95 >= 0, "%+v", s)
		}
	})
}
