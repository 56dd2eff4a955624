package plane

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// The forms for many points say what those for one do.
func TestFormsForManyPoints(t *testing.T) {
	m := SquareTo(Quad{{3, 4}, {90, 8}, {84, 70}, {7, 61}})
	e := Ellipse{Centre: Point{10, 20}, SXX: 30, SXY: -7, SYY: 12}
	onRow, within := m.AlongRow(0.3), e.RadiusSquared()
	for x := -1.0; x < 2; x += 0.25 {
		want, got := m.Apply(Point{x, 0.3}), onRow(x)
		assert.InDelta(t, want.X, got.X, 1e-9)
		assert.InDelta(t, want.Y, got.Y, 1e-9)
		p := Point{40 * x, 25}
		assert.InDelta(t, e.Radius(p)*e.Radius(p), within(p), 1e-9)
	}
}
