package calibrate

// blocks lists the unknowns that always come together: those of the wax, of
// every dye, of every card, and of every drop whose thickness is told. A drop touches the wax, its own few dyes and its
// card, so between blocks the Hessian is mostly empty.
func (l layout) blocks() [][]int {
	var out [][]int
	block := func(parts ...[2]int) {
		var unknowns []int
		for _, p := range parts {
			span(p[0], p[0], p[1], func(at, _ int) { unknowns = append(unknowns, at) })
		}
		out = append(out, unknowns)
	}
	block([2]int{0, waxUnknowns}, [2]int{l.liquidScale, 1}, [2]int{l.liquidGain, 1}, [2]int{l.liquidRatio, 1})
	for _, d := range l.dyes {
		block([2]int{d.at, dyeUnknowns}, [2]int{d.scatter, scatterUnknowns}, [2]int{d.liquidRatio, 1})
	}
	for i := range l.cards {
		block([2]int{l.cardAt + i, 1})
	}
	for i := range l.told.Drops {
		block([2]int{l.ownAt + i, 1})
	}
	return out
}

// touched lists one unknown of every block that the colour of a piece depends on.
func (p piece) touched() []int {
	out := []int{0}
	for _, in := range p.mix {
		out = append(out, in.at)
	}
	if p.card != absent {
		out = append(out, p.card)
	}
	if p.own != absent {
		out = append(out, p.own)
	}
	return out
}
