package english

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestPlural(t *testing.T) {
	for n, want := range map[int]string{0: "0 drops", 1: "1 drop", 2: "2 drops", 21: "21 drops"} {
		assert.Equal(t, want, Count(n, "drop", "drops"))
	}
	assert.Equal(t, "was", Plural(1, "was", "were"))
	assert.Equal(t, "were", Plural(0, "was", "were"), "no is followed by a plural: the usage of English, no source")
}

// No comma stands before the last name of a list, as British usage has it (Fowler
// 1926, A Dictionary of Modern English Usage, "Stops", from memory, allows either).
func TestList(t *testing.T) {
	names := []string{"Bracken", "Slate Hill", "Marigold Lane", "Foxglove"}
	for n, want := range []string{"", "Bracken", "Bracken and Slate Hill", "Bracken, Slate Hill and Marigold Lane"} {
		assert.Equal(t, want, And(names[:n]))
		assert.Equal(t, want, AndMore(names[:n], 3))
	}
	assert.Equal(t, "Bracken, Slate Hill or Marigold Lane", Or(names[:3]))
	assert.Equal(t, "Bracken, Slate Hill and 2 more", AndMore(names, 2))
	assert.Equal(t, "Bracken and 3 more", AndMore(names, 1))
}
