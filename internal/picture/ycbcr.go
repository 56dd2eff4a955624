package picture

import (
	"image"
	"image/color"
	"math"
)

// averageCoded fills the picture from luma and chroma as the file has them. Of a
// large box every second row and column is read: the chroma of files mostly has no
// more (see rowsRead).
func (p *Picture) averageCoded(img *image.YCbCr) {
	c := newCodedImage(img, p.Code.Space, p.W, p.Scale)
	boxes := make([]boxSum, p.W)
	add := c.addRow
	if c.halved && p.Scale == 4 {
		add = c.addHalvedRow
	}
	for y := range p.H {
		clear(boxes)
		for _, line := range c.read {
			add(boxes, y*p.Scale+line)
		}
		for x := range boxes {
			if box := &boxes[x]; box.r+box.g+box.b >= cut {
				*box = c.counted(x, y)
			}
		}
		p.setRow(y, boxes, len(c.read)*len(c.read))
	}
}

// codedImage is an image of luma and chroma on its way to light. The code values
// of a pixel are
//
//	R = Y + 1.402 Cr,  G = Y - 0.344136 Cb - 0.714136 Cr,  B = Y + 1.772 Cb
//
// (ITU-T T.871, section 7; Cb and Cr from their middle, 128). All three are added up
// in one number of 64 bits, side by side in 21 bits each: 10 for the whole code,
// counted from belowBlack, since it may lie beyond 0..255, and 11 for its fraction.
type codedImage struct {
	*image.YCbCr
	luma, blueDiff, redDiff [256]int64
	light                   [Channels][1024]float32
	read                    []int   // the rows and columns of a box
	chroma                  []int32 // where a column's chroma stands in its row
	halved                  bool    // one chroma for two columns, from the first on
	scale                   int
	space                   *ColourSpace
}

const (
	codeBits, fraction, codeMask = 21, 11, 1<<10 - 1
	belowBlack                   = 256
	// cut is added to the light of a code at the top or at zero; pixels with one are
	// seldom, and counted apart.
	cut = 1 << 20
)

func newCodedImage(img *image.YCbCr, space *ColourSpace, boxes, scale int) *codedImage {
	c := &codedImage{YCbCr: img, space: space, read: rowsRead(scale), scale: scale, chroma: make([]int32, boxes*scale)}
	beside := func(r, g, b float64) int64 {
		const one = 1 << fraction
		return int64(math.Round(r*one)) + int64(math.Round(g*one))<<codeBits + int64(math.Round(b*one))<<(2*codeBits)
	}
	for i := range 256 {
		// Rounded as color.YCbCrToRGB does: up by a share of the luma.
		y, d := float64(i)*(1+257.0/65536)+belowBlack, float64(i)-128
		c.luma[i] = beside(y, y, y)
		c.blueDiff[i] = beside(0, -0.344136*d, 1.772*d)
		c.redDiff[i] = beside(1.402*d, -0.714136*d, 0)
	}
	for k := range c.light {
		for i := range c.light[k] {
			code := min(max(i-belowBlack, 0), 255)
			c.light[k][i] = space.light8[k][code]
			if code == 0 || code >= clippedCode {
				c.light[k][i] += cut
			}
		}
	}
	across, _ := subsampling(img.SubsampleRatio)
	c.halved = across == 2 && img.Rect.Min.X%2 == 0
	for x := range c.chroma {
		c.chroma[x] = int32(img.COffset(img.Rect.Min.X+x, img.Rect.Min.Y) - img.COffset(img.Rect.Min.X, img.Rect.Min.Y))
	}
	return c
}

// addRow adds the columns read of a row of the image.
func (c *codedImage) addRow(boxes []boxSum, y int) {
	corner := c.Rect.Min
	at := c.COffset(corner.X, corner.Y+y)
	blueDiff := c.Cb[at:]
	redDiff := c.Cr[at:][:len(blueDiff)]
	chroma := c.chroma
	luma := c.Y[c.YOffset(corner.X, corner.Y+y):][:len(chroma)]
	step := 1
	if len(c.read) < c.scale {
		step = 2
	}
	for x := range boxes {
		box := &boxes[x]
		for i := x * c.scale; i < (x+1)*c.scale && i < len(chroma); i += step {
			k := chroma[i]
			r, g, b := c.lightOf(luma[i], blueDiff[k], redDiff[k])
			box.r, box.g, box.b = box.r+r, box.g+g, box.b+b
		}
	}
}

// addHalvedRow is addRow for boxes of four columns with two of chroma, as 12-megapixel
// pictures of phones have them: the two that are read at once, which takes two thirds
// of the time.
func (c *codedImage) addHalvedRow(boxes []boxSum, y int) {
	corner := c.Rect.Min
	at := c.COffset(corner.X, corner.Y+y)
	luma, blueDiff, redDiff := c.Y[c.YOffset(corner.X, corner.Y+y):], c.Cb[at:], c.Cr[at:]
	for x := range boxes {
		l, cb, cr := luma[4*x:][:4], blueDiff[2*x:][:2], redDiff[2*x:][:2]
		r1, g1, b1 := c.lightOf(l[0], cb[0], cr[0])
		r2, g2, b2 := c.lightOf(l[2], cb[1], cr[1])
		box := &boxes[x]
		box.r, box.g, box.b = box.r+r1+r2, box.g+g1+g2, box.b+b1+b2
	}
}

// lightOf is the light of a pixel, with cut added where its code is cut off.
func (c *codedImage) lightOf(luma, blueDiff, redDiff uint8) (r, g, b float32) {
	codes := c.luma[luma] + c.blueDiff[blueDiff] + c.redDiff[redDiff]
	return c.light[Red][codes>>fraction&codeMask],
		c.light[Green][codes>>(codeBits+fraction)&codeMask],
		c.light[Blue][codes>>(2*codeBits+fraction)&codeMask]
}

// counted adds up a box pixel by pixel.
func (c *codedImage) counted(x, y int) (box boxSum) {
	corner := c.Rect.Min
	for _, line := range c.read {
		for _, column := range c.read {
			px, py := corner.X+x*c.scale+column, corner.Y+y*c.scale+line
			k := c.COffset(px, py)
			r, g, b := color.YCbCrToRGB(c.Y[c.YOffset(px, py)], c.Cb[k], c.Cr[k])
			box.add(r, g, b, &c.space.light8)
		}
	}
	return box
}
