package scene

import (
	"bytes"
	"image/jpeg"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// smallSheet is two rows of three and two drops, undyed first.
func smallSheet(state wax.State) Sheet {
	s := RandomShelf(soy, 8, 4)
	row := func(doses ...float64) (out []wax.Recipe) {
		for i, dose := range doses {
			out = append(out, recipe(s.Dyes[i].Name, dose))
		}
		return out
	}
	return Sheet{Shelf: s, Card: WhiteCard(), State: state,
		Rows: [][]wax.Recipe{append([]wax.Recipe{nil}, row(0.02, 0.07)...), row(0.03, 0.13)}}
}

// plain leaves out all that hides the truth.
var plain = Options{Seed: 2, WidthPx: 600, HeightPx: 450, RotationDegrees: -4, TiltDegrees: 12,
	LightRatio: 1, Noise: -1, Highlight: -1, Shadow: -1}

// What the picture shows over the middle of each drop, and beside them, is the
// truth, but for the exposure and 8 bits.
func TestPictureShowsTheTruth(t *testing.T) {
	for _, state := range []wax.State{wax.SetState, wax.LiquidState} {
		photo := smallSheet(state).Photograph(plain)
		require.Len(t, photo.Drops, 5)
		assert.Less(t, spectrum.DE00(photo.Card, shown(photo, photo.ToPicture.Map(Point{}))), 0.6)
		for _, d := range photo.Drops {
			assert.Less(t, spectrum.DE00(d.Middle, shownMiddle(photo, d)), 0.5, "drop %d, %s", d.Number, d.Recipe)
			assert.Equal(t, d.Lab, spectrum.D65.Lab(d.Reflectance))
		}
	}
}

// shown returns the colour of a pixel, with the usual exposure taken out.
func shown(photo Photo, p Point) spectrum.Lab {
	r, g, b := photo.Card.Linear()
	gain := Options{}.exposure() / max(r, g, b)
	c := photo.Image.RGBAAt(int(p.X), int(p.Y))
	l := linear(c.R, c.G, c.B)
	return spectrum.LabOfLinear(l[0]/gain, l[1]/gain, l[2]/gain)
}

// shownMiddle is the mean light over the middle of a drop, as Middle is of the truth.
func shownMiddle(photo Photo, d Truth) spectrum.Lab {
	const wide = 0.35
	var sum [3]float64
	n, reach := 0.0, wide*d.RadiusPx
	for y := -reach; y <= reach; y++ {
		for x := -reach; x <= reach; x++ {
			if math.Hypot(x, y) < reach {
				r, g, b := shown(photo, Point{d.CentrePx.X + x, d.CentrePx.Y + y}).Linear()
				sum[0], sum[1], sum[2], n = sum[0]+r, sum[1]+g, sum[2]+b, n+1
			}
		}
	}
	return spectrum.LabOfLinear(sum[0]/n, sum[1]/n, sum[2]/n)
}

// linear decodes sRGB (IEC 61966-2-1), by way of a colour of the spectrum package.
func linear(red, green, blue uint8) [3]float64 {
	const digits = "0123456789abcdef"
	hex := []byte("#")
	for _, v := range []uint8{red, green, blue} {
		hex = append(hex, digits[v>>4], digits[v&15])
	}
	c, err := spectrum.LabOfHex(string(hex))
	if err != nil {
		panic(err)
	}
	r, g, b := c.Linear()
	return [3]float64{r, g, b}
}

func TestSameSeedSamePicture(t *testing.T) {
	o := Options{Seed: 7, WidthPx: 320, HeightPx: 240}
	first, again := smallSheet(wax.SetState).Photograph(o), smallSheet(wax.SetState).Photograph(o)
	assert.True(t, bytes.Equal(first.Image.Pix, again.Image.Pix))
	assert.Equal(t, first.Drops, again.Drops)
	o.Seed++
	assert.False(t, bytes.Equal(first.Image.Pix, smallSheet(wax.SetState).Photograph(o).Image.Pix))
}

// Drops lie apart, on the card, and in reading order.
func TestDropsLieApartOnTheCard(t *testing.T) {
	for seed := range uint64(30) {
		sheet := smallSheet(wax.SetState)
		st := newStage(sheet, Options{Seed: seed}, newSeeded(seed))
		for i, d := range st.drops {
			assert.Greater(t, st.insideCard(d.middle), d.radiusMM*1.1)
			for _, other := range st.drops[:i] {
				x, y := d.middle.X-other.middle.X, d.middle.Y-other.middle.Y
				assert.Greater(t, x*x+y*y, (d.radiusMM+other.radiusMM)*(d.radiusMM+other.radiusMM))
			}
		}
	}
}

func TestViewKeepsTheCardInThePicture(t *testing.T) {
	for _, degrees := range []float64{-20, 0, 7} {
		for _, tilt := range []float64{0, 15, 30} {
			h := Options{RotationDegrees: degrees, TiltDegrees: tilt}.view(corners(Point{120, 70}), Point{120, 70}, Point{1600, 1200})
			for _, c := range corners(Point{120, 70}) {
				p := h.Map(c)
				assert.True(t, p.X > 0 && p.X < 1600 && p.Y > 0 && p.Y < 1200, "%v", p)
				back := h.Inverse().Map(p)
				assert.InDelta(t, c.X, back.X, 1e-9)
				assert.InDelta(t, c.Y, back.Y, 1e-9)
			}
		}
	}
}

// The light on the bare card spans the ratio asked for, and nothing is lost at
// either end of the scale.
func TestLightAndExposure(t *testing.T) {
	for seed := range uint64(8) {
		o := Options{Seed: seed, LightRatio: 1.5}
		st := newStage(smallSheet(wax.SetState), o, newSeeded(seed))
		low, high := 1.0, 0.0
		for _, c := range corners(st.size) {
			v := st.lamp.on(c)[1]
			low, high = min(low, v), max(high, v)
		}
		assert.InDelta(t, 1.5, high/low, 0.01)
		assert.InDelta(t, 1, high, 0.01)
		assert.InDelta(t, 0.82, st.exposure*max(st.inks[0][0], st.inks[0][1], st.inks[0][2]), 1e-9)
	}
}

func TestJPEG(t *testing.T) {
	var b bytes.Buffer
	photo := smallSheet(wax.LiquidState).Photograph(Options{WidthPx: 200, HeightPx: 150})
	require.NoError(t, photo.WriteJPEG(&b, 85))
	decoded, err := jpeg.Decode(&b)
	require.NoError(t, err)
	assert.Equal(t, photo.Image.Bounds(), decoded.Bounds())
	assert.Len(t, photo.CornersPx(), 4)
}

func BenchmarkPhotograph(b *testing.B) {
	sheet := smallSheet(wax.SetState)
	for b.Loop() {
		sheet.Photograph(Options{Seed: 1, RotationDegrees: 3, TiltDegrees: 10})
	}
}

func TestViewFillsThePictureAsAsked(t *testing.T) {
	card, picture := Point{210, 148}, Point{1600, 1200}
	for _, turn := range []float64{0, 30, 200} {
		h := Options{RotationDegrees: turn, TiltDegrees: 20, Fills: 0.25}.view(corners(card), card, picture)
		assert.InDelta(t, 0.25, h.area(card)/(picture.X*picture.Y), 1e-9)
	}
	full := Options{Fills: 0.95}.view(corners(card), card, picture)
	assert.InDelta(t, 0.985*0.985*(4.0/3)/(210.0/148), full.area(card)/(picture.X*picture.Y), 1e-9, "as far as it fits in")
}
