package scene

import (
	"bytes"
	"image/jpeg"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/wax"
)

// White stays white, and sRGB's red is code 234, 51, 35 in Display P3 (W3C CSS
// Color 4, section 10.4 gives the same red as color(display-p3 0.9175 0.2003
// 0.1387)).
func TestDisplayP3(t *testing.T) {
	encode := encoder(0)
	levels := func(c colour) [3]uint8 {
		c = DisplayP3.own(c)
		return [3]uint8{encode(c[0]), encode(c[1]), encode(c[2])}
	}
	assert.Equal(t, [3]uint8{255, 255, 255}, levels(colour{1, 1, 1}))
	assert.Equal(t, [3]uint8{234, 51, 35}, levels(colour{1, 0, 0}))
	assert.Equal(t, colour{1, 0, 0}, SRGB.own(colour{1, 0, 0}))
}

// An S-curve keeps black, the middle and white, and never falls.
func TestToneCurve(t *testing.T) {
	plain, bent := encoder(0), encoder(0.3)
	last := uint8(0)
	for i := range 1001 {
		light := float64(i) / 1000
		v, w := plain(light), bent(light)
		assert.GreaterOrEqual(t, w, last)
		last = w
		switch {
		case v > 135 && v < 250:
			assert.Greater(t, w, v)
		case v > 5 && v < 120:
			assert.Less(t, w, v)
		}
	}
	assert.Equal(t, uint8(0), bent(0))
	assert.Equal(t, uint8(255), bent(1))
}

// A picture in Display P3 carries its profile and is whole; one in sRGB carries
// none.
func TestWriteJPEGEmbedsTheProfile(t *testing.T) {
	s := Sheet{Shelf: RandomShelf(soy, 1, 1), Card: WhiteCard(), State: wax.SetState, Rows: [][]wax.Recipe{{nil}}}
	for profile, embedded := range map[Profile]bool{SRGB: false, DisplayP3: true} {
		photo := s.Photograph(Options{WidthPx: 80, HeightPx: 60, Profile: profile})
		var file bytes.Buffer
		require.NoError(t, photo.WriteJPEG(&file, 90))
		assert.Equal(t, embedded, bytes.Contains(file.Bytes(), []byte("ICC_PROFILE\x00\x01\x01")))
		if embedded {
			assert.True(t, bytes.Contains(file.Bytes(), DisplayP3.ICC()))
		}
		_, err := jpeg.Decode(&file)
		require.NoError(t, err)
	}
}
