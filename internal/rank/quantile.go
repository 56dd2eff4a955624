package rank

import (
	"math"
	"slices"
)

// Median returns the middle of the values, the upper one of two, and NaN for none. It
// reorders its argument.
func Median(values []float64) float64 { return Quantile(values, 0.5) }

// Quantile returns the value with a share q of the others, 0 to 1, below it, and NaN
// when there are none. It reorders its argument.
func Quantile(values []float64, q float64) float64 {
	if len(values) == 0 {
		return math.NaN()
	}
	return ranked(values, int(q*float64(len(values)-1)+0.5))
}

// ranked returns the value that would stand at place k if the values were sorted
// (Hoare 1961, "Algorithm 65: find", Commun. ACM 4(7)).
func ranked(values []float64, k int) float64 {
	const few = 12
	low, high := 0, len(values)-1
	for high-low > few {
		middle := low + (high-low)/2
		pivot := max(min(values[low], values[middle]), min(max(values[low], values[middle]), values[high]))
		i, j := low, high
		for i <= j {
			for values[i] < pivot {
				i++
			}
			for values[j] > pivot {
				j--
			}
			if i <= j {
				values[i], values[j] = values[j], values[i]
				i, j = i+1, j-1
			}
		}
		switch {
		case k <= j:
			high = j
		case k >= i:
			low = i
		default:
			return values[k]
		}
	}
	slices.Sort(values[low : high+1])
	return values[k]
}
