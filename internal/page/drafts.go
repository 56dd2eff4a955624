package page

import (
	"crypto/rand"
	"image"
	"sync"

	"setshade/internal/plan"
	"setshade/internal/workshop"
)

// draft is a photograph that was looked at and is not recorded yet.
type draft struct {
	id    string
	name  string
	photo []byte
	sight workshop.Sight
	// chart lies beside the card.
	chart workshop.Chart
	// plan is what was said so far of the card.
	plan plan.Plan
	// overlay is the picture of what was seen where, as JPEG, and size its pixels;
	// nil without one.
	overlay []byte
	size    image.Point
	// refusal is why the photograph cannot be read, nil when it can.
	refusal error
}

// mostDrafts bounds memory: the oldest makes room.
const mostDrafts = 6

type drafts struct {
	lock sync.Mutex
	all  []*draft
}

func (d *drafts) add(one *draft) {
	d.lock.Lock()
	defer d.lock.Unlock()
	one.id = rand.Text()
	if len(d.all) >= mostDrafts {
		d.all = d.all[1:]
	}
	d.all = append(d.all, one)
}

// get returns a draft, nil when it is gone.
func (d *drafts) get(id string) *draft {
	d.lock.Lock()
	defer d.lock.Unlock()
	for _, one := range d.all {
		if one.id == id {
			return one
		}
	}
	return nil
}

func (d *drafts) remove(id string) {
	d.lock.Lock()
	defer d.lock.Unlock()
	for i, one := range d.all {
		if one.id == id {
			d.all = append(d.all[:i:i], d.all[i+1:]...)
			return
		}
	}
}
