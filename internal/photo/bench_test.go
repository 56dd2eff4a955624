package photo

import (
	"bytes"
	"image"
	"testing"
)

// twelveMegapixels is a JPEG as a phone writes it.
func twelveMegapixels(b *testing.B) []byte {
	c := plainCard()
	c.w, c.h = 4000, 3000
	return c.file(b)
}

func BenchmarkRead12Megapixels(b *testing.B) {
	file := twelveMegapixels(b)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Read(file, Expect{Drops: 12, Card: whiteCard}); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkDecode12Megapixels(b *testing.B) {
	file := twelveMegapixels(b)
	b.ReportAllocs()
	for b.Loop() {
		if _, _, err := image.Decode(bytes.NewReader(file)); err != nil {
			b.Fatal(err)
		}
	}
}
