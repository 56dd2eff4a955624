package photo

import "slices"

// run is a stretch of a row of a mask, from..to-1.
type run struct {
	y, from, to int32
	// set is the index of a run of the same set, no larger than the own one; in
	// the first of a set, its own.
	set int32
}

// runsOf lists the stretches of a mask that are as wanted, row by row, with the
// 4-connected ones joined (Rosenfeld and Pfaltz 1966, "Sequential operations in
// digital picture processing", J. ACM 13(4), over runs for pixels).
func runsOf(mask []bool, w, h int, wanted bool) []run {
	runs := make([]run, 0, 4*h)
	above, last := 0, 0 // the first run of the row above that may touch, and the row's end
	for y := range h {
		row, first := mask[y*w:(y+1)*w], len(runs)
		for x := 0; x < w; x++ {
			if row[x] != wanted {
				continue
			}
			from := x
			for x < w && row[x] == wanted {
				x++
			}
			runs = append(runs, run{int32(y), int32(from), int32(x), int32(len(runs))})
			for above < last && runs[above].to <= int32(from) {
				above++
			}
			for k := above; k < last && runs[k].from < int32(x); k++ {
				join(runs, k, len(runs)-1)
			}
		}
		above, last = first, len(runs)
	}
	for k := range runs {
		runs[k].set = runs[runs[k].set].set // a set's first run comes before
	}
	return runs
}

// join makes two sets one, that of the run that comes first.
func join(runs []run, a, b int) {
	a, b = firstOf(runs, a), firstOf(runs, b)
	runs[max(a, b)].set = int32(min(a, b))
}

func firstOf(runs []run, k int) int {
	for int(runs[k].set) != k {
		runs[k].set = runs[runs[k].set].set
		k = int(runs[k].set)
	}
	return k
}

// connected returns the 4-connected sets of a mask that have least to most pixels,
// each as pixel indices from above to below.
func connected(mask []bool, w, h, least, most int) [][]int32 {
	runs := runsOf(mask, w, h, true)
	size, number := make([]int, len(runs)), make([]int32, len(runs))
	for _, r := range runs {
		size[r.set] += int(r.to - r.from)
	}
	var sets [][]int32
	for k, r := range runs {
		if number[k] = -1; int(r.set) == k && size[k] >= least && size[k] <= most {
			number[k] = int32(len(sets))
			sets = append(sets, make([]int32, 0, size[k]))
		}
	}
	for _, r := range runs {
		if number[r.set] < 0 {
			continue
		}
		set := &sets[number[r.set]]
		for i := r.y*int32(w) + r.from; i < r.y*int32(w)+r.to; i++ {
			*set = append(*set, i)
		}
	}
	return sets
}

// extentOf returns the least and the largest column and row of pixels of a picture w
// wide.
func extentOf(pixels []int32, w int) (x0, y0, x1, y1 int) {
	row := int32(w)
	left, right, top, bottom := pixels[0]%row, pixels[0]%row, pixels[0]/row, pixels[0]/row
	for _, i := range pixels {
		y := i / row
		x := i - y*row
		left, right, top, bottom = min(left, x), max(right, x), min(top, y), max(bottom, y)
	}
	return int(left), int(top), int(right), int(bottom)
}

// holes returns the runs of what a mask does not cover but encloses.
func holes(mask []bool, w, h int) []run {
	runs := runsOf(mask, w, h, false)
	open := make([]bool, len(runs))
	for _, r := range runs {
		if r.y == 0 || int(r.y) == h-1 || r.from == 0 || int(r.to) == w {
			open[r.set] = true
		}
	}
	return slices.DeleteFunc(runs, func(r run) bool { return open[r.set] })
}
