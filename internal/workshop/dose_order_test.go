package workshop

import (
	"bytes"
	"context"
	"image"
	"image/jpeg"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/plan"
	"setshade/internal/scene"
	"setshade/internal/store"
	"setshade/internal/wax"
)

// turnedJPEG turns a picture clockwise by quarters of a turn.
func turnedJPEG(t *testing.T, file []byte, quarters int) []byte {
	t.Helper()
	picture, err := jpeg.Decode(bytes.NewReader(file))
	require.NoError(t, err)
	for range quarters {
		size := picture.Bounds().Size()
		turned := image.NewRGBA(image.Rect(0, 0, size.Y, size.X))
		for y := range size.Y {
			for x := range size.X {
				turned.Set(size.Y-1-y, x, picture.At(x, y))
			}
		}
		picture = turned
	}
	var out bytes.Buffer
	require.NoError(t, jpeg.Encode(&out, picture, &jpeg.Options{Quality: 92}))
	return out.Bytes()
}

// ladders are a row for each of two dyes, from undyed wax to a strong dose.
func (b *bench) ladders() []wax.Recipe {
	return []wax.Recipe{
		nil, b.one(0, 0.2), b.one(0, 0.6), b.one(0, 2),
		nil, b.one(1, 0.2), b.one(1, 0.6), b.one(1, 2),
	}
}

// A card that stands on its head, or lies on its side, is known by its doses: light
// that dye absorbs is not returned, so that drops darken with dose.
func TestATurnedCardIsRefused(t *testing.T) {
	ctx := context.Background()
	b := newBench(t, scene.NewWax(scene.Soy), 4, 2)
	card, _ := b.photograph(false, b.ladders()...)
	upright, err := b.Read(ctx, card)
	require.NoError(t, err)
	for _, note := range upright.Notes {
		assert.NotContains(t, note, "lighter")
		assert.NotContains(t, note, "which way up")
	}
	for quarters, says := range map[int]string{
		1: "photographed lying on its side: drop ", 2: "photographed upside down: drop ", 3: "lying on its side: drop ",
	} {
		wrong := card
		wrong.Photo = turnedJPEG(t, card.Photo, quarters)
		if quarters != 2 { // a plan without rows; with them the rows do not fit already
			p, err := plan.Parse(card.PlanText)
			require.NoError(t, err)
			p.Rows = nil
			wrong.PlanText = plan.Format(p)
		}
		_, err := b.Record(ctx, wrong)
		require.ErrorContains(t, err, says)
		var mixed *MixedUp
		require.ErrorAs(t, err, &mixed)
		assert.Equal(t, 4-quarters, mixed.Quarters, "turned on by as much, it lies right")
		assert.Contains(t, Advice(err), "turn the photograph")
	}
	kept, err := b.Store.Swatches(ctx, store.Filter{})
	require.NoError(t, err)
	assert.Empty(t, kept)

	// A wrong label does not hide it.
	wrong := card
	p, err := plan.Parse(card.PlanText)
	require.NoError(t, err)
	p.Drops[6].Parts[0].Value = 9 // of 0.6
	wrong.Photo, wrong.PlanText = turnedJPEG(t, card.Photo, 2), plan.Format(p)
	_, err = b.Read(ctx, wrong)
	require.ErrorContains(t, err, "photographed upside down")

	wrong.PlanText = card.PlanText
	wrong.Photo, wrong.AsPlanned = turnedJPEG(t, card.Photo, 2), true
	r, err := b.Record(ctx, wrong)
	require.NoError(t, err, "unless the maker says so")
	assert.Contains(t, r.Notes[len(r.Notes)-1], "it was read as planned")
}

