package picture

import (
	"image"
	"math"
)

// blockSide is the side of the blocks that JPEG transforms (ITU-T T.81, A.3.3).
const blockSide = 8

// Chroma is what a JPEG says of the mean colour of its blocks. The file keeps the
// mean of the 64 samples of Cb and of Cr in whole steps, so that the true mean lies
// within half a step of what it kept: the quantisation constraint set (Zakhor 1992,
// "Iterative procedures for reduction of blocking effects in transform image coding",
// IEEE Trans. Circuits Syst. Video Technol. 2(1); cited from memory). Chroma is
// counted from the 128 that stands for grey.
//
// Places are given in pixels of the upright file, before averaging.
type Chroma struct {
	// Step is the larger of the steps of Cb and Cr, in code values.
	Step float64
	// W and H are the numbers of columns and rows of whole blocks.
	W, H int
	// left and top are the upper left corner of the first block, wide and high the
	// size of a block.
	left, top, wide, high int
	// The samples as the decoder gave them, and how the blocks were stored. Few blocks
	// are ever asked for, so their means are taken only then.
	samples          [2][]uint8
	steps            [2]float64
	stride           int
	orientation      int
	storedW, storedH int
}

// Cb and Cr index what Chroma and Coded say of the two.
const (
	Cb = iota
	Cr
)

// keptChroma is that of a decoded JPEG with the given steps of Cb and Cr, which must
// not change from then on.
func keptChroma(img *image.YCbCr, steps [2]float64) *Chroma {
	size := img.Rect.Size()
	across, down := subsampling(img.SubsampleRatio)
	k := &Chroma{
		Step: max(steps[Cb], steps[Cr]), wide: blockSide * across, high: blockSide * down,
		samples: [2][]uint8{img.Cb, img.Cr}, steps: steps, stride: img.CStride, orientation: 1,
	}
	k.W, k.H = size.X/k.wide, size.Y/k.high
	k.storedW, k.storedH = k.W, k.H
	return k
}

// subsampling is how many pixels one sample of chroma spans across and down.
func subsampling(r image.YCbCrSubsampleRatio) (across, down int) {
	switch r {
	case image.YCbCrSubsampleRatio422:
		return 2, 1
	case image.YCbCrSubsampleRatio420:
		return 2, 2
	case image.YCbCrSubsampleRatio440:
		return 1, 2
	case image.YCbCrSubsampleRatio411:
		return 4, 1
	case image.YCbCrSubsampleRatio410:
		return 4, 2
	}
	return 1, 1
}

// unevenOff is by how much the rounding of 64 samples that differ moves their mean
// at most, in code values: on a ramp along the block all rows are rounded alike.
const unevenOff = 0.3

// meanWithin returns the bounds of the mean of a block as it was before the file
// kept it. The decoder rounds each sample to a whole number: if they differ, their
// mean is off by no more than unevenOff; if they are alike to one, by up to a half. Any
// step so near may have been kept.
func meanWithin(samples []uint8, stride int, step float64) (low, high float64) {
	sum := 0
	least, most := samples[0], samples[0]
	for y := range blockSide {
		for _, v := range samples[y*stride:][:blockSide] {
			sum += int(v)
			least, most = min(least, v), max(most, v)
		}
	}
	const grey = 128
	mean := float64(sum)/(blockSide*blockSide) - grey
	off := unevenOff
	if most-least <= 1 {
		off = 0.5
	}
	first, last := math.Ceil((mean-off)/step), math.Floor((mean+off)/step)
	if first > last { // no step so near: another decoder, or a damaged file
		first = math.Round(mean / step)
		last = first
	}
	return (first - 0.5) * step, (last + 0.5) * step
}

// At returns the number of the block that a place lies in, -1 for none.
func (k *Chroma) At(x, y float64) int {
	column := int(math.Floor((x - float64(k.left)) / float64(k.wide)))
	row := int(math.Floor((y - float64(k.top)) / float64(k.high)))
	if column < 0 || row < 0 || column >= k.W || row >= k.H {
		return -1
	}
	return row*k.W + column
}

// Bounds returns the corners of a block.
func (k *Chroma) Bounds(block int) (x0, y0, x1, y1 float64) {
	x0, y0 = float64(k.left+block%k.W*k.wide), float64(k.top+block/k.W*k.high)
	return x0, y0, x0 + float64(k.wide), y0 + float64(k.high)
}

// Area is that of a block in pixels of the file.
func (k *Chroma) Area() float64 { return float64(k.wide * k.high) }

// Within returns the bounds of a block's mean Cb or Cr.
func (k *Chroma) Within(block, c int) (low, high float64) {
	x, y := stored(k.orientation, block%k.W, block/k.W, k.storedW, k.storedH)
	return meanWithin(k.samples[c][(y*k.stride+x)*blockSide:], k.stride, k.steps[c])
}

// upright turns the blocks with a picture of w by h pixels.
func (k *Chroma) upright(orientation, w, h int) *Chroma {
	q := *k
	x0, y0 := turned(orientation, k.left, k.top, w, h)
	x1, y1 := turned(orientation, k.left+k.W*k.wide, k.top+k.H*k.high, w, h)
	q.left, q.top = min(x0, x1), min(y0, y1)
	if orientation >= 5 {
		q.W, q.H, q.wide, q.high = k.H, k.W, k.high, k.wide
	}
	q.orientation = orientation
	return &q
}
