package photo

import (
	"setshade/internal/picture"
	"setshade/internal/plane"
	"setshade/internal/spectrum"
)

// Channels of linear light, short for those of picture.
const (
	red      = picture.Red
	green    = picture.Green
	blue     = picture.Blue
	channels = picture.Channels
)

// Linear sRGB to X, Y, Z with white at Y = 1, and back (IEC 61966-2-1:1999, clause 5.2,
// with the digits of its amendment).
var (
	xyzOfLinear = picture.Matrix{{0.4123908, 0.3575843, 0.1804808}, {0.2126390, 0.7151687, 0.0721923}, {0.0193308, 0.1191948, 0.9505322}}
	linearOfXYZ = picture.Matrix{{3.2409699, -1.5373832, -0.4986108}, {-0.9692436, 1.8759675, 0.0415551}, {0.0556301, -0.2039770, 1.0569715}}
)

// luminanceOf is the Y of linear sRGB.
func luminanceOf(light [channels]float64) float64 {
	return xyzOfLinear[1][red]*light[red] + xyzOfLinear[1][green]*light[green] + xyzOfLinear[1][blue]*light[blue]
}

// linearOf returns linear-light sRGB, the inverse of spectrum.LabOfLinear.
func linearOf(c spectrum.Lab) [channels]float64 {
	r, g, b := c.Linear()
	return [channels]float64{r, g, b}
}

// centreAt is the middle of a pixel, by its index in a picture so wide.
func centreAt(i int32, wide int) plane.Point {
	w := int32(wide)
	y := i / w
	return plane.Point{X: float64(i-y*w) + 0.5, Y: float64(y) + 0.5}
}

// lightAt is the luminance between pixel centres, bilinear; beyond the edge of
// the picture that of the nearest place within.
func lightAt(p *picture.Picture, at plane.Point) float64 {
	x, y := min(max(at.X-0.5, 0), float64(p.W-1)), min(max(at.Y-0.5, 0), float64(p.H-1))
	ix, iy := min(int(x), p.W-2), min(int(y), p.H-2)
	fx, fy := x-float64(ix), y-float64(iy)
	i := iy*p.W + ix
	top := p.Luminance(i)*(1-fx) + p.Luminance(i+1)*fx
	low := p.Luminance(i+p.W)*(1-fx) + p.Luminance(i+p.W+1)*fx
	return top*(1-fy) + low*fy
}

func holds(p *picture.Picture, at plane.Point) bool {
	return at.X >= 0 && at.Y >= 0 && at.X < float64(p.W) && at.Y < float64(p.H)
}
