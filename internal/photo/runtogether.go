package photo

import (
	"setshade/internal/english"
	"setshade/internal/picture"
)

// isRound tells a drop from one that has run, or two that have run into each other.
func (b *blob) isRound() bool {
	const leastSolid, longest = 0.93, 1.35
	long, short := b.Axes()
	return b.solid >= leastSolid && long <= longest*short
}

// andTouching tells beside a refusal which drops touch, or are not round: there one may
// have been taken for two or two for one, and wax beside a drop for a shadow.
func andTouching(refusal *picture.Refusal, drops []placed) *picture.Refusal {
	if refusal == nil {
		return nil
	}
	var touching, unround []int
	for i := range drops {
		switch d := &drops[i]; {
		case d.parted:
			touching = append(touching, d.number)
		case !d.isRound():
			unround = append(unround, d.number)
		}
	}
	told := *refusal
	if len(touching) > 0 {
		told.What += ", and " + listed("drop", "drops", touching) + english.Plural(len(touching), " touches another", " touch others")
	}
	if len(unround) > 0 {
		told.What += ", and " + listed("drop", "drops", unround) + english.Plural(len(unround),
			" is not round, as if two had run into each other", " are not round, as if some had run into each other")
	}
	return &told
}
