package workshop

import (
	"context"

	"setshade/internal/card"
	"setshade/internal/store"
)

// Print is a print of the test card that the store knows of.
type Print struct {
	card.Geometry
	// Reference and Anchor are what its strip is taken to be, the Reference first; nil
	// for none.
	Reference, Anchor *PrintStrip
	// Photographs are those of it, the first recorded first.
	Photographs []PrintPhotograph
}

// PrintPhotograph is a photograph of a print.
type PrintPhotograph struct {
	Photograph
	IsAnchor bool
}

// Prints lists the prints that have a strip or a photograph in the store, in order of
// paper and number.
func (w *Workshop) Prints(ctx context.Context) ([]Print, error) {
	photographs, err := w.Photographs(ctx)
	if err != nil {
		return nil, err
	}
	known, err := w.strips(ctx)
	if err != nil {
		return nil, err
	}
	var prints []Print
	for _, size := range card.Sizes() {
		for number := 1; number <= card.LastPrint; number++ {
			p := Print{Geometry: card.LayoutOfPrint(size, number)}
			name := p.Print()
			p.Reference, p.Anchor = printStripOf(known.references, name), printStripOf(known.anchors, name)
			for _, one := range photographs {
				if one.Print == name {
					p.Photographs = append(p.Photographs, PrintPhotograph{one, one.SHA256 == known.anchors[name].SHA256})
				}
			}
			if p.Reference != nil || p.Anchor != nil || p.Photographs != nil {
				prints = append(prints, p)
			}
		}
	}
	return prints, nil
}

func printStripOf(kept map[string]store.KeptStrip, print string) *PrintStrip {
	k, ok := kept[print]
	if !ok {
		return nil
	}
	return &PrintStrip{Print: k.Print, Name: k.Name, Patches: k.Patches, KeptAt: k.KeptAt}
}
