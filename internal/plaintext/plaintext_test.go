package plaintext

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

// Pairs from the Unicode Character Database, CaseFolding.txt: the Kelvin sign
// U+212A folds to k, the long s U+017F to s, and the final sigma U+03C2 to
// sigma. Folding is simple (status C and S): ß stays apart from ss.
func TestFoldAsTheDatabaseOfCharacters(t *testing.T) {
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
		assert.Equal(t, tt.same, Fold(tt.a) == Fold(tt.b), "%s and %s", tt.a, tt.b)
		assert.Equal(t, tt.same, strings.EqualFold(tt.a, tt.b), "%s and %s by the standard library", tt.a, tt.b)
	}
}

// UAX #15, figures 3 and 4: canonical equivalents have one composed form, of which the
// last pair is an Ångström sign; the ring of a Hangul syllable is from table 4 there.
func TestOneNameHoweverItIsTyped(t *testing.T) {
	for composed, other := range map[string]string{
		"Caf\u00e9": "Cafe\u0301", "\u1e9b\u0323": "\u017f\u0323\u0307", "\u00c5": "\u212b", "\uac00": "\u1100\u1161",
	} {
		assert.Equal(t, composed, Clean(other))
		assert.True(t, Same(composed, other), composed)
	}
	assert.True(t, Same("CAFE\u0301", "caf\u00e9"))
	assert.False(t, Same("Cafe", "Caf\u00e9"))
}

// The characters of direction are those of UAX #9, table 4; of no width those of the
// Unicode Character Database, UnicodeData.txt, general category Cf.
func TestWhatIsHidden(t *testing.T) {
	for _, r := range "\x00\x1b\x7f\u009b\u00ad\u061c\u200b\u200e\u200f\u202a\u202e\u2028\u2060\u2066\u2069\ufeff\U000e0041" {
		assert.True(t, IsHidden(r), "%U", r)
		assert.Equal(t, "a\ufffdb", Clean("a"+string(r)+"b"), "%U", r)
	}
	family := "\U0001f469\u200d\U0001f467" // joined to one emoji
	for _, text := range []string{"Écru n° 3", "Вереск", "蓝靛", "می\u200cخواهم", family, "two\tparts\r\nof a note"} {
		assert.Equal(t, text, Clean(text))
	}
	assert.True(t, IsHidden('\n'))
	assert.Equal(t, "a b\ufffd[31m.jpg", Name(" a\n b\x1b[31m.jpg"))
	assert.LessOrEqual(t, len(Name(strings.Repeat("é", 300))), 255)
}
