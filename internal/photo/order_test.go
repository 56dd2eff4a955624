package photo

import (
	"fmt"
	"image"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/card"
	"setshade/internal/picture"
	"setshade/internal/picture/picturetest"
	"setshade/internal/scene"
	"setshade/internal/spectrum"
	"setshade/internal/wax"
)

// rowsCard is a small card with drops at the places given, in heights of the card.
func rowsCard(radius float64, places ...[2]float64) testCard {
	c := smallCard()
	c.drops = nil
	for i, at := range places {
		c.drops = append(c.drops, testDrop{u: at[0], v: at[1], radius: radius, lab: ladderColours[1+i%6]})
	}
	return c
}

// fourByTwo are two rows of four.
var fourByTwo = [][2]float64{{0.2, 0.3}, {0.52, 0.3}, {0.86, 0.3}, {1.2, 0.3}, {0.2, 0.7}, {0.52, 0.7}, {0.86, 0.7}, {1.2, 0.7}}

// A card lying on its side has its drops in other rows than the plan; read in the
// plan's they would come in zigzag.
func TestRowsThatThePictureDoesNotBearOut(t *testing.T) {
	t.Parallel()
	upright := rowsCard(0.085, fourByTwo...).render()
	onItsSide := picturetest.StoredAs(upright, 6)
	column := picturetest.StoredAs(rowsCard(0.085, fourByTwo[:4]...).render(), 8)
	// Two rows, of three and five, of a card that lies a little skew: the first of the
	// lower row lies higher than the others.
	unequal := rowsCard(0.07, [2]float64{0.3, 0.3}, [2]float64{0.6, 0.3}, [2]float64{0.9, 0.3},
		[2]float64{0.2, 0.55}, [2]float64{0.45, 0.6}, [2]float64{0.7, 0.6}, [2]float64{0.95, 0.6}, [2]float64{1.2, 0.6}).render()
	for _, c := range []struct {
		name     string
		picture  image.Image
		rows     []int
		says, do string
	}{
		{"on its side", onItsSide, []int{4, 4}, "the drops stand in rows of 2 + 2 + 2 + 2, the plan has rows of 4 + 4", "if the card lies on its side, turn the photograph"},
		{"two rows as one", upright, []int{8}, "the drops stand in rows of 4 + 4, the plan has rows of 8", "correct the plan's rows"},
		{"a row on its side", column, []int{4}, "rows of 1 + 1 + 1 + 1, the plan has rows of 4", "if the card lies on its side"},
		{"a drop too many in a row", unequal, []int{4, 4}, "rows of 3 + 5, the plan has rows of 4 + 4", "correct the plan's rows"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := Read(picturetest.Encoded(t, c.picture, 0), Expect{Rows: c.rows, Card: whiteCard})
			require.ErrorContains(t, err, c.says)
			var refusal *picture.Refusal
			require.ErrorAs(t, err, &refusal)
			assert.Contains(t, refusal.Do, c.do)
		})
	}
}

// Rows as they are dripped by hand are taken as planned.
func TestRenderedRowsDrippedByHand(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		card testCard
		rows []int
	}{
		"a drop a third of its width off its row": {rowsCard(0.085,
			[2]float64{0.2, 0.25}, [2]float64{0.5, 0.31}, [2]float64{0.8, 0.25}, [2]float64{1.15, 0.22},
			[2]float64{0.2, 0.55}, [2]float64{0.5, 0.55}, [2]float64{0.8, 0.49}, [2]float64{1.15, 0.58}), []int{4, 4}},
		"rows that slope": {rowsCard(0.085,
			[2]float64{0.2, 0.25}, [2]float64{0.5, 0.29}, [2]float64{0.8, 0.32}, [2]float64{1.15, 0.36},
			[2]float64{0.2, 0.6}, [2]float64{0.5, 0.64}, [2]float64{0.8, 0.68}, [2]float64{1.15, 0.72}), []int{4, 4}},
		"a row of one drop":       {rowsCard(0.085, append(fourByTwo[:4:4], [2]float64{0.7, 0.6})...), []int{4, 1}},
		"a first row of one":      {rowsCard(0.085, append([][2]float64{{0.21, 0.3}}, fourByTwo[4:]...)...), []int{1, 4}},
		"one row":                 {rowsCard(0.085, fourByTwo[:4]...), []int{4}},
		"one drop":                {rowsCard(0.085, fourByTwo[:1]...), []int{1}},
		"staggered rows":          {rowsCard(0.085, append(fourByTwo[:4:4], [2]float64{0.36, 0.55}, [2]float64{0.69, 0.55}, [2]float64{1.03, 0.55})...), []int{4, 3}},
		"a row of drops touching": {rowsCard(0.12, [2]float64{0.3, 0.3}, [2]float64{0.53, 0.35}, [2]float64{1, 0.33}, [2]float64{0.4, 0.7}), []int{3, 1}},
	} {
		for _, tilt := range []float64{0, 0.12} {
			c.card.tilt, c.card.turn = tilt, -tilt
			r, err := Read(c.card.file(t), Expect{Rows: c.rows, Card: whiteCard})
			require.NoError(t, err, "%s, tilt %g", name, tilt)
			for i, d := range r.Drops {
				assert.Less(t, spectrum.DE00(d.Colour.Lab, c.card.drops[i].lab), 2.0, "%s, tilt %g, drop %d", name, tilt, i+1)
			}
		}
	}
}

// Without rows in the plan they are what the picture shows; where it shows none the
// order is a guess, and said to be one.
func TestRowsThatCannotBeToldApart(t *testing.T) {
	t.Parallel()
	const says = "the drops stand in no clear rows: look at the overlay to see how they are numbered, or write the plan's line rows"
	c := rowsCard(0.085, [2]float64{0.2, 0.25}, [2]float64{0.5, 0.33}, [2]float64{0.8, 0.25}, [2]float64{0.2, 0.49}, [2]float64{0.5, 0.57}, [2]float64{0.8, 0.41})
	r, err := Read(c.file(t), Expect{Drops: 6, Card: whiteCard})
	require.NoError(t, err)
	assert.Contains(t, r.Notes, says)
	r, err = Read(rowsCard(0.085, fourByTwo...).file(t), Expect{Drops: 8, Card: whiteCard})
	require.NoError(t, err)
	assert.NotContains(t, r.Notes, says)
}

// Which side of a card is its upper one cannot be told at half a right angle: without a
// plan's rows that is said, and with them the other order is refused.
func TestHalfTurnedCardsSaySo(t *testing.T) {
	t.Parallel()
	sheet := printedSheet(card.A5, sceneShelf, wax.SetState)
	sheet.Print = nil
	truth := sheet.Photograph(scene.Options{Seed: 3, WidthPx: 1000, HeightPx: 750, Fills: 0.25, RotationDegrees: 45})
	file := picturetest.Encoded(t, truth.Image, 92)
	r, err := Read(file, Expect{Card: truth.Card})
	require.NoError(t, err)
	assert.Contains(t, fmt.Sprint(r.Notes), "turned by half a right angle")
}
