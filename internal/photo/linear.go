package photo

import (
	"image"
	"image/draw"
	"math"

	"github.com/lucasb-eyer/go-colorful"

	"setshade/internal/spectrum"
)

// Channels of a picture in linear light.
const (
	red = iota
	green
	blue
	channels
)

// workPx is the size the picture is averaged down to, in pixels: enough for
// the outline of a drop, and small beside what the decoder has to do.
const workPx = 1.2e6

// Code values from here up are taken as clipped: JPEG spreads a clipped 255
// over the neighbouring codes.
const clippedCode = 254

// picture is a photograph in linear light, 1 for the brightest code value.
// Pixel (x, y) covers [x, x+1) by [y, y+1); its centre is at x+½, y+½.
type picture struct {
	w, h  int
	light [channels][]float32
	// clipped and crushed are the shares of the original pixels, in 1/255,
	// that had a channel at the top or a channel at zero.
	clipped, crushed []uint8
	// scale is how many original pixels one pixel here is wide.
	scale int
	code  code
}

func newPicture(w, h, scale int) *picture {
	p := &picture{w: w, h: h, scale: scale, clipped: make([]uint8, w*h), crushed: make([]uint8, w*h)}
	for c := range p.light {
		p.light[c] = make([]float32, w*h)
	}
	return p
}

// toLinear is the transfer function of sRGB for every code value:
//
//	L = V / 12.92                     V <= 0.04045
//	L = ((V + 0.055) / 1.055)^2.4     above, V = code / 255
//
// Source: IEC 61966-2-1:1999, 5.2.
var toLinear = func() (table [256]float32) {
	for code := range table {
		v := float64(code) / 255
		if v <= 0.04045 {
			table[code] = float32(v / 12.92)
		} else {
			table[code] = float32(math.Pow((v+0.055)/1.055, 2.4))
		}
	}
	return table
}()

// linearPicture averages the image in linear light in square boxes. Averaging
// light, not code values, keeps the mean colour of an uneven box right. Up to
// a box less one pixel at the right and lower edge is left out.
func linearPicture(img image.Image) *picture {
	bounds := img.Bounds()
	scale := int(math.Ceil(math.Sqrt(float64(bounds.Dx()) * float64(bounds.Dy()) / workPx)))
	scale = max(scale, 1)
	p := newPicture(bounds.Dx()/scale, bounds.Dy()/scale, scale)
	_, p.code.luma = img.(*image.YCbCr)
	// draw.Draw has a fast path for each kind of image the decoders return; a
	// strip of rows at a time keeps the copy small.
	rows := rowsRead(scale)
	strip := image.NewRGBA(image.Rect(0, 0, p.w*scale, len(rows)))
	for y := range p.h {
		for line, row := range rows {
			draw.Draw(strip, image.Rect(0, line, p.w*scale, line+1), img, bounds.Min.Add(image.Pt(0, y*scale+row)), draw.Src)
		}
		p.average(strip, y)
	}
	return p
}

// rowsRead lists the rows of a box that are averaged: all of a small one, every
// second of a large one, which takes half the time and leaves its mean within
// the noise that JPEG has blurred over neighbouring rows anyway.
func rowsRead(scale int) []int {
	step := 1
	if scale >= 4 {
		step = 2
	}
	var rows []int
	for row := 0; row < scale; row += step {
		rows = append(rows, row)
	}
	return rows
}

// average fills row y from the strip of the rows read.
func (p *picture) average(strip *image.RGBA, y int) {
	scale, lines := p.scale, strip.Rect.Dy()
	n := scale * lines
	share := 1 / float32(n)
	for x := range p.w {
		var r, g, b float32
		clipped, crushed := 0, 0
		for line := range lines {
			at := line*strip.Stride + 4*x*scale
			pix := strip.Pix[at : at+4*scale]
			for ; len(pix) >= 4; pix = pix[4:] {
				cr, cg, cb := pix[0], pix[1], pix[2]
				r += toLinear[cr]
				g += toLinear[cg]
				b += toLinear[cb]
				if max(cr, cg, cb) >= clippedCode {
					clipped++
				}
				if min(cr, cg, cb) == 0 {
					crushed++
				}
			}
		}
		i := y*p.w + x
		p.light[red][i], p.light[green][i], p.light[blue][i] = r*share, g*share, b*share
		p.clipped[i], p.crushed[i] = uint8(255*clipped/n), uint8(255*crushed/n)
	}
}

// coarse averages the picture further, until its longer side is at most the
// given number of pixels.
func (p *picture) coarse(side int) *picture {
	k := max(1, (max(p.w, p.h)+side-1)/side)
	q := newPicture(p.w/k, p.h/k, p.scale*k)
	for y := range q.h {
		for x := range q.w {
			var sum [channels]float32
			clipped := 0
			for line := y * k; line < (y+1)*k; line++ {
				for i := line*p.w + x*k; i < line*p.w+(x+1)*k; i++ {
					for c := range sum {
						sum[c] += p.light[c][i]
					}
					clipped += int(p.clipped[i])
				}
			}
			for c := range sum {
				q.light[c][y*q.w+x] = sum[c] / float32(k*k)
			}
			q.clipped[y*q.w+x] = uint8(clipped / (k * k))
		}
	}
	return q
}

// luminance is the mean of the channels: card and drops are told apart in it,
// no colour is computed from it.
func (p *picture) luminance(i int) float64 {
	return float64(p.light[red][i]+p.light[green][i]+p.light[blue][i]) / 3
}

// linearOf returns linear-light sRGB, the inverse of spectrum.LabOfLinear.
func linearOf(c spectrum.Lab) [channels]float64 {
	white, d65 := spectrum.D65.White(), colorful.D65
	x := c.XYZ(white)
	r, g, b := colorful.XyzToLinearRgb(x.X/white.X*d65[0], x.Y, x.Z/white.Z*d65[2])
	return [channels]float64{r, g, b}
}
