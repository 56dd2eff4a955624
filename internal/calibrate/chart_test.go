package calibrate

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
)

// One pattern a rule, after the zones of the Western Electric handbook (1956),
// pp. 25-27, and its mirror image.
func TestZoneRules(t *testing.T) {
	for _, c := range []struct {
		rule   Rule
		points []float64
	}{
		{BeyondThree, []float64{0.1, -0.2, 3.1}},
		{TwoOfThree, []float64{-0.3, 2.1, 0.4, 2.2}},
		{FourOfFive, []float64{-0.4, 1.1, 1.2, -0.3, 1.3, 1.6}},
		{EightInARow, []float64{-0.1, 0.1, 0.2, 0.3, 0.2, 0.5, 0.1, 0.9, 0.2}},
	} {
		last := len(c.points) - 1
		assert.Equal(t, []Alarm{{c.rule, last, true}}, Alarms(c.points), c.rule.String())
		assert.Empty(t, Alarms(c.points[:last]), "%s needs its last point", c.rule)
		mirrored := make([]float64, len(c.points))
		for i, p := range c.points {
			mirrored[i] = -p
		}
		assert.Equal(t, []Alarm{{c.rule, last, false}}, Alarms(mirrored), c.rule.String())
	}
	assert.Empty(t, Alarms([]float64{2.1, -2.1, 0, 1.1, 1.1, -1.1, 1.1}), "both sides count apart")
}

// Champ and Woodall 1987, "Exact results for Shewhart control charts with
// supplementary runs rules", Technometrics 29:393: with nothing wrong, the four
// rules together fire for the first time after 91.75 points on average (from
// memory).
func TestAverageRunLength(t *testing.T) {
	random := rand.New(rand.NewPCG(8, 8))
	const charts = 1000
	sum := 0
	for range charts {
		var points []float64
		for {
			points = append(points, random.NormFloat64())
			recent := points[max(0, len(points)-8):]
			alarms := Alarms(recent)
			if len(alarms) > 0 && alarms[len(alarms)-1].At == len(recent)-1 {
				break
			}
		}
		sum += len(points)
	}
	// The standard error of the mean is about 2.8.
	assert.InDelta(t, 91.75, float64(sum)/charts, 8.5)
}
