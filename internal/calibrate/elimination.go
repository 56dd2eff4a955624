package calibrate

import (
	"cmp"
	"slices"
)

// elimination is the order in which the blocks of a symmetric matrix are
// eliminated, and where numbers other than 0 then stand: for every block a panel
// of rows, its own and those of the later blocks it is coupled with.
type elimination struct {
	panels []panel
	home   []int // the panel of every unknown
	row    []int // and its row there
	size   int   // numbers in all panels
}

// panel is as wide as its block, with which its rows begin.
type panel struct {
	at, width int
	unknowns  []int // of its rows
	first     []int // by panel, the first row of its block, if that is among them
}

// eliminate orders the blocks by minimum degree: always next the one that the
// fewest unknowns left over are coupled with, which couples those with each other
// (Tinney and Walker 1967, Proc. IEEE 55:1801; George and Liu 1989, SIAM Rev.
// 31:1). Dyes without mixtures so come before the wax, and nothing fills in. Every
// clique lists unknowns whose blocks are all coupled with each other.
func eliminate(blocks, cliques [][]int) *elimination {
	g := newGraph(blocks, cliques)
	left := make([]int, len(blocks))
	for b := range left {
		left[b] = b
	}
	place := make([]int, len(blocks))
	later := make([][]int, 0, len(blocks)) // in order, each block first
	for len(left) > 0 {
		next := slices.MinFunc(left, func(b, c int) int { return cmp.Compare(g.degree[b], g.degree[c]) })
		left = slices.DeleteFunc(left, func(b int) bool { return b == next })
		place[next] = len(later)
		rows := []int{next}
		for _, b := range left {
			if g.coupled[next][b] {
				g.degree[b] -= len(blocks[next])
				for _, c := range rows[1:] {
					g.couple(b, c)
				}
				rows = append(rows, b)
			}
		}
		later = append(later, rows)
	}

	e := &elimination{}
	for _, unknowns := range blocks {
		e.home = append(e.home, make([]int, len(unknowns))...)
	}
	e.row = make([]int, len(e.home))
	for k, rows := range later {
		slices.SortFunc(rows, func(b, c int) int { return cmp.Compare(place[b], place[c]) })
		p := panel{at: e.size, width: len(blocks[rows[0]]), first: make([]int, len(blocks))}
		for i, u := range blocks[rows[0]] {
			e.home[u], e.row[u] = k, i
		}
		for _, b := range rows {
			p.first[place[b]] = len(p.unknowns)
			p.unknowns = append(p.unknowns, blocks[b]...)
		}
		e.panels = append(e.panels, p)
		e.size += len(p.unknowns) * p.width
	}
	return e
}

// graph tells which blocks are coupled, and how many unknowns with each.
type graph struct {
	blocks  [][]int
	coupled [][]bool
	degree  []int
}

func newGraph(blocks, cliques [][]int) graph {
	g := graph{blocks: blocks, degree: make([]int, len(blocks))}
	home := map[int]int{}
	for b, unknowns := range blocks {
		g.coupled = append(g.coupled, make([]bool, len(blocks)))
		for _, u := range unknowns {
			home[u] = b
		}
	}
	for _, clique := range cliques {
		for i, u := range clique {
			for _, v := range clique[:i] {
				g.couple(home[u], home[v])
			}
		}
	}
	return g
}

func (g graph) couple(b, c int) {
	if b == c || g.coupled[b][c] {
		return
	}
	g.coupled[b][c], g.coupled[c][b] = true, true
	g.degree[b] += len(g.blocks[c])
	g.degree[c] += len(g.blocks[b])
}
