package photo

import (
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"math"
	"strings"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/goregular"

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
	return captioned(img, scaleBar{
		says:   fmt.Sprintf("The light on the bare card as fitted, 1:%.1f from its darkest to its brightest place.", r.Quality.LightRatio),
		of:     func(share float64) uint8 { return displayCode(float32(share)) },
		labels: []string{"0 %", "50 %", "100 % of the brightest"},
	})
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
	const ends = 100 * 0.5 / residualGain // percent where grey runs into black and white
	return captioned(img, scaleBar{
		says:   "What the fitted light leaves on the bare card, as a share of it. Drops, print and shadows run into black or white.",
		of:     func(share float64) uint8 { return uint8(math.Round(255 * share)) },
		labels: []string{fmt.Sprintf("-%.0f %%, darker", ends), "0", fmt.Sprintf("+%.0f %%, brighter", ends)},
	})
}

// scaleBar is a bar of greys with labels at even distances, and a sentence on what
// the picture shows.
type scaleBar struct {
	says   string
	of     func(share float64) uint8 // the grey at 0 to 1 along the bar
	labels []string
}

// captioned puts a strip with the scale below a picture.
func captioned(img *image.RGBA, bar scaleBar) image.Image {
	w, h := img.Rect.Dx(), img.Rect.Dy()
	size := max(13, float64(max(w, h))/60)
	line := int(1.5 * size)
	o := &overlay{w: w, h: h, zoom: 1, plain: face(goregular.TTF, 0.8*size)}
	lines := o.broken(bar.says, w-2*line)
	o.RGBA = image.NewRGBA(image.Rect(0, 0, w, h+(len(lines)+3)*line))
	draw.Draw(o.RGBA, o.Rect, image.NewUniform(inkLabel), image.Point{}, draw.Src)
	draw.Draw(o.RGBA, img.Rect, img, image.Point{}, draw.Src)
	for k, words := range lines {
		o.text(o.plain, words, line, h+(k+1)*line, inkPaper)
	}
	top, left, right := h+len(lines)*line+line/2, line, w-line
	for x := left; x < right; x++ {
		grey := bar.of(float64(x-left) / float64(max(right-left-1, 1)))
		o.box(image.Rect(x, top, x+1, top+line), color.RGBA{grey, grey, grey, 255})
	}
	for k, label := range bar.labels {
		wide := font.MeasureString(o.plain, label).Ceil()
		share := float64(k) / float64(len(bar.labels)-1)
		o.text(o.plain, label, left+int(share*float64(right-left-wide)), top+2*line, inkPaper)
	}
	return o.RGBA
}

// broken breaks a sentence into lines no wider than that.
func (o *overlay) broken(says string, wide int) []string {
	var lines []string
	for _, word := range strings.Fields(says) {
		last := len(lines) - 1
		if last >= 0 && font.MeasureString(o.plain, lines[last]+" "+word).Ceil() <= wide {
			lines[last] += " " + word
		} else {
			lines = append(lines, word)
		}
	}
	return lines
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
