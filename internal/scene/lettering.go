package scene

import (
	"fmt"
	"image"
	"math"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"

	"setshade/internal/card"
)

// lettering is a line of print as a picture.
type lettering struct {
	bounds  card.Rect
	picture *image.Alpha
}

// letterPixels is how many pixels of lettering make a mm.
const letterPixels = 12.0

// newLettering draws a line of print. Its letters are those of the Go fonts, which
// stand in for Helvetica.
func newLettering(t card.Text) lettering {
	file := goregular.TTF
	if t.Bold {
		file = gobold.TTF
	}
	letters, err := opentype.Parse(file)
	if err != nil {
		panic(fmt.Sprintf("scene: the Go fonts are sound: %v", err))
	}
	face, err := opentype.NewFace(letters, &opentype.FaceOptions{Size: t.SizeMM * letterPixels, DPI: 72})
	if err != nil {
		panic(fmt.Sprintf("scene: no letters of %g mm: %v", t.SizeMM, err))
	}
	height := face.Metrics()
	size := image.Pt(font.MeasureString(face, t.Words).Ceil(), (height.Ascent + height.Descent).Ceil())
	picture := image.NewAlpha(image.Rectangle{Max: size})
	drawer := font.Drawer{Dst: picture, Src: image.Opaque, Face: face, Dot: fixed.Point26_6{Y: height.Ascent}}
	drawer.DrawString(t.Words)

	corner := card.Point{X: t.At.X, Y: t.At.Y - float64(height.Ascent)/64/letterPixels}
	return lettering{card.Rect{Min: corner, Max: card.Point{
		X: corner.X + float64(size.X)/letterPixels,
		Y: corner.Y + float64(size.Y)/letterPixels,
	}}, picture}
}

// covers averages the picture over a pixel, of which soft is half the width in mm.
func (l lettering) covers(p card.Point, soft float64) float64 {
	if !within(l.bounds, p, soft) {
		return 0
	}
	x, y := (p.X-l.bounds.Min.X)*letterPixels, (p.Y-l.bounds.Min.Y)*letterPixels
	half := soft * letterPixels
	area := image.Rect(int(math.Floor(x-half)), int(math.Floor(y-half)), int(math.Ceil(x+half)), int(math.Ceil(y+half)))
	sum := 0
	inside := area.Intersect(l.picture.Rect)
	for row := inside.Min.Y; row < inside.Max.Y; row++ {
		for _, a := range l.picture.Pix[l.picture.PixOffset(inside.Min.X, row):][:inside.Dx()] {
			sum += int(a)
		}
	}
	return float64(sum) / 255 / float64(area.Dx()*area.Dy())
}
