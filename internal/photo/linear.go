package photo

import (
	"encoding/binary"
	"image"
	"image/color"
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

// picture is a photograph in linear light of sRGB's primaries, 1 for the brightest
// code value. A file of a wider colour space holds colours that sRGB can't; they
// have negative amounts and are kept.
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

// linearPicture averages the image in linear light in square boxes. Averaging
// light, not code values, keeps the mean colour of an uneven box right. Up to
// a box less one pixel at the right and lower edge is left out.
func linearPicture(img image.Image, space *colourSpace) *picture {
	bounds := img.Bounds()
	scale := int(math.Ceil(math.Sqrt(float64(bounds.Dx()) * float64(bounds.Dy()) / workPx)))
	scale = max(scale, 1)
	p := newPicture(bounds.Dx()/scale, bounds.Dy()/scale, scale)
	p.code.space = space
	if coded, ok := img.(*image.YCbCr); ok {
		p.code.luma = true
		p.averageCoded(coded)
		return p
	}
	// draw.Draw has a fast path for each kind of image the decoders return; a
	// strip of rows at a time keeps the copy small.
	rows := rowsRead(scale)
	strip := newStrip(img, image.Rect(0, 0, p.w*scale, len(rows)))
	for y := range p.h {
		for line, row := range rows {
			draw.Draw(strip, image.Rect(0, line, p.w*scale, line+1), img, bounds.Min.Add(image.Pt(0, y*scale+row)), draw.Src)
		}
		p.average(strip, y)
	}
	return p
}

// newStrip holds pixels of as many bits as the image has.
func newStrip(img image.Image, r image.Rectangle) draw.Image {
	switch img.(type) {
	case *image.RGBA64, *image.NRGBA64:
		return image.NewRGBA64(r)
	}
	return image.NewRGBA(r)
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

// averageCoded fills the picture from luma and chroma as the file has them. Of a
// large box every second row and column is read: the chroma of files mostly has no
// more (see rowsRead).
func (p *picture) averageCoded(img *image.YCbCr) {
	read := rowsRead(p.scale)
	n := len(read) * len(read) // the box is square
	corner := img.Rect.Min
	chroma := make([]int32, p.w*p.scale) // where a column's chroma stands in its row
	for x := range chroma {
		chroma[x] = int32(img.COffset(corner.X+x, corner.Y) - img.COffset(corner.X, corner.Y))
	}
	light := &p.code.space.light8
	boxes := make([]boxSum, p.w)
	for y := range p.h {
		clear(boxes)
		for _, line := range read {
			row := corner.Y + y*p.scale + line
			at := img.COffset(corner.X, row)
			luma, blue, red := img.Y[img.YOffset(corner.X, row):], img.Cb[at:], img.Cr[at:]
			for x := range boxes {
				box := &boxes[x]
				for _, column := range read {
					i := x*p.scale + column
					k := chroma[i]
					r, g, b := color.YCbCrToRGB(luma[i], blue[k], red[k])
					box.add(r, g, b, light)
				}
			}
		}
		for x := range boxes {
			p.set(y*p.w+x, &boxes[x], n)
		}
	}
}

// average fills row y from the strip of the rows read.
func (p *picture) average(strip draw.Image, y int) {
	space, lines := p.code.space, strip.Bounds().Dy()
	n := p.scale * lines
	for x := range p.w {
		var box boxSum
		for line := range lines {
			switch strip := strip.(type) {
			case *image.RGBA:
				box.add8(strip.Pix[line*strip.Stride+4*x*p.scale:][:4*p.scale], &space.light8)
			case *image.RGBA64:
				box.add16(strip.Pix[line*strip.Stride+8*x*p.scale:][:8*p.scale], &space.light12)
			}
		}
		p.set(y*p.w+x, &box, n)
	}
}

// boxSum adds up the light of a box in the file's own primaries, and counts its
// pixels with a channel at the top or at zero.
type boxSum struct {
	r, g, b          float32
	clipped, crushed int
}

func (s *boxSum) add8(pix []uint8, light *[channels]*[256]float32) {
	for ; len(pix) >= 4; pix = pix[4:] {
		s.add(pix[0], pix[1], pix[2], light)
	}
}

func (s *boxSum) add(r, g, b uint8, light *[channels]*[256]float32) {
	s.r += light[red][r]
	s.g += light[green][g]
	s.b += light[blue][b]
	if max(r, g, b) >= clippedCode {
		s.clipped++
	}
	if min(r, g, b) == 0 {
		s.crushed++
	}
}

func (s *boxSum) add16(pix []uint8, light *[channels]*[4096]float32) {
	const clipped, step = clippedCode << 8, 16 // codes of 16 bits to a step of 12
	for ; len(pix) >= 8; pix = pix[8:] {
		r, g, b := binary.BigEndian.Uint16(pix), binary.BigEndian.Uint16(pix[2:]), binary.BigEndian.Uint16(pix[4:])
		s.r += light[red][r/step]
		s.g += light[green][g/step]
		s.b += light[blue][b/step]
		if max(r, g, b) >= clipped {
			s.clipped++
		}
		if min(r, g, b) == 0 {
			s.crushed++
		}
	}
}

// set makes pixel i the mean of a box of n pixels, in sRGB's primaries.
func (p *picture) set(i int, box *boxSum, n int) {
	share := 1 / float32(n)
	r, g, b := box.r*share, box.g*share, box.b*share
	if p.code.space.plain {
		p.light[red][i], p.light[green][i], p.light[blue][i] = r, g, b
	} else {
		for c := range p.light {
			shares := &p.code.space.toSRGB[c]
			p.light[c][i] = float32(shares[red])*r + float32(shares[green])*g + float32(shares[blue])*b
		}
	}
	p.clipped[i], p.crushed[i] = uint8(255*box.clipped/n), uint8(255*box.crushed/n)
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
