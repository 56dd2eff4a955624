package calibrate

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/diff/fd"

	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// The Jacobian of the colour against central differences (gonum's diff/fd).
func TestRespondSlopes(t *testing.T) {
	m := shelf("Bracken", "Slate")
	recipe := wax.Recipe{{Dye: "Bracken", DoseGPerKg: 0.6}, {Dye: "Slate", DoseGPerKg: 2}}
	mix := ingredients(m.Dyes, recipe)
	for _, thick := range []bool{false, true} {
		f := newFilm(m.theta, mix, testCard.Smooth(), testSurface(), thick).respond(mix)
		for coordinate := range 3 {
			slope := fd.Gradient(nil, func(theta []float64) float64 {
				film := newFilm(theta, mix, testCard.Smooth(), testSurface(), thick)
				return spectrum.D65.Lab(film.outer()).Vector()[coordinate]
			}, m.theta, &fd.Settings{Formula: fd.Central, Step: 1e-5})
			seen := map[int]bool{}
			for i, unknown := range f.index {
				seen[unknown] = true
				assert.InDelta(t, slope[unknown], f.jacobian[i][coordinate], 1e-5, "unknown %d, thick %v", unknown, thick)
			}
			for unknown, v := range slope {
				if !seen[unknown] {
					require.Zero(t, v, "unknown %d is not in the Jacobian but moves the colour", unknown)
				}
			}
		}
	}
}

// Uniform B-splines add up to one everywhere (de Boor 1978, ch. IX, eq. 36:
// from memory), so a constant curve is constant.
func TestBasisPartitionsUnity(t *testing.T) {
	for i := range basis {
		sum := 0.0
		for _, v := range basis[i] {
			sum += v
		}
		assert.InDelta(t, 1, sum, 1e-14, "band %d", i)
	}
}
