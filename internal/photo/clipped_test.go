package photo

import (
	"bytes"
	"image"
	"testing"

	"github.com/stretchr/testify/require"

	"setshade/internal/card"
	"setshade/internal/picture"
	"setshade/internal/scene"
	"setshade/internal/wax"
)

// inDisplayP3 writes a picture that was clipped in sRGB in the code values of Display P3.
func inDisplayP3(img *image.RGBA) *image.RGBA {
	out := image.NewRGBA(img.Rect)
	for i := 0; i < len(img.Pix); i += 4 {
		var light [3]float64
		for c := range light {
			light[c] = picture.SRGBCurve(float64(img.Pix[i+c]) / 255)
		}
		for c, row := range [3][3]float64{
			{0.8224619688, 0.1775380312, 0}, {0.0331941989, 0.9668058011, 0}, {0.0170826307, 0.0723974407, 0.9105199286},
		} {
			out.Pix[i+c] = uint8(255*picture.SRGBCode(row[0]*light[0]+row[1]*light[1]+row[2]*light[2]) + 0.5)
		}
		out.Pix[i+3] = 255
	}
	return out
}

// A card of which a channel was clipped before the file was turned into a wider space is
// refused as overexposed although no code value is at its end; one that was not clipped
// is read. Drops were up to 7 dE00 off. (Rendered.)
func TestRenderedClippedBeforeItWasConverted(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		exposure, kelvin, ratio, tint float64
		clipped                       bool
	}{
		{1.1, 3500, 1.25, 0, true}, {1.1, 2700, 1.25, 0, true}, {1.1, 2700, 1.05, 0, true},
		{0.9, 0, 1.25, 0, false}, {0.93, 3500, 1.4, 0.08, false}, {0.93, 2700, 1.1, 0.08, false},
	} {
		sheet := printedSheet(card.A5, sceneShelf, wax.SetState)
		truth := sheet.Photograph(scene.Options{
			Seed: 3, WidthPx: 800, HeightPx: 600, Exposure: c.exposure, Kelvin: c.kelvin, LightRatio: c.ratio, LightTint: c.tint,
		})
		truth.Image, truth.Profile = inDisplayP3(truth.Image), scene.DisplayP3
		var file bytes.Buffer
		require.NoError(t, truth.WriteJPEG(&file, 92))
		_, err := Read(file.Bytes(), Expect{Rows: []int{5, 5, 5}, Card: truth.Card})
		if c.clipped {
			require.ErrorContains(t, err, "of the card is overexposed", "%+v", c)
		} else {
			require.NoError(t, err, "%+v", c)
		}
	}
}
