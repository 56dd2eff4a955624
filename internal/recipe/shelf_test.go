package recipe

import (
	"testing"

	"github.com/stretchr/testify/require"

	"setshade/internal/calibrate"
	"setshade/internal/calibrate/shelftest"
	"setshade/internal/wax"
)

var thick = calibrate.View{Thick: true}

func portioned(t testing.TB, dyes []wax.Dye, undyedG float64) []Ingredient {
	var shelf []Ingredient
	for _, d := range dyes {
		in, err := NewIngredient(d, undyedG)
		require.NoError(t, err)
		shelf = append(shelf, in)
	}
	return shelf
}

// shelfOf40 is a shelf too large to learn quickly: it takes some 20 seconds,
// so only benchmarks use it.
func shelfOf40(b *testing.B) (*calibrate.Model, []wax.Dye) { return shelftest.Random(b, 1, 40) }
