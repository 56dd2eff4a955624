package workshop

import (
	"bytes"
	"sync"

	"setshade/internal/calibrate"
)

// modelCache keeps what was last learned of each wax as a model, so that it is
// not made anew from the store's text for every question. The text itself is
// the key: whoever learns again, in this program or another, is seen at once.
type modelCache struct {
	lock sync.Mutex
	of   map[string]cachedModel
}

type cachedModel struct {
	saved []byte
	model *calibrate.Model
}

// parse returns the model that was saved of a wax.
func (c *modelCache) parse(waxName string, saved []byte) (*calibrate.Model, error) {
	c.lock.Lock()
	defer c.lock.Unlock()
	if kept := c.of[waxName]; bytes.Equal(kept.saved, saved) && kept.model != nil {
		return kept.model, nil
	}
	model, err := calibrate.ReadModel(saved)
	if err != nil {
		return nil, err
	}
	if c.of == nil {
		c.of = map[string]cachedModel{}
	}
	c.of[waxName] = cachedModel{saved, model}
	return model, nil
}
