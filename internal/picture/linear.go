package picture

import (
	"bytes"
	"encoding/binary"
	"image"
	"image/draw"
	"math"
)

// The channels of a picture in linear light, and how many there are.
const (
	Red = iota
	Green
	Blue
	Channels
)

// workPx is the size the picture is averaged down to, in pixels: enough for
// the outline of a drop, and small beside what the decoder has to do.
const workPx = 1.2e6

// Code values from here up are taken as clipped: JPEG spreads a clipped 255
// over the neighbouring codes.
const clippedCode = 254

// Picture is a photograph in linear light of sRGB's primaries, 1 for the brightest
// code value. A file of a wider colour space holds colours that sRGB can't; they
// have negative amounts and are kept.
//
// Pixel (x, y) covers [x, x+1) by [y, y+1); its centre is at x+½, y+½. It stands at
// y*W + x in each of the planes, which are open to loops over all pixels.
type Picture struct {
	// W and H are the numbers of columns and rows.
	W, H int
	// Light is the plane of each channel.
	Light [Channels][]float32
	// Clipped and Crushed are the shares of the original pixels, in 1/255,
	// that had a channel at the top or a channel at zero.
	Clipped, Crushed []uint8
	// Scale is how many original pixels one pixel here is wide.
	Scale int
	// Code says how the file kept its colours.
	Code Code
	// Chroma is what a JPEG kept of the colours of its blocks, nil for other files.
	Chroma *Chroma
}

func newPicture(w, h, scale int) *Picture {
	p := &Picture{W: w, H: h, Scale: scale, Clipped: make([]uint8, w*h), Crushed: make([]uint8, w*h)}
	for c := range p.Light {
		p.Light[c] = make([]float32, w*h)
	}
	return p
}

