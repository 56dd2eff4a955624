package workshop

import (
	"context"
	"fmt"
	"slices"
	"time"

	"setshade/internal/english"
	"setshade/internal/plaintext"
	"setshade/internal/store"
	"setshade/internal/wax"
)

// BatchReport is a batch of the log with what is needed to read it.
type BatchReport struct {
	Logged
	At time.Time
	// Shelf are the dyes, to tell their doses as they are counted out.
	Shelf []wax.Dye
	// Cautions say what is unusual about the batch, in plain words.
	Cautions []string
}

// ReportBatch gathers what is known of a batch of the log.
func (w *Workshop) ReportBatch(ctx context.Context, id int64) (BatchReport, error) {
	logged, err := w.Batch(ctx, id)
	if err != nil {
		return BatchReport{}, err
	}
	base, err := w.Store.Waxes.Get(ctx, logged.Wax)
	if err != nil {
		return BatchReport{}, err
	}
	dyes, err := w.Store.Dyes.List(ctx)
	if err != nil {
		return BatchReport{}, err
	}
	r := BatchReport{Logged: logged, At: w.Now(), Shelf: dyes}
	r.Cautions = append(r.Cautions, overMost(logged.Poured, base, dyes)...)
	r.Cautions = append(r.Cautions, brokenPromises(logged)...)
	r.Cautions = append(r.Cautions, withoutLot(logged.Poured)...)
	return r, nil
}

// overMost says where a batch goes beyond what wax and dyes take.
func overMost(p store.Poured, base wax.Wax, dyes []wax.Dye) []string {
	var out []string
	say := func(format string, args ...any) {
		if text := fmt.Sprintf(format, args...); !slices.Contains(out, text) {
			out = append(out, text)
		}
	}
	for _, c := range p.Colours {
		if most := base.MaxLoad; most.Percent > 0 && c.Load.Percent > 0 && c.Load.PerWaxPercent() > most.PerWaxPercent()+1e-9 {
			say("the fragrance, %s, is above what %s takes, %s; it may sweat out", c.Load, base.Name, most)
		}
		for _, d := range dyes {
			if dose := c.Recipe.Dose(d.Name); d.MaxDoseGPerKg > 0 && dose > d.MaxDoseGPerKg*(1+1e-9) {
				say("%s at %.3g g/kg is above its highest dose on record, %g g/kg; it may not all dissolve, and may rub off", d.Name, dose, d.MaxDoseGPerKg)
			}
		}
	}
	return out
}

// brokenPromises says which colours came out further from what was promised than
// the interval of the promise.
func brokenPromises(b Logged) []string {
	var out []string
	for i, o := range b.Outcomes {
		c := b.Colours[i]
		if o == nil || o.MissDE00 == nil || *o.MissDE00 <= c.Promise.Drop.Within95 {
			continue
		}
		what := c.Name
		if what == "" {
			what = c.Recipe.String()
		}
		out = append(out, fmt.Sprintf("%s came out %.1f dE00 from what was promised, and %.1f holds 95 times in 100; before you pour it again, check the scale, the lot and the label on the drop's plan", what, *o.MissDE00, c.Promise.Drop.Within95))
	}
	return out
}

// withoutLot says of which dyes no lot was kept.
func withoutLot(p store.Poured) []string {
	var out []string
	for _, c := range p.Colours {
		for _, part := range c.Recipe {
			kept := slices.ContainsFunc(p.Lots, func(l store.Lot) bool { return plaintext.Same(l.Of, part.Dye) })
			if !kept && !slices.Contains(out, part.Dye) {
				out = append(out, part.Dye)
			}
		}
	}
	if out == nil {
		return nil
	}
	return []string{fmt.Sprintf("no lot was kept of %s; write it down while the packet is at hand, for a new lot may colour otherwise", english.Or(out))}
}
