package workshop

import (
	"context"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

// FuzzColour reads colours as makers write them, but for swatches, which need a
// store. One that is accepted is a colour of wax.
func FuzzColour(f *testing.F) {
	for _, text := range []string{"#d8a49b", "#D8A", "#", "62 8.5 -12", "62,5 8 1", "1e400 0 0", "NaN 0 0", "-0 150 -150", "swatch", "＃d8a49b"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		if words := strings.Fields(text); len(words) == 2 && strings.EqualFold(words[0], "swatch") {
			return
		}
		c, err := (&Workshop{}).colour(context.Background(), text)
		if err != nil {
			return
		}
		assert.True(t, c.lab.IsFinite())
		assert.True(t, c.lab.L >= 0 && c.lab.L <= 100.1, "%v", c.lab)
	})
}
