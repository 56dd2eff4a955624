package photo

import (
	"math"

	"setshade/internal/picture"
	"setshade/internal/rank"
)

// piledUp is the share of the bare card on which a channel stands still where sRGB ends
// while another changes, in a file of a wider space: it was clipped in sRGB and then
// turned into that space, so that no code value is at its end any more.
//
// A clip by less than a tenth, or in light that is even to 2 %, may not be told. Nor is
// one that was then darkened: a camera's tone curve, too, flattens what is bright.
func piledUp(p *picture.Picture, card bareCard, space *picture.ColourSpace) float64 {
	if space.Plain {
		return 0
	}
	const atEnd, beyond, leastShare, moved, times = 0.012, 0.02, 0.05, 0.02, 2.2
	most := 0.0
	for c := range channels {
		var band [channels][]float64
		n, over := 0.0, 0.0
		for i, on := range card.even {
			if !on {
				continue
			}
			n++
			switch v := math.Log(max(float64(p.Light[c][i]), 1e-6)); {
			case v > beyond:
				over++
			case math.Abs(v) < atEnd:
				for k := range band {
					band[k] = append(band[k], math.Log(max(float64(p.Light[k][i]), 1e-6)))
				}
			}
		}
		share := float64(len(band[c])) / max(n, 1)
		if share < leastShare || over > share*n/2 {
			continue
		}
		other := green // which is least noisy
		if c == green {
			other = red
		}
		if spreadOf(band[other]) > max(moved, times*spreadOf(band[c])) {
			most = max(most, share)
		}
	}
	return most
}

// spreadOf is from the tenth to the ninetieth of a hundred values.
func spreadOf(values []float64) float64 {
	return rank.Quantile(values, 0.9) - rank.Quantile(values, 0.1)
}
