package photo

import (
	"image"
	"image/color"
	"math"

	"setshade/internal/plane"
)

// FlatField shows the light on the card as it was fitted: what a bare card would
// look like there, its brightest place white. Outside the card the picture is
// dark grey. It is nil when the light was not fitted.
func (r Reading) FlatField() image.Image {
	if r.light == nil {
		return nil
	}
	brightest := 0.0
	r.eachWhite(func(_, _ int, white [channels]float64) {
		brightest = max(brightest, white[red], white[green], white[blue])
	})
	img := r.blank()
	r.eachWhite(func(x, y int, white [channels]float64) {
		img.SetRGBA(x, y, color.RGBA{
			displayCode(float32(white[red] / brightest)), displayCode(float32(white[green] / brightest)),
			displayCode(float32(white[blue] / brightest)), 255,
		})
	})
	return img
}

// eachWhite calls f with the fitted light of every pixel of the card.
func (r Reading) eachWhite(f func(x, y int, white [channels]float64)) {
	plane.EachRow(r.corners[:], r.picture.W, r.picture.H, func(y, from, to int) {
		row := r.light.row(float64(y)+0.5, r.lightScale)
		for x := from; x < to; x++ {
			var white [channels]float64
			for c := range white {
				white[c] = max(0, horner(&row[c], (float64(x)+0.5)/r.lightScale/r.light.halfW-1))
			}
			f(x, y, white)
		}
	})
}

// residualGain is how many times Residuals enlarges what is left.
const residualGain = 10

// Residuals shows what the fitted light leaves on the bare card, ten times
// enlarged: middle grey where the card is as bright as the fit says, lighter and
// darker where it differs, in colour where the channels differ. Drops, print and
// shadows run into black or white. It is nil when the light was not fitted.
func (r Reading) Residuals() image.Image {
	if r.flat == nil {
		return nil
	}
	img := r.blank()
	shown := func(ratio float32) uint8 {
		const middle = 128
		return uint8(min(max(math.Round(middle+255*residualGain*(float64(ratio)-1)), 0), 255))
	}
	f := r.flat
	for i, in := range f.inside {
		if in {
			img.SetRGBA(f.x0+i%f.w, f.y0+i/f.w, color.RGBA{
				shown(f.ratio[red][i]), shown(f.ratio[green][i]), shown(f.ratio[blue][i]), 255,
			})
		}
	}
	return img
}

// blank is a dark grey picture of the size of the working one.
func (r Reading) blank() *image.RGBA {
	img := image.NewRGBA(image.Rect(0, 0, r.picture.W, r.picture.H))
	for i := range img.Pix {
		img.Pix[i] = 40
		if i%4 == 3 {
			img.Pix[i] = 255
		}
	}
	return img
}
