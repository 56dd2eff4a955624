package workshop

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/card"
	"setshade/internal/scene"
)

// All cards under one lamp is a choice that agrees with itself: a first photograph under
// it becomes the anchor, and says what that means. Where there is one in daylight too,
// that is the better anchor.
func TestAnAnchorUnderALampIsTold(t *testing.T) {
	ctx := context.Background()
	b := newBench(t, scene.NewWax(scene.Soy), 6, 3)
	night, _ := b.printed(scene.Options{Kelvin: 2700})
	r, err := b.Record(ctx, night)
	require.NoError(t, err)
	const told = "it was taken under a lamp: take the first one in daylight, or photograph all cards under this same lamp"
	assert.True(t, hasNote(r.Notes, told), r.Notes)
	assert.Equal(t, night.PhotoName, b.anchorName())
	day, _ := b.printed(daylight)
	r, err = b.Record(ctx, day)
	require.NoError(t, err)
	assert.False(t, hasNote(r.Notes, "as under a warm lamp"), r.Notes)

	_, notes, err := b.ChooseAnchor(ctx, night.PhotoName)
	require.NoError(t, err)
	assert.True(t, hasNote(notes, "photograph all cards under this same lamp, or choose one in daylight"), notes)
	require.NoError(t, b.ForgetAnchor(ctx, card.Layout(card.A5)))
	_, err = b.Reread(ctx, false, nil)
	require.NoError(t, err)
	assert.Equal(t, day.PhotoName, b.anchorName())
	again, err := b.Reread(ctx, false, nil)
	require.NoError(t, err)
	assert.False(t, again.Changed(), "read once more, all is as it was")
}