// FromImage averages the image in linear light in square boxes. Averaging
// light, not code values, keeps the mean colour of an uneven box right. Up to
// a box less one pixel at the right and lower edge is left out. The image is taken
// as it is stored, without turning it upright.
func FromImage(img image.Image, space *ColourSpace) *Picture {
	bounds := img.Bounds()
	scale := int(math.Ceil(math.Sqrt(float64(bounds.Dx()) * float64(bounds.Dy()) / workPx)))
	scale = max(scale, 1)
	p := newPicture(bounds.Dx()/scale, bounds.Dy()/scale, scale)
	p.Code.Space = space
	if coded, ok := img.(*image.YCbCr); ok {
		p.Code.luma = true
		p.averageCoded(coded)
		return p
	}
	// draw.Draw has a fast path for each kind of image the decoders return; a
	// strip of rows at a time keeps the copy small.
	rows := rowsRead(scale)
	strip := newStrip(img, image.Rect(0, 0, p.W*scale, len(rows)))
	for y := range p.H {
		for line, row := range rows {
			draw.Draw(strip, image.Rect(0, line, p.W*scale, line+1), img, bounds.Min.Add(image.Pt(0, y*scale+row)), draw.Src)
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

// average fills row y from the strip of the rows read.
func (p *Picture) average(strip draw.Image, y int) {
	space, lines := p.Code.Space, strip.Bounds().Dy()
	boxes := make([]boxSum, p.W)
	for x := range boxes {
		box := &boxes[x]
		for line := range lines {
			switch strip := strip.(type) {
			case *image.RGBA:
				box.add8(strip.Pix[line*strip.Stride+4*x*p.Scale:][:4*p.Scale], &space.light8)
			case *image.RGBA64:
				box.add16(strip.Pix[line*strip.Stride+8*x*p.Scale:][:8*p.Scale], &space.light12)
			}
		}
	}
	p.setRow(y, boxes, p.Scale*lines)
}

// boxSum adds up the light of a box in the file's own primaries, and counts its
// pixels with a channel at the top or at zero.
type boxSum struct {
	r, g, b          float32
	clipped, crushed int
}

func (s *boxSum) add8(pix []uint8, light *[Channels]*[256]float32) {
	for ; len(pix) >= 4; pix = pix[4:] {
		s.add(pix[0], pix[1], pix[2], light)
	}
}

func (s *boxSum) add(r, g, b uint8, light *[Channels]*[256]float32) {
	s.r += light[Red][r]
	s.g += light[Green][g]
	s.b += light[Blue][b]
	if max(r, g, b) >= clippedCode {
		s.clipped++
	}
	if min(r, g, b) == 0 {
		s.crushed++
	}
}

func (s *boxSum) add16(pix []uint8, light *[Channels]*[4096]float32) {
	const clipped, step = clippedCode << 8, 16 // codes of 16 bits to a step of 12
	for ; len(pix) >= 8; pix = pix[8:] {
		r, g, b := binary.BigEndian.Uint16(pix), binary.BigEndian.Uint16(pix[2:]), binary.BigEndian.Uint16(pix[4:])
		s.r += light[Red][r/step]
		s.g += light[Green][g/step]
		s.b += light[Blue][b/step]
		if max(r, g, b) >= clipped {
			s.clipped++
		}
		if min(r, g, b) == 0 {
			s.crushed++
		}
	}
}

// setRow fills row y with the means of boxes of n pixels, in sRGB's primaries.
func (p *Picture) setRow(y int, boxes []boxSum, n int) {
	row := func(plane []float32) []float32 { return plane[y*p.W:][:len(boxes)] }
	reds, greens, blues := row(p.Light[Red]), row(p.Light[Green]), row(p.Light[Blue])
	share, m := 1/float32(n), &p.Code.Space.ToSRGB
	for x := range boxes {
		box := &boxes[x]
		r, g, b := box.r*share, box.g*share, box.b*share
		if !p.Code.Space.Plain {
			r, g, b = m.mixed(Red, r, g, b), m.mixed(Green, r, g, b), m.mixed(Blue, r, g, b)
		}
		reds[x], greens[x], blues[x] = r, g, b
		if box.clipped+box.crushed > 0 { // seldom, and dividing takes long
			i := y*p.W + x
			p.Clipped[i], p.Crushed[i] = uint8(255*box.clipped/n), uint8(255*box.crushed/n)
		}
	}
}

// mixed is one of the three lights that amounts of three others are.
func (m *Matrix) mixed(k int, r, g, b float32) float32 {
	return float32(m[k][Red])*r + float32(m[k][Green])*g + float32(m[k][Blue])*b
}

// Coarse averages the picture further, until its longer side is at most the
// given number of pixels. The copy says nothing of crushed pixels, the code and the chroma.
func (p *Picture) Coarse(side int) *Picture {
	k := max(1, (max(p.W, p.H)+side-1)/side)
	q := newPicture(p.W/k, p.H/k, p.Scale*k)
	clipped, sums := make([]float32, q.W), make([]float32, p.W)
	for y := range q.H {
		for c := range q.Light {
			averageRows(q.Light[c][y*q.W:(y+1)*q.W], sums, p.Light[c][y*k*p.W:], k)
		}
		if rows := p.Clipped[y*k*p.W : (y+1)*k*p.W]; bytes.Count(rows, []byte{0}) < len(rows) { // seldom
			averageRows(clipped, sums, rows, k)
			for x, v := range clipped {
				q.Clipped[y*q.W+x] = uint8(v)
			}
		}
	}
	return q
}

// averageRows fills out with the means of square boxes of a plane as wide as sums.
func averageRows[T float32 | uint8](out, sums []float32, plane []T, side int) {
	clear(sums)
	for line := range side {
		for x, v := range plane[line*len(sums):][:len(sums)] {
			sums[x] += float32(v)
		}
	}
	share := 1 / float32(side*side)
	for x := range out {
		sum := float32(0)
		for _, v := range sums[x*side:][:side] {
			sum += v
		}
		out[x] = sum * share
	}
}

// Luminance is the mean of the channels: card and drops are told apart in it,
// no colour is computed from it.
func (p *Picture) Luminance(i int) float64 {
	const third = 1.0 / 3
	return float64(p.Light[Red][i]+p.Light[Green][i]+p.Light[Blue][i]) * third
}
