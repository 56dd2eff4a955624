package workshop

import (
	"context"
	"math"

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
