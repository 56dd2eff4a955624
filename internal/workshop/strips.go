package workshop

import (
	"context"
	"fmt"
	"math"
	"time"

	"setshade/internal/card"
	"setshade/internal/photo"
	"setshade/internal/spectrum"
	"setshade/internal/store"
	"setshade/internal/wax"
)

// strips are the colours that the strips of printed cards are taken to have, by
// print.
type strips struct{ references, anchors map[string]store.KeptStrip }

func (w *Workshop) strips(ctx context.Context) (strips, error) {
	s := strips{map[string]store.KeptStrip{}, map[string]store.KeptStrip{}}
	kept, err := w.Store.Strips(ctx)
	for _, k := range kept {
		if k.Kind == store.Reference {
			s.references[k.Print] = k
		} else {
			s.anchors[k.Print] = k
		}
	}
	return s, err
}

// of gives the reader the strip of the card it has recognised.
func (s strips) of(g card.Geometry) (reference, anchor []spectrum.Lab) {
	print := g.Print()
	return s.references[print].Patches, s.anchors[print].Patches
}

func (s strips) hasAnchor(print string) bool { return s.anchors[print].Patches != nil }

// printOf names the printed card of a reading, "" for a plain one.
func printOf(r photo.Reading) string {
	if r.Printed == nil {
		return ""
	}
	return r.Printed.Print()
}

// anchorOf is the corrected strip of a reading, nil when too little of it can be
// used to bring other photographs to it.
func anchorOf(r photo.Reading) wax.Strip {
	var strip wax.Strip
	for _, p := range r.Patches {
		lab := p.Corrected
		if !p.Sound {
			lab = spectrum.Lab{L: math.NaN(), A: math.NaN(), B: math.NaN()}
		}
		strip = append(strip, lab)
	}
	if strip.Sound() < photo.LeastPatches {
		return nil
	}
	return strip
}

// SaveReference keeps the strip of a print as an instrument measured it; from then
// on photographs of that print are brought to it.
func (w *Workshop) SaveReference(ctx context.Context, g card.Geometry, file string, strip wax.Strip) error {
	if n := strip.Sound(); n < photo.LeastPatches {
		return fmt.Errorf("the file %s has the colours of %d patches; at least %d of the card's %d are needed", file, n, photo.LeastPatches, len(g.Strip))
	}
	return w.Store.SaveStrip(ctx, store.KeptStrip{
		Print: g.Print(), Kind: store.Reference, Patches: strip, Name: file, KeptAt: w.Now(),
	})
}

// PrintStrip is what the strip of a printed card is taken to be.
type PrintStrip struct {
	// Print names the card, Name the photograph or the file the strip is from.
	Print, Name string
	Patches     wax.Strip
	KeptAt      time.Time
}

// Anchors lists the strips that later photographs are brought to.
func (w *Workshop) Anchors(ctx context.Context) ([]PrintStrip, error) {
	return w.stripsOf(ctx, store.Anchor)
}

// References lists the strips that were measured; they go before anchors.
func (w *Workshop) References(ctx context.Context) ([]PrintStrip, error) {
	return w.stripsOf(ctx, store.Reference)
}

func (w *Workshop) stripsOf(ctx context.Context, kind store.StripKind) ([]PrintStrip, error) {
	all, err := w.Store.Strips(ctx)
	var strips []PrintStrip
	for _, k := range all {
		if k.Kind == kind {
			strips = append(strips, PrintStrip{Print: k.Print, Name: k.Name, Patches: k.Patches, KeptAt: k.KeptAt})
		}
	}
	return strips, err
}

// ForgetAnchor forgets the anchor of a print; the next photograph of it that is
// recorded becomes the anchor.
func (w *Workshop) ForgetAnchor(ctx context.Context, g card.Geometry) error {
	return w.Store.ForgetStrip(ctx, g.Print(), store.Anchor)
}

// ForgetReference forgets the strip of a print as it was measured.
func (w *Workshop) ForgetReference(ctx context.Context, g card.Geometry) error {
	return w.Store.ForgetStrip(ctx, g.Print(), store.Reference)
}
