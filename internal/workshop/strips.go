package workshop

import (
	"context"
	"fmt"
	"math"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"setshade/internal/card"
	"setshade/internal/english"
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

// anchorNotes say of a card whose print has no anchor yet whether it becomes one. A
// measured strip goes before any anchor.
func (s strips) anchorNotes(r photo.Reading) []string {
	print := printOf(r)
	if print == "" || s.hasAnchor(print) || s.references[print].Patches != nil {
		return nil
	}
	_, why := r.AnchorFlaw()
	if why == "" && anchorOf(r) == nil {
		why = "too little of its strip can be used"
	}
	if why != "" {
		return []string{"not kept as the anchor that later photographs of this print are brought to, because " + why}
	}
	first := "the first photograph of a printed card: once recorded, later ones are brought to agree with it"
	if r.UnderLamp != "" {
		first += "; it was taken under a lamp: take the first one in daylight, or photograph all cards under this same lamp"
	}
	return []string{first}
}

// ChooseAnchor makes a recorded photograph, named as its file was or by one of its
// swatches, the anchor of its print. Photographs in the store keep their numbers until
// they are read again. It returns notes on what the photograph is like.
func (w *Workshop) ChooseAnchor(ctx context.Context, from string) (PrintStrip, []string, error) {
	hash, err := w.recordedAs(ctx, from)
	if err != nil {
		return PrintStrip{}, nil, err
	}
	kept, err := w.Store.Photo(ctx, hash)
	if err != nil {
		return PrintStrip{}, nil, err
	}
	known, err := w.strips(ctx)
	if err != nil {
		return PrintStrip{}, nil, err
	}
	seen, err := lookAgain(kept, strips{references: known.references})
	if err != nil {
		return PrintStrip{}, nil, fmt.Errorf("photograph %s: %w", kept.Name, err)
	}
	strip := anchorOf(seen)
	switch {
	case seen.Printed == nil:
		return PrintStrip{}, nil, fmt.Errorf("the photograph %s shows no printed card; name one that does", kept.Name)
	case strip == nil:
		return PrintStrip{}, nil, fmt.Errorf("too little of the strip can be used in %s; name another photograph", kept.Name)
	}
	var notes []string
	if _, why := seen.AnchorFlaw(); why != "" {
		notes = append(notes, why+"; later photographs are brought to what it shows all the same")
	}
	if seen.UnderLamp != "" {
		notes = append(notes, seen.UnderLamp+"; photograph all cards under this same lamp, or choose one in daylight")
	}
	anchor := PrintStrip{Print: printOf(seen), Name: kept.Name, Patches: strip, KeptAt: w.Now()}
	return anchor, notes, w.Store.SaveStrip(ctx, store.KeptStrip{
		Print: anchor.Print, Kind: store.Anchor, Patches: strip, Name: kept.Name, SHA256: hash, KeptAt: anchor.KeptAt,
	})
}

// recordedAs finds the photograph that was recorded under a name, or that a swatch is
// from.
func (w *Workshop) recordedAs(ctx context.Context, from string) (string, error) {
	swatches, err := w.Store.Swatches(ctx, store.Filter{})
	if err != nil {
		return "", err
	}
	found := ""
	for _, s := range swatches {
		if s.Photo.Name == filepath.Base(from) || strconv.FormatInt(s.ID, 10) == strings.TrimPrefix(from, "swatch ") {
			if found != "" && found != s.Photo.SHA256 {
				return "", fmt.Errorf("several photographs were recorded as %q; name one of its swatches instead", from)
			}
			found = s.Photo.SHA256
		}
	}
	if found == "" {
		return "", fmt.Errorf("no photograph was recorded as %q; name its file, or the number of a swatch of it", from)
	}
	return found, nil
}

// SaveReference keeps the strip of a print as an instrument measured it; from then
// on photographs of that print are brought to it.
func (w *Workshop) SaveReference(ctx context.Context, g card.Geometry, file string, strip wax.Strip) error {
	if n := strip.Sound(); n < photo.LeastPatches {
		return fmt.Errorf("the file %s has the colours of %s; at least %d of the card's %d are needed", file, english.Count(n, "patch", "patches"), photo.LeastPatches, len(g.Strip))
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
// recorded and is fit for it becomes the anchor, or the best when all are read again.
func (w *Workshop) ForgetAnchor(ctx context.Context, g card.Geometry) error {
	return w.Store.ForgetStrip(ctx, g.Print(), store.Anchor)
}

// ForgetReference forgets the strip of a print as it was measured.
func (w *Workshop) ForgetReference(ctx context.Context, g card.Geometry) error {
	return w.Store.ForgetStrip(ctx, g.Print(), store.Reference)
}
