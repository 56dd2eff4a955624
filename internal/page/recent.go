package page

import (
	"slices"
	"sync"
)

// recent keeps the newest things of a kind by their ids: once there are most of them,
// the oldest makes room. It may be used from several goroutines.
type recent[T any] struct {
	most int

	lock sync.Mutex
	ids  []string
	of   map[string]T
}

// add keeps one under an id, unless there is one already; it returns what is kept, and
// whether it is new.
func (k *recent[T]) add(id string, one T) (kept T, isNew bool) {
	k.lock.Lock()
	defer k.lock.Unlock()
	if kept, there := k.of[id]; there {
		return kept, false
	}
	if k.of == nil {
		k.of = map[string]T{}
	}
	if len(k.ids) >= k.most {
		delete(k.of, k.ids[0])
		k.ids = k.ids[1:]
	}
	k.ids, k.of[id] = append(k.ids, id), one
	return one, true
}

func (k *recent[T]) get(id string) (T, bool) {
	k.lock.Lock()
	defer k.lock.Unlock()
	one, there := k.of[id]
	return one, there
}

func (k *recent[T]) remove(id string) {
	k.lock.Lock()
	defer k.lock.Unlock()
	delete(k.of, id)
	k.ids = slices.DeleteFunc(k.ids, func(kept string) bool { return kept == id })
}
