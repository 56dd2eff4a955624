package photo

import (
	"setshade/internal/picture"
	"setshade/internal/spectrum"
)

const turnFromGlare = "turn the card or move the lamp so that the light does not mirror in the drops"

// whiterThanCard refuses a drop brighter than the bare card beside it, and so light as
// wax is not: the card is darker than it is taken to be and white wax lighter than the
// card, or a lamp mirrors in all of the drop.
func whiterThanCard(d *Drop, card spectrum.Lab) *picture.Refusal {
	const brighter, whitest = 1.2, 97 // L* more than the card's, a hundredth of its light twice; L*
	if lab := d.Colour.Lab; lab.L > card.L+brighter && lab.L > whitest {
		return picture.Refuse(turnFromGlare+"; where none does, say how white the card is by a line in the plan, such as: card 92 0 0",
			"drop %d is brighter than the bare card beside it, which is taken to have L* %.1f: a light mirrors in all of the drop, or the card is less white than that",
			d.Number, card.L)
	}
	return nil
}
