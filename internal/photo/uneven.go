package photo

import (
	"math"
	"slices"

	"setshade/internal/rank"
)

func mean3(v [channels]float64) float64 { return (v[red] + v[green] + v[blue]) * third }

// unevenness measures the covariance of what is left on bare card after
// flattening, over tiles about the size of a drop's middle. It is made robust
// by scaling with the median, since shadows lie on some tiles.
func unevenness(f *flattened, taken []bool, tile int, bright float64) (cov [channels][channels]float64) {
	var tiles [][channels]float64
	for y := 0; y+tile <= f.h; y += tile {
		for x := 0; x+tile <= f.w; x += tile {
			if mean, ok := tileMean(f, taken, x, y, tile, bright); ok {
				tiles = append(tiles, mean)
			}
		}
	}
	var sizes []float64
	sum := 0.0
	for _, t := range tiles {
		size := 0.0
		for a := range t {
			size += t[a] * t[a]
			for b := range t {
				cov[a][b] += t[a] * t[b] / float64(len(tiles))
			}
		}
		sizes = append(sizes, size)
		sum += size / float64(len(tiles))
	}
	if len(tiles) < 8 || sum == 0 {
		const assumed = 0.01 // too little bare card to measure it
		return [channels][channels]float64{{assumed * assumed, 0, 0}, {0, assumed * assumed, 0}, {0, 0, assumed * assumed}}
	}
	// The median of a square sum of three is near 0.79 of its mean (χ² of 3
	// degrees of freedom: 2.366 / 3).
	robust := min(1, rank.Median(sizes)/0.79/sum)
	for a := range cov {
		for b := range cov[a] {
			cov[a][b] *= robust
		}
	}
	return cov
}

// tileMean is the mean departure from 1 over a tile that is bare card.
func tileMean(f *flattened, taken []bool, x0, y0, tile int, bright float64) (mean [channels]float64, ok bool) {
	for y := y0; y < y0+tile; y++ {
		from, to := y*f.w+x0, y*f.w+x0+tile
		if slices.Contains(f.inside[from:to], false) || slices.Contains(taken[from:to], true) {
			return mean, false
		}
	}
	n := float64(tile * tile)
	for c := range mean {
		sum := 0.0
		for y := y0; y < y0+tile; y++ {
			for _, v := range f.ratio[c][y*f.w+x0:][:tile] {
				sum += float64(v)
			}
		}
		mean[c] = sum/n - 1
	}
	return mean, math.Abs(mean3(mean)) < 4*bright
}
