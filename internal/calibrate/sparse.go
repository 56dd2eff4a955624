package calibrate

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
)

// sparse is a symmetric matrix of the unknowns, or the Cholesky factor L of one,
// in the panels of an elimination: of each row, the numbers of the panel's block.
type sparse struct {
	*elimination
	values []float64
}

func (e *elimination) zero() sparse { return sparse{e, make([]float64, e.size)} }

func (m sparse) copy() sparse { return sparse{m.elimination, append([]float64(nil), m.values...)} }

// rowOf is a row of a panel.
func (m sparse) rowOf(p *panel, row int) []float64 {
	at := p.at + row*p.width
	return m.values[at : at+p.width]
}

// at is the place of what couples two unknowns.
func (m sparse) at(a, b int) *float64 {
	if m.home[a] < m.home[b] || m.home[a] == m.home[b] && m.row[a] < m.row[b] {
		a, b = b, a
	}
	p := &m.panels[m.home[b]]
	return &m.values[p.at+(p.first[m.home[a]]+m.row[a])*p.width+m.row[b]]
}

// norm is the largest sum of the sizes in a column, of a matrix.
func (m sparse) norm() float64 {
	sums := make([]float64, len(m.home))
	for k := range m.panels {
		p := &m.panels[k]
		for r, u := range p.unknowns {
			for c, v := range m.rowOf(p, r)[:min(r+1, p.width)] {
				sums[u] += math.Abs(v)
				if c != r {
					sums[p.unknowns[c]] += math.Abs(v)
				}
			}
		}
	}
	return slices.Max(sums)
}

// factorize turns the matrix into its Cholesky factor, block after block: with P
// the panel of a block and D its own rows,
//
//	D = L Lᵀ,   B = (P below D) L⁻ᵀ,   later panels -= B Bᵀ
//
// (from memory of Golub and Van Loan, Matrix Computations, ch. 4). It reports
// whether the matrix is positive definite.
func (m sparse) factorize() bool {
	for k := range m.panels {
		p := &m.panels[k]
		for r := range p.unknowns {
			row := m.rowOf(p, r)
			for c := range min(r+1, p.width) {
				left := m.rowOf(p, c)
				v := row[c] - inner(row[:c], left)
				if c < r {
					row[c] = v / left[c]
				} else if !(v > 0) {
					return false
				} else {
					row[c] = math.Sqrt(v)
				}
			}
		}
		for c := p.width; c < len(p.unknowns); c++ {
			into := m.home[p.unknowns[c]]
			later := &m.panels[into]
			column := m.row[p.unknowns[c]]
			for r := c; r < len(p.unknowns); r++ {
				u := p.unknowns[r]
				to := m.rowOf(later, later.first[m.home[u]]+m.row[u])
				to[column] -= inner(m.rowOf(p, r), m.rowOf(p, c))
			}
		}
	}
	return true
}

func inner(a, b []float64) float64 {
	b = b[:len(a)]
	sum := 0.0
	for i, v := range a {
		sum += v * b[i]
	}
	return sum
}

// forward solves L y = v in the place of v, of a factor.
func (m sparse) forward(v []float64) {
	for k := range m.panels {
		p := &m.panels[k]
		own := make([]float64, p.width)
		for r, u := range p.unknowns {
			row := m.rowOf(p, r)
			if r < p.width {
				own[r] = (v[u] - inner(row[:r], own)) / row[r]
				v[u] = own[r]
			} else {
				v[u] -= inner(row, own)
			}
		}
	}
}

// backward solves Lᵀ x = v in the place of v, of a factor.
func (m sparse) backward(v []float64) {
	for k := len(m.panels) - 1; k >= 0; k-- {
		p := &m.panels[k]
		for r := len(p.unknowns) - 1; r >= 0; r-- {
			row, u := m.rowOf(p, r), p.unknowns[r]
			if r < p.width {
				v[u] /= row[r]
			}
			for c, l := range row[:min(r, p.width)] {
				v[p.unknowns[c]] -= l * v[u]
			}
		}
	}
}

// solve solves L Lᵀ x = v in the place of v, of a factor.
func (m sparse) solve(v []float64) {
	m.forward(v)
	m.backward(v)
}

// logDet is the log determinant of L Lᵀ, of a factor.
func (m sparse) logDet() float64 {
	sum := 0.0
	for u := range m.home {
		sum += 2 * math.Log(*m.at(u, u))
	}
	return sum
}

// inverse is (L Lᵀ)⁻¹ in full, of a factor.
func (m sparse) inverse() *mat.SymDense {
	n := len(m.home)
	out := mat.NewSymDense(n, nil)
	column := make([]float64, n)
	for c := range n {
		clear(column)
		column[c] = 1
		m.solve(column)
		for r := range c + 1 {
			out.SetSym(r, c, column[r])
		}
	}
	return out
}
