package workshop

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"image"
	"slices"

	"setshade/internal/photo"
	"setshade/internal/picture"
	"setshade/internal/plaintext"
	"setshade/internal/plan"
	"setshade/internal/rank"
	"setshade/internal/spectrum"
	"setshade/internal/store"
	"setshade/internal/wax"
)

// Card is a photographed card with its plan, as the maker hands them over.
type Card struct {
	PhotoName, PlanName string
	Photo               []byte
	PlanText            string
	// Chart lies beside the card.
	Chart Chart
	// AsPlanned keeps the drops as the plan counts them even where they darken with
	// their doses only when the card is turned.
	AsPlanned bool
	// Pointed says that each dose was given beside a picture of its drop, so that
	// nothing hangs on which way up a plain card lies.
	Pointed bool
	// SameAs is the SHA-256 of a recorded photograph of the same card; "" for a card
	// that is new. Where nothing is in PlanText, the plan of that one holds.
	SameAs string
	// Replans is the SHA-256 of this very photograph where it is recorded already and gets
	// another plan; "" else.
	Replans string
	// Light is the light that the card lay in, "" where the plan or nobody says it.
	Light wax.Light
}

// Reading is what was read from a card.
type Reading struct {
	// Swatches in card order; numbered once they are recorded.
	Swatches []wax.Swatch
	// Notes are remarks on the picture and on doses, in plain words.
	Notes      []string
	Correction wax.Correction
	Quality    wax.Quality
	// Print is the printed card that was recognised, "" for a plain one.
	Print string

	seen     photo.Reading
	card     sameCard
	planText string
}

// LeftOut are the shares of a drop's area that took no part in its colour.
type LeftOut struct {
	Drop      int
	Rim, Bits float64
}

// LeftOut says what was left out of each drop, in the order of the swatches.
func (r Reading) LeftOut() []LeftOut {
	out := make([]LeftOut, len(r.seen.Drops))
	for i, d := range r.seen.Drops {
		out[i] = LeftOut{d.Number, d.Rejected.Rim, d.Rejected.Foreign}
	}
	return out
}

// DropAreaPx is the area of a middling drop, in pixels of the upright picture.
func (r Reading) DropAreaPx() int { return middlingArea(r.seen) }

func middlingArea(r photo.Reading) int {
	areas := make([]float64, len(r.Drops))
	for i, d := range r.Drops {
		areas[i] = float64(d.AreaPx)
	}
	return middling(areas)
}

func middling(areas []float64) int {
	if len(areas) == 0 {
		return 0
	}
	return int(rank.Median(areas))
}

// Overlay shows what was read where; nil when the picture could not be decoded.
func (r Reading) Overlay() image.Image { return r.seen.Overlay() }

// FlatField shows the light on the card; nil when it was not fitted.
func (r Reading) FlatField() image.Image { return r.seen.FlatField() }

// Residuals shows what the fitted light leaves on the bare card, ten times
// enlarged; nil when it was not fitted.
func (r Reading) Residuals() image.Image { return r.seen.Residuals() }

// Read reads a card without recording it. When the photograph is refused, the
// Reading still holds the overlay that shows why. It fails with a *MixedUp when the
// drops agree with the plan only once the card is turned.
func (w *Workshop) Read(ctx context.Context, c Card) (Reading, error) {
	p, doses, dyes, err := w.planned(ctx, &c)
	if err != nil {
		return Reading{}, fmt.Errorf("plan %s: %w", c.PlanName, err)
	}
	known, err := w.strips(ctx)
	if err != nil {
		return Reading{}, err
	}
	seen, err := look(c.Photo, p, c.Chart.Colours, known)
	out := Reading{
		Notes: c.Chart.told(seen.Notes), Correction: correctionOf(seen), Quality: wax.Quality(seen.Quality), Print: printOf(seen), seen: seen, planText: c.PlanText,
	}
	if err != nil {
		return out, fmt.Errorf("photograph %s: %w", c.PhotoName, err)
	}
	namesakes, err := w.lostNamesakes(ctx, c.PhotoName, c.Photo)
	if err != nil {
		return out, err
	}
	out.Notes = slices.Concat(out.Notes, known.anchorNotes(seen), namesakes)
	for i, d := range seen.Drops {
		dose := doses[i]
		if dose.LeftOut {
			continue
		}
		sw := wax.Swatch{Wax: p.Wax, State: p.State, Thick: p.Thick, Recipe: dose.Recipe, Check: dose.Check, MassG: dose.MassG, Card: p.Card, Drop: d.Number}
		measure(&sw, d, seen.Bar)
		out.Swatches = append(out.Swatches, sw)
		for _, n := range dose.Notes {
			out.Notes = append(out.Notes, fmt.Sprintf("drop %d: %s", d.Number, n))
		}
	}
	thickness, err := w.thicknessTold(ctx, p.Wax, out.Swatches)
	if err != nil {
		return out, fmt.Errorf("plan %s: %w", c.PlanName, err)
	}
	out.Notes = append(out.Notes, thickness...)
	astray, err := doseOrder(out.Swatches, seen, formsOf(dyes))
	if mixed := (*MixedUp)(nil); errors.As(err, &mixed) {
		if !c.AsPlanned {
			return out, fmt.Errorf("photograph %s: %w", c.PhotoName, err)
		}
		astray = []string{mixed.Error() + "; it was read as planned"}
	}
	if !c.Pointed && eitherWayUp(out.Swatches, seen, formsOf(dyes)) {
		out.Notes = append(out.Notes, "nothing in the doses tells which way up this plain card lies: number 1 is taken to be the top left of the picture as it lies")
	}
	doubts, err := w.otherState(ctx, out.Swatches)
	out.Notes = append(append(out.Notes, astray...), doubts...)
	if err != nil || c.SameAs == "" {
		return out, err
	}
	if out.card, err = w.sameCardAs(ctx, c.SameAs, p.State, known); err != nil || len(out.card.pictured) == 0 {
		return out, err
	}
	swatches, notes, err := out.card.with(seen, out.Swatches)
	if err != nil {
		return out, fmt.Errorf("photograph %s: %w", c.PhotoName, err)
	}
	out.Swatches, out.Notes = swatches, append(out.Notes, notes...)
	return out, nil
}

