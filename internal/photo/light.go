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
