package photo

import (
	"bytes"
	"fmt"
	"image"
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