// A printed card tells how it lies: then the plan is at fault.
func TestAPlanFromTheWrongEndIsRefused(t *testing.T) {
	b := newBench(t, scene.NewWax(scene.Soy), 1, 3)
	card, _ := b.printed(daylight)
	p, err := plan.Parse(card.PlanText)
	require.NoError(t, err)
	for i := range p.Drops {
		p.Drops[i].Parts = nil
		if dye, step := i/4, i%4; step < 3 {
			p.Drops[i].Parts = []plan.Amount{{Dye: b.shelf.Dyes[2-dye].Name, Value: []float64{1.5, 0.4, 0.1}[step], Unit: plan.Gram}}
		}
	}
	card.PlanText = plan.Format(p)
	_, err = b.Read(context.Background(), card)
	require.ErrorContains(t, err, "the plan seems to count the drops from the wrong end")
	assert.Contains(t, Advice(err), "correct the plan")
}

// Doses that no two drops can be compared by do not tell which way up a plain card
// lies, and that is said; nor does it matter where a turn gives no drop another dose.
func TestDosesThatDoNotTellWhichWayUp(t *testing.T) {
	ctx := context.Background()
	b := newBench(t, scene.NewWax(scene.Soy), 4, 8)
	const says = "nothing in the doses tells which way up this plain card lies: number 1 is taken to be the top left of the picture as it lies"
	var each []wax.Recipe
	for dye := range b.shelf.Dyes {
		each = append(each, b.one(dye, 1))
	}
	card, _ := b.photograph(false, each...)
	for _, quarters := range []int{0, 2} {
		lying := card
		lying.Photo = turnedJPEG(t, card.Photo, quarters)
		r, err := b.Read(ctx, lying)
		require.NoError(t, err)
		assert.Contains(t, r.Notes, says)
		lying.Pointed = true
		r, err = b.Read(ctx, lying)
		require.NoError(t, err)
		assert.NotContains(t, r.Notes, says)
	}
	rowsTell, _ := b.photograph(false, each[:6]...) // of 4 and 2
	same, _ := b.photograph(false, each[0], each[0])
	for _, card := range []Card{rowsTell, same} {
		r, err := b.Read(ctx, card)
		require.NoError(t, err)
		assert.NotContains(t, r.Notes, says)
	}
}

// One drop with a wrong label is named, and the card is kept.
func TestADropOutOfOrderIsNoted(t *testing.T) {
	b := newBench(t, scene.NewWax(scene.Soy), 4, 2)
	recipes := b.ladders()
	card, _ := b.photograph(false, recipes...)
	p, err := plan.Parse(card.PlanText)
	require.NoError(t, err)
	p.Drops[6].Parts[0].Value = 9 // of 0.6: reads lighter than 2
	card.PlanText = plan.Format(p)
	r, err := b.Read(context.Background(), card)
	require.NoError(t, err)
	require.NotEmpty(t, r.Notes)
	note := r.Notes[len(r.Notes)-1]
	assert.Contains(t, note, "drop 7 ("+b.shelf.Dyes[1].Name+" 9 g/kg) reads lighter than drop 8 ("+b.shelf.Dyes[1].Name+" 2 g/kg)")
	assert.Contains(t, note, "may be wrong")
}

// What may be lighter with more of it: white pigment. What may not: a coloured one.
func TestWhitePigmentMayLighten(t *testing.T) {
	of := func(paleness ...float64) []wax.Swatch {
		var out []wax.Swatch
		for i, l := range paleness {
			s := wax.Swatch{Drop: i + 1, Card: plan.UsualCard}
			s.Colour.Lab.L = l
			if i > 0 {
				s.Recipe = wax.Recipe{{Dye: "Chalk", DoseGPerKg: float64(i)}}
			}
			out = append(out, s)
		}
		return out
	}
	order, forms := []int{0, 1, 2}, map[string]wax.Form{"Chalk": wax.Pigment}
	assert.Empty(t, inversions(of(84, 92, 96), order, forms))
	assert.Len(t, inversions(of(60, 75, 90), order, forms), 3)
	forms["Chalk"] = wax.Powder
	assert.Len(t, inversions(of(84, 92, 96), order, forms), 3)
}
