//go:build unix

package photo

import (
	"bytes"
	"image"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"setshade/internal/card"
	"setshade/internal/picture/picturetest"
	"setshade/internal/scene"
	"setshade/internal/wax"
)

// BenchmarkReadBesideDecode reads and decodes in turn, a plain and a printed card of
// 12 megapixels, and reports the processor time of reading over that of decoding,
// which a busy machine hardly changes. Run it with GOMAXPROCS=1.
func BenchmarkReadBesideDecode(b *testing.B) {
	plain := plainCard()
	plain.w, plain.h = megapixels[0].w, megapixels[0].h
	printed := printedSheet(card.A5, sceneShelf, wax.SetState).Photograph(scene.Options{
		Seed: 2, WidthPx: plain.w, HeightPx: plain.h, RotationDegrees: 10, TiltDegrees: 12,
	})
	for name, file := range map[string][]byte{"plain": plain.file(b), "printed": picturetest.Encoded(b, printed.Image, 90)} {
		b.Run(name, func(b *testing.B) {
			var reading, decoding time.Duration
			for b.Loop() {
				start := processorTime(b)
				_, _, err := image.Decode(bytes.NewReader(file))
				require.NoError(b, err)
				decoded := processorTime(b)
				_, err = Read(file, Expect{Card: whiteCard})
				require.NoError(b, err)
				reading, decoding = reading+processorTime(b)-decoded, decoding+decoded-start
			}
			b.ReportMetric(float64(reading)/float64(decoding), "times-decoder")
		})
	}
}

func processorTime(b *testing.B) time.Duration {
	var used syscall.Rusage
	require.NoError(b, syscall.Getrusage(syscall.RUSAGE_SELF, &used))
	return time.Duration(used.Utime.Nano() + used.Stime.Nano())
}
