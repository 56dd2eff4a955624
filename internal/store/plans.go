package store

import "context"

// PlansSaid returns the plans of the photographs recorded last, the newest first, at most
// so many.
func (s *Store) PlansSaid(ctx context.Context, most int) ([]string, error) {
	plans, err := readColumn[string](ctx, s.db, "SELECT plan_text FROM photos ORDER BY id DESC LIMIT ?", most)
	return plans, explain(s.path, err)
}
