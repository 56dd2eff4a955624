package plaintext

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestEditDistance(t *testing.T) {
	// "kitten" to "sitting" is 3 and "flaw" to "lawn" is 2: the usual textbook
	// pairs for the Levenshtein distance, from memory.
	for _, c := range []struct {
		a, b string
		want int
	}{{"kitten", "sitting", 3}, {"flaw", "lawn", 2}, {"", "abc", 3}, {"abc", "", 3}, {"Ä", "a", 1}} {
		assert.Equal(t, c.want, editDistance(c.a, c.b), c.a)
		assert.Equal(t, c.want, editDistance(c.b, c.a), c.b)
	}
}

func TestNearest(t *testing.T) {
	known := []string{"Bracken", "Slate Hill", "Mere"}
	assert.Equal(t, "Slate Hill", Nearest("slate hil", known))
	assert.Equal(t, "Bracken", Nearest("BRAKEN", known))
	assert.Equal(t, "", Nearest("Quartz", known))
	assert.Equal(t, "", Nearest("", known))
}
