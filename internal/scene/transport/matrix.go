package transport

// matrix is a square matrix of a few rows. Entry (i, j) answers in direction i
// to unit radiance in direction j.
type matrix struct {
	n int
	v []float64 // row by row
}

func newMatrix(n int) matrix { return matrix{n, make([]float64, n*n)} }

func (m matrix) row(i int) []float64 { return m.v[i*m.n : (i+1)*m.n] }

// setTimes makes m the product a b. It must be neither of them.
func (m matrix) setTimes(a, b matrix) {
	for i := range m.n {
		out := m.row(i)
		clear(out)
		for k, x := range a.row(i) {
			for j, y := range b.row(k) {
				out[j] += x * y
			}
		}
	}
}

// times returns m x.
func (m matrix) times(x []float64) []float64 {
	out := make([]float64, m.n)
	for i := range out {
		out[i] = dot(m.row(i), x)
	}
	return out
}

func dot(a, b []float64) float64 {
	sum := 0.0
	for i, v := range a {
		sum += v * b[i]
	}
	return sum
}

// solve turns right, row by row of the given width, into m⁻¹ right and destroys
// m. It does not pivot: the matrices here are I minus a reflection, whose
// diagonal holds the largest entries because no slab returns more than it gets.
func (m matrix) solve(right []float64, width int) {
	for k := range m.n {
		pivot, above := m.row(k), right[k*width:(k+1)*width]
		for i := k + 1; i < m.n; i++ {
			row, below := m.row(i), right[i*width:(i+1)*width]
			f := row[k] / pivot[k]
			if f == 0 {
				continue
			}
			for j := k + 1; j < m.n; j++ {
				row[j] -= f * pivot[j]
			}
			for j, v := range above {
				below[j] -= f * v
			}
		}
	}
	for k := m.n - 1; k >= 0; k-- {
		row, out := m.row(k), right[k*width:(k+1)*width]
		for j := k + 1; j < m.n; j++ {
			f := row[j]
			for c, v := range right[j*width : (j+1)*width] {
				out[c] -= f * v
			}
		}
		for c := range out {
			out[c] /= row[k]
		}
	}
}
