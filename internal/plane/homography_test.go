package plane

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestJacobianIsTheDerivative(t *testing.T) {
	const h = 1e-5
	p := Point{30, -20}
	j := made.Jacobian(p)
	dx := made.Apply(p.Plus(Point{h, 0})).Minus(made.Apply(p)).Times(1 / h)
	dy := made.Apply(p.Plus(Point{0, h})).Minus(made.Apply(p)).Times(1 / h)
	assert.InDeltaSlice(t, []float64{dx.X, dy.X, dx.Y, dy.Y}, j[:], 1e-3)
}
