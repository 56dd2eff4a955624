package report

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/spectrum"
)

// Centroids of the ISCC-NBS system as display colours: the colours of maximum
// contrast of Kelly 1965 (Color Engineering 3(6)), whose names are ISCC-NBS
// names; values from memory. Ours must end in the same hue, or in the one
// given beside it where our coarser words differ.
func TestColourWordAgreesWithKelly1965(t *testing.T) {
	for _, c := range []struct{ hex, isccNBS, ours string }{
		{"#f2f3f4", "white", "off-white"},
		{"#222222", "black", "black"},
		{"#f3c300", "vivid yellow", "vivid yellow"},
		{"#875692", "strong purple", "purple"},
		{"#f38400", "vivid orange", "vivid orange"},
		{"#a1caf1", "very light blue", "pale blue"},
		{"#be0032", "vivid red", "red"},
		{"#c2b280", "greyish yellow", "greyish yellow"},
		{"#848482", "medium grey", "grey"},
		{"#008856", "vivid green", "green"},
		{"#e68fac", "strong purplish pink", "pink"},
		{"#0067a5", "strong blue", "blue"},
		{"#f99379", "strong yellowish pink", "warm pink"},
		{"#604e97", "strong violet", "violet"},
		{"#f6a600", "vivid orange yellow", "orange"},
		{"#b3446c", "strong purplish red", "purplish red"},
		{"#dcd300", "vivid greenish yellow", "yellow"},
		{"#882d17", "strong reddish brown", "brown"},
		{"#8db600", "vivid yellow green", "yellow-green"},
		{"#654522", "deep yellowish brown", "brown"},
		{"#e25822", "vivid reddish orange", "orange"},
		{"#2b3d26", "dark olive green", "green"},
	} {
		t.Run(c.isccNBS, func(t *testing.T) {
			assert.True(t, strings.HasSuffix(word(t, c.hex), c.ours), word(t, c.hex))
		})
	}
}

// Named colours of CSS Color Module Level 4 (W3C), section 6.1, values from
// memory: the words are ours, and hold the hue (and dark, pale or
// light) of the published name where it has one.
func TestColourWordAgreesWithCSSNames(t *testing.T) {
	for _, c := range []struct{ name, hex, ours string }{
		{"white", "#ffffff", "white"},
		{"black", "#000000", "black"},
		{"gray", "#808080", "grey"},
		{"darkslategray", "#2f4f4f", "dark greyish blue-green"},
		{"ivory", "#fffff0", "off-white"},
		{"snow", "#fffafa", "white"},
		{"pink", "#ffc0cb", "pale pink"},
		{"mistyrose", "#ffe4e1", "very pale warm pink"},
		{"deeppink", "#ff1493", "vivid pink"},
		{"hotpink", "#ff69b4", "pink"},
		{"salmon", "#fa8072", "warm pink"},
		{"red", "#ff0000", "vivid red"},
		{"darkred", "#8b0000", "deep red"},
		{"rosybrown", "#bc8f8f", "warm pink"},
		{"saddlebrown", "#8b4513", "deep brown"},
		{"tan", "#d2b48c", "light brown"},
		{"darkorange", "#ff8c00", "vivid orange"},
		{"peachpuff", "#ffdab9", "pale orange"},
		{"yellow", "#ffff00", "vivid yellow"},
		{"lightyellow", "#ffffe0", "pale yellow"},
		{"olive", "#808000", "olive"},
		{"yellowgreen", "#9acd32", "vivid yellow-green"},
		{"green", "#008000", "green"},
		{"darkgreen", "#006400", "deep green"},
		{"palegreen", "#98fb98", "light green"},
		{"teal", "#008080", "blue-green"},
		{"lightblue", "#add8e6", "pale blue"},
		{"slategray", "#708090", "greyish blue"},
		{"blue", "#0000ff", "vivid blue"},
		{"darkblue", "#00008b", "deep blue"},
		{"navy", "#000080", "deep blue"},
		{"midnightblue", "#191970", "deep blue"},
		{"lavender", "#e6e6fa", "very pale violet"},
		{"mediumpurple", "#9370db", "violet"},
		{"indigo", "#4b0082", "deep violet"},
		{"purple", "#800080", "deep purple"},
		{"plum", "#dda0dd", "light purple"},
	} {
		t.Run(c.name, func(t *testing.T) {
			assert.Equal(t, c.ours, word(t, c.hex))
		})
	}
}

// Every colour a person can name gets one short phrase, also at the edges.
func TestColourWordAlwaysAnswers(t *testing.T) {
	for l := 0.0; l <= 100; l += 5 {
		for a := -120.0; a <= 120; a += 10 {
			for b := -120.0; b <= 120; b += 10 {
				got := ColourWord(spectrum.Lab{L: l, A: a, B: b})
				require.Regexp(t, `^[a-z]+([ -][a-z]+){0,3}$`, got)
			}
		}
	}
}

func word(t *testing.T, hex string) string {
	t.Helper()
	lab, err := spectrum.LabOfHex(hex)
	require.NoError(t, err)
	return ColourWord(lab)
}
