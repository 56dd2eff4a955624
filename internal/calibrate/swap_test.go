package calibrate

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestSwappedLabelsAreProposedNotFixed(t *testing.T) {
	_, learned, samples := learnedShelf(t, 0.2, "Bracken", "Slate", "Madder")
	assert.Empty(t, learned.Swaps(samples), "nothing is swapped")

	for name, pair := range map[string][2]int{"two doses of a dye": {2, 3}, "two dyes": {3, 7}} {
		swapped := append([]Sample(nil), samples...)
		a, b := pair[0], pair[1]
		swapped[a].Recipe, swapped[b].Recipe = samples[b].Recipe, samples[a].Recipe
		m, err := Learn(testWax, swapped)
		require.NoError(t, err)
		found := m.Swaps(swapped)
		require.Len(t, found, 1, name)
		assert.Equal(t, [2]int64{samples[a].ID, samples[b].ID}, [2]int64{found[0].A, found[0].B}, name)
		t.Logf("%s: gain %.1f", name, found[0].Gain)
		assert.Equal(t, samples[b].Recipe, swapped[a].Recipe, "the samples stay as they were labelled")
	}

	elsewhere := append([]Sample(nil), samples...)
	elsewhere[2].Recipe, elsewhere[3].Recipe = samples[3].Recipe, samples[2].Recipe
	elsewhere[2].CardID, elsewhere[3].CardID = "a", "b"
	m, err := Learn(testWax, elsewhere)
	require.NoError(t, err)
	assert.Empty(t, m.Swaps(elsewhere), "labels are not swapped between cards")
}
