package store

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

// Pairs from the Unicode Character Database, CaseFolding.txt: the Kelvin sign
// U+212A folds to k, the long s U+017F to s, and the final sigma U+03C2 to
// sigma. Folding is simple (status C and S): ß stays apart from ss.
func TestNameKeyFoldsCase(t *testing.T) {
	for _, tt := range []struct {
		a, b string
		same bool
	}{
		{"Bracken", "bRACKEN", true},
		{"Écru", "éCRU", true},
		{"\u212A2", "k2", true},
		{"\u017Flate", "SLATE", true},
		{"ΟΔΟΣ", "οδος", true},
		{"Weiß", "WEISS", false},
		{"Slate", "Slates", false},
		{"蓝", "藍", false},
	} {
		assert.Equal(t, tt.same, nameKey(tt.a) == nameKey(tt.b), "%s and %s", tt.a, tt.b)
		assert.Equal(t, tt.same, strings.EqualFold(tt.a, tt.b), "%s and %s by the standard library", tt.a, tt.b)
	}
}