// measure puts what the reader saw of a drop into its swatch.
func measure(sw *wax.Swatch, d photo.Drop, bar *spectrum.Lab) {
	sw.Colour, sw.AreaPx, sw.AreaShare, sw.Notes, sw.DiameterMM = d.Colour, d.AreaPx, d.AreaShare, d.Notes, d.DiameterMM
	sw.OverBlack, sw.Bar = nil, nil
	if d.OverBlack != nil && bar != nil {
		sw.OverBlack, sw.Bar = d.OverBlack, bar
	}
}

func correctionOf(r photo.Reading) wax.Correction {
	c := r.Correction
	return wax.Correction{
		Kind: string(c.Kind), Model: c.Model, Patches: c.Patches,
		MedianDE00: c.MedianDE00, WorstDE00: c.WorstDE00, HeldOutDE00: c.HeldOutDE00,
	}
}

// planned reads the plan and turns its doses into g/kg with the dyes of the shelf. It
// completes the text by what is told beside it.
func (w *Workshop) planned(ctx context.Context, c *Card) (plan.Plan, []plan.Resolved, []wax.Dye, error) {
	if c.PlanText == "" && c.SameAs != "" {
		p, err := w.PlanOf(ctx, c.SameAs)
		if err != nil {
			return p, nil, nil, err
		}
		c.PlanText = plan.Format(p)
	}
	p, err := plan.Parse(c.PlanText)
	if err != nil {
		return p, nil, nil, err
	}
	if c.PlanText, err = withLight(c.PlanText, p, c.Light); err != nil {
		return p, nil, nil, err
	}
	p.Light = cmp.Or(c.Light, p.Light)
	known, err := w.Store.Waxes.Get(ctx, p.Wax)
	if err != nil {
		return p, nil, nil, err
	}
	p.Wax = known.Name
	dyes, err := w.Store.Dyes.List(ctx)
	if err != nil {
		return p, nil, nil, err
	}
	doses, err := p.Resolve(dyes)
	return p, doses, dyes, err
}

// Record reads a card and keeps its photograph, its plan and its swatches, all
// or nothing.
func (w *Workshop) Record(ctx context.Context, c Card) (Reading, error) {
	out, err := w.Read(ctx, c)
	if err != nil {
		return out, err
	}
	kept := readingOf(out.seen)
	if _, why := out.seen.AnchorFlaw(); why != "" {
		kept.Anchor = nil
	}
	kept.Name, kept.Bytes, kept.PlanText, kept.Chart, kept.RecordedAt = plaintext.Name(c.PhotoName), c.Photo, out.planText, c.Chart.Colours, w.Now()
	kept.Card, kept.Replaces = out.card.number, c.Replans != ""
	var swatches []wax.Swatch
	if len(out.card.pictured) > 0 {
		kept.With = out.card.pictured[0].SHA256
		swatches, err = w.Store.Add(ctx, kept, out.card.readingsOf(out.Swatches)...)
	} else {
		swatches, err = w.Store.Record(ctx, kept, out.Swatches)
	}
	if err != nil {
		return out, err
	}
	out.Swatches = swatches
	return out, nil
}

// readingOf is what the store keeps of a reading beside its drops, its strip as an
// anchor.
func readingOf(r photo.Reading) store.Photo {
	p := store.Photo{
		Reader: photo.ReaderVersion, Correction: correctionOf(r), Quality: wax.Quality(r.Quality),
		Print: printOf(r), Anchor: anchorOf(r), Light: string(r.Light),
	}
	for _, patch := range r.Patches {
		p.Patches = append(p.Patches, patch.Colour)
	}
	return p
}

// Advice returns what a refusal needs, "" for an error that says so itself.
func Advice(err error) string {
	var advised interface{ Advice() string }
	if errors.As(err, &advised) {
		return advised.Advice()
	}
	var refusal *picture.Refusal
	if errors.As(err, &refusal) {
		return refusal.Do
	}
	return ""
}
