package export

import (
	"fmt"

	"setshade/internal/store"
	"setshade/internal/wax"
)

// rowsOf lays contents out as rows.
func rowsOf(c store.Contents) rows {
	r := rows{
		waxes: c.Waxes, dyes: c.Dyes, moulds: c.Moulds, photos: c.Photos, swatches: c.Swatches, batches: c.Batches,
		numbers: []lastNumber{{"swatches", c.LastSwatch}, {"batches", c.LastBatch}},
	}
	for _, s := range c.Swatches {
		for _, part := range s.Recipe {
			r.swatchParts = append(r.swatchParts, swatchPart{s.ID, part})
		}
	}
	for _, b := range c.Batches {
		for i, colour := range b.Colours {
			r.colours = append(r.colours, batchColour{b.ID, i + 1, colour})
			for _, part := range colour.Recipe {
				r.batchParts = append(r.batchParts, batchPart{b.ID, i + 1, part})
			}
		}
		for _, l := range b.Lots {
			r.lots = append(r.lots, batchLot{b.ID, l})
		}
	}
	for _, l := range c.Learned {
		r.learned = append(r.learned, lesson{l, hashOf(l.Model)})
	}
	return r
}

// contents is the inverse of rowsOf. It refuses rows that belong to no other.
func (r *rows) contents() (store.Contents, error) {
	c := store.Contents{
		Waxes: r.waxes, Dyes: r.dyes, Moulds: r.moulds, Photos: r.photos, Swatches: r.swatches, Batches: r.batches,
	}
	for _, l := range r.learned {
		c.Learned = append(c.Learned, l.Lesson)
	}
	for _, n := range r.numbers {
		switch n.of {
		case "swatches":
			c.LastSwatch = n.last
		case "batches":
			c.LastBatch = n.last
		default:
			return c, fmt.Errorf("the table numbers has %.40q; it must be swatches or batches", n.of)
		}
	}
	if err := r.fillSwatches(c.Swatches); err != nil {
		return c, err
	}
	return c, r.fillBatches(c.Batches)
}

func (r *rows) fillSwatches(swatches []wax.Swatch) error {
	photos := map[string]store.KeptPhoto{}
	for _, p := range r.photos {
		photos[p.SHA256] = p
	}
	at := map[int64]*wax.Swatch{}
	for i := range swatches {
		s := &swatches[i]
		at[s.ID] = s
		p := photos[s.Photo.SHA256]
		s.Photo.Name, s.Photo.Reader, s.Photo.RecordedAt = p.Name, p.Reader, p.RecordedAt
	}
	for _, p := range r.swatchParts {
		s := at[p.swatch]
		if s == nil {
			return fmt.Errorf("the table swatch_parts has a dye of swatch %d, which is not there", p.swatch)
		}
		s.Recipe = append(s.Recipe, p.part)
	}
	return nil
}

func (r *rows) fillBatches(batches []store.Poured) error {
	at := map[int64]*store.Poured{}
	for i := range batches {
		at[batches[i].ID] = &batches[i]
	}
	for _, c := range r.colours {
		b := at[c.batch]
		if b == nil || c.position != len(b.Colours)+1 {
			return fmt.Errorf("the table batch_colours has colour %d of batch %d out of place; number the colours of each batch from 1", c.position, c.batch)
		}
		b.Colours = append(b.Colours, c.colour)
	}
	for _, p := range r.batchParts {
		b := at[p.batch]
		if b == nil || p.position < 1 || p.position > len(b.Colours) {
			return fmt.Errorf("the table batch_parts has a dye of colour %d of batch %d, which is not there", p.position, p.batch)
		}
		colour := &b.Colours[p.position-1]
		colour.Recipe = append(colour.Recipe, p.part)
	}
	for _, l := range r.lots {
		b := at[l.batch]
		if b == nil {
			return fmt.Errorf("the table batch_lots has a lot of batch %d, which is not there", l.batch)
		}
		b.Lots = append(b.Lots, l.lot)
	}
	return nil
}
