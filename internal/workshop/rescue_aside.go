package workshop

import "context"

// KeepAside keeps what a rescue sets aside as stock with a number of its own, so
// that Match uses it. An answer that sets nothing aside keeps nothing, and notes it.
func (w *Workshop) KeepAside(ctx context.Context, r *Remedy) error {
	if r.SetAside == nil {
		r.Notes = append(r.Notes, "nothing is set aside, so no stock was kept")
		return nil
	}
	kept, err := w.KeepStock(ctx, *r.SetAside)
	if err != nil {
		return err
	}
	r.SetAside = &kept
	return nil
}
