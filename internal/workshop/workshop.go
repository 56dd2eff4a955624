package workshop

import (
	"context"
	"fmt"
	"strings"
	"time"

	"setshade/internal/store"
	"setshade/internal/wax"
)

// Workshop is a store at work.
type Workshop struct {
	Store *store.Store
	// Now tells the time that records carry.
	Now func() time.Time

	models modelCache
}

// wax finds a wax by name; without a name, the only wax on the shelf.
func (w *Workshop) wax(ctx context.Context, name string) (wax.Wax, error) {
	if name != "" {
		return w.Store.Waxes.Get(ctx, name)
	}
	all, err := w.Store.Waxes.List(ctx)
	switch {
	case err != nil:
		return wax.Wax{}, err
	case len(all) == 1:
		return all[0], nil
	case len(all) == 0:
		return wax.Wax{}, fmt.Errorf("there is no wax on the shelf yet; add one first")
	}
	names := make([]string, len(all))
	for i, x := range all {
		names[i] = x.Name
	}
	return wax.Wax{}, fmt.Errorf("there are several waxes on the shelf (%s); say which", strings.Join(names, ", "))
}
