package picture

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"setshade/internal/picture/picturetest"
)

// BenchmarkLinear is the way from the code values of 12 megapixels to light, in sRGB
// and in a space with primaries of its own.
func BenchmarkLinear(b *testing.B) {
	file := picturetest.Encoded(b, waves(4000, 3000), 90)
	for name, space := range map[string]*ColourSpace{"sRGB": SRGB, "Display P3": DisplayP3} {
		b.Run(name, func(b *testing.B) {
			img, err := decode(file)
			require.NoError(b, err)
			for b.Loop() {
				FromImage(img, space)
			}
		})
	}
}

// BenchmarkDecodeHEIC decodes a small HEIC; the first picture pays for compiling
// the decoder as well.
func BenchmarkDecodeHEIC(b *testing.B) {
	file, err := os.ReadFile(filepath.Join("testdata", "card.heic"))
	require.NoError(b, err)
	b.ReportAllocs()
	for b.Loop() {
		_, err := decode(file)
		require.NoError(b, err)
	}
}
