package photo

import (
	"bytes"
	"fmt"
	"image"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// megapixels are the sizes in which phones write their pictures.
var megapixels = []struct{ of, w, h int }{{12, 4000, 3000}, {48, 8000, 6000}}

func eachSize(b *testing.B, run func(b *testing.B, file []byte)) {
	for _, size := range megapixels {
		b.Run(fmt.Sprintf("%d megapixels", size.of), func(b *testing.B) {
			c := plainCard()
			c.w, c.h = size.w, size.h
			file := c.file(b)
			b.ReportAllocs()
			b.ResetTimer()
			run(b, file)
		})
	}
}

// BenchmarkRead is the whole way from file to colours. Its bytes are all that is
// ever allocated, so the memory in use at any time is no more.
func BenchmarkRead(b *testing.B) {
	eachSize(b, func(b *testing.B, file []byte) {
		for b.Loop() {
			_, err := Read(file, Expect{Drops: 12, Card: whiteCard})
			require.NoError(b, err)
		}
	})
}

// BenchmarkDecode is the decoder alone, beside which Read is measured.
func BenchmarkDecode(b *testing.B) {
	eachSize(b, func(b *testing.B, file []byte) {
		for b.Loop() {
			_, _, err := image.Decode(bytes.NewReader(file))
			require.NoError(b, err)
		}
	})
}

// BenchmarkLinear is the way from code values to light, in sRGB and in a space
// with primaries of its own.
func BenchmarkLinear(b *testing.B) {
	for name, space := range map[string]*colourSpace{"sRGB": sRGB, "Display P3": displayP3} {
		b.Run(name, func(b *testing.B) {
			eachSize(b, func(b *testing.B, file []byte) {
				img, err := decode(file)
				require.NoError(b, err)
				for b.Loop() {
					linearPicture(img, space)
				}
			})
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
