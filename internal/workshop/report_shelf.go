package workshop

import (
	"context"
	"time"

	"setshade/internal/wax"
)

// ShelfReport is what is known of the dyes on the shelf, wax by wax.
type ShelfReport struct {
	At    time.Time
	Waxes []WaxReport
}

// WaxReport is what is known of the dyes in one wax.
type WaxReport struct {
	Wax wax.Wax
	// Lesson is what was learned; nil when nothing was.
	Lesson *Lesson
	// Dyes are those learned, in order of name, and Unlearned the others on the
	// shelf.
	Dyes      []ShelfDye
	Unlearned []wax.Dye
	// Next are the drops worth making.
	Next []NextDrop
	// Notes say what the maker should know, in plain words.
	Notes []string
}

// ShelfDye is a learned dye, its doses foretold at even ratios.
type ShelfDye struct {
	LearnedDye
	Dye wax.Dye
}

// ReportShelf gathers what is known of the dyes in a wax; without a name, in
// every wax on the shelf.
func (w *Workshop) ReportShelf(ctx context.Context, waxName string) (ShelfReport, error) {
	r := ShelfReport{At: w.Now()}
	waxes, err := w.Store.Waxes.List(ctx)
	if err != nil {
		return ShelfReport{}, err
	}
	if waxName != "" || len(waxes) == 0 {
		one, err := w.wax(ctx, waxName)
		if err != nil {
			return ShelfReport{}, err
		}
		waxes = []wax.Wax{one}
	}
	for _, base := range waxes {
		of, err := w.reportWax(ctx, base)
		if err != nil {
			return ShelfReport{}, err
		}
		r.Waxes = append(r.Waxes, of)
	}
	return r, nil
}

func (w *Workshop) reportWax(ctx context.Context, base wax.Wax) (WaxReport, error) {
	r := WaxReport{Wax: base}
	dyes, err := w.Store.Dyes.List(ctx)
	if err != nil {
		return WaxReport{}, err
	}
	if r.Lesson, err = w.lastLesson(ctx, base); err != nil {
		return WaxReport{}, err
	}
	if r.Lesson == nil {
		r.Unlearned = dyes
		return r, nil
	}
	r.Notes = r.Lesson.Notes
	for _, d := range dyes {
		learned, err := r.Lesson.dye(d)
		switch {
		case err != nil:
			return WaxReport{}, err
		case learned == nil:
			r.Unlearned = append(r.Unlearned, d)
		default:
			r.Dyes = append(r.Dyes, ShelfDye{*learned, d})
		}
	}
	next, err := w.Next(ctx, base.Name, nil)
	r.Next = next.Drops
	return r, err
}
