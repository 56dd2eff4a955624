package photo

import (
	"math"

	"setshade/internal/card"
	"setshade/internal/picture"
)

// halfSeen refuses a printed card of which too few fiducials are seen to tell how it
// lies: nil where the spots are none. Read as a plain card its patches and letters
// would be drops.
func halfSeen(spots []spot) *picture.Refusal {
	n := alikeFiducials(spots)
	if n < 2 {
		return nil
	}
	const whole = "photograph the whole card, with all four round marks in the picture and nothing lying on them"
	if n == 2 {
		return picture.Refuse(whole, "this is a printed card, but only two of its four marks are in the picture")
	}
	return picture.Refuse(whole+", and the card flat", "this is a printed card, but its marks do not lie as they were printed")
}

// alikeFiducials is how many of the spots may be fiducials of one card: 0, or two and
// more. They are about as large as each other, as many radii apart as the print has
// them, seen from low or not, and one at least has a hole. Drops lie nearer to each
// other.
func alikeFiducials(spots []spot) int {
	marks := card.Layout(card.A5).Fiducials
	radius := marks[0].OuterRadiusMM
	side := at(marks[3].Centre).Minus(at(marks[0].Centre)).Length() / radius
	diagonal := at(marks[2].Centre).Minus(at(marks[0].Centre)).Length() / radius
	const foreshortened, alike = 0.75, 2.0
	most := 0
	for i, a := range spots {
		n := 1
		for k, b := range spots {
			r := math.Sqrt(math.Sqrt(a.area*b.area) / math.Pi)
			apart := a.Centre.Minus(b.Centre).Length() / r
			if i != k && (a.hole || b.hole) && max(a.area, b.area) < alike*min(a.area, b.area) &&
				apart > foreshortened*side && apart < diagonal/foreshortened {
				n++
			}
		}
		if n > 1 {
			most = max(most, n)
		}
	}
	return most
}
