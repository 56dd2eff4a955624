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
		stocks: c.Stocks, rescues: c.Rescues, strips: c.Strips,
		numbers: []lastNumber{{"swatches", c.LastSwatch}, {"batches", c.LastBatch}, {"stocks", c.LastStock}, {"rescues", c.LastRescue}},
	}
	for _, x := range c.Rescues {
		for i, step := range x.Steps {
			r.rescueSteps = append(r.rescueSteps, rescueStep{x.Number, i + 1, step})
		}
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
			for place, a := range colour.Additives {
				r.batchExtras = append(r.batchExtras, batchAdditive{b.ID, i + 1, place + 1, a})
			}
		}
		for _, l := range b.Lots {
			r.lots = append(r.lots, batchLot{b.ID, l})
		}
	}
	for _, s := range c.Stocks {
		for _, part := range s.Recipe {
			r.stockParts = append(r.stockParts, stockPart{s.Number, part})
		}
		for place, a := range s.Additives {
			r.stockExtras = append(r.stockExtras, stockAdditive{s.Number, place + 1, a})
		}
	}
	if c.Earlier != nil {
		r.earlier = []earlier{{*c.Earlier, hashOf([]byte(c.Earlier.Contents))}}
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
		Stocks: r.stocks, Rescues: r.rescues, Strips: r.strips,
	}
	for _, l := range r.learned {
		c.Learned = append(c.Learned, l.Lesson)
	}
	if len(r.earlier) > 0 {
		c.Earlier = &r.earlier[0].Earlier
	}
	for _, n := range r.numbers {
		switch n.of {
		case "swatches":
			c.LastSwatch = n.last
		case "batches":
			c.LastBatch = n.last
		case "stocks":
			c.LastStock = n.last
		case "rescues":
			c.LastRescue = n.last
		default:
			return c, fmt.Errorf("the table numbers has %.40q; it must be swatches, batches, stocks or rescues", n.of)
		}
	}
	if err := r.fillSwatches(c.Swatches); err != nil {
		return c, err
	}
	if err := r.fillBatches(c.Batches); err != nil {
		return c, err
	}
	at := byNumber(c.Rescues, func(x *store.Rescue) int64 { return x.Number })
	for _, s := range r.rescueSteps {
		x := at[s.rescue]
		if x == nil || !appendAt(s.position, &x.Steps, s.step) {
			return c, fmt.Errorf("the table rescue_steps has step %d of rescue %d out of place; number those of each rescue from 1", s.position, s.rescue)
		}
	}
	return c, r.fillStocks(c.Stocks)
}

func (r *rows) fillSwatches(swatches []wax.Swatch) error {
	photos := map[string]store.KeptPhoto{}
	for _, p := range r.photos {
		photos[p.SHA256] = p
	}
	for i := range swatches {
		s := &swatches[i]
		p := photos[s.Photo.SHA256]
		s.Photo = wax.PhotoRef{
			SHA256: s.Photo.SHA256, Name: p.Name, Reader: p.Reader, RecordedAt: p.RecordedAt, Card: p.Card, Correction: p.Correction, Quality: p.Quality,
		}
	}
	at := byNumber(swatches, func(s *wax.Swatch) int64 { return s.ID })
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
	at := byNumber(batches, func(b *store.Poured) int64 { return b.ID })
	for _, c := range r.colours {
		b := at[c.batch]
		if b == nil || !appendAt(c.position, &b.Colours, c.colour) {
			return fmt.Errorf("the table batch_colours has colour %d of batch %d out of place; number the colours of each batch from 1", c.position, c.batch)
		}
	}
	for _, p := range r.batchParts {
		b := at[p.batch]
		if b == nil || p.position < 1 || p.position > len(b.Colours) {
			return fmt.Errorf("the table batch_parts has a dye of colour %d of batch %d, which is not there", p.position, p.batch)
		}
		colour := &b.Colours[p.position-1]
		colour.Recipe = append(colour.Recipe, p.part)
	}
	for _, a := range r.batchExtras {
		b := at[a.batch]
		if b == nil || a.position < 1 || a.position > len(b.Colours) {
			return fmt.Errorf("the table batch_additives has an additive of colour %d of batch %d, which is not there", a.position, a.batch)
		}
		if !appendAt(a.place, &b.Colours[a.position-1].Additives, a.additive) {
			return fmt.Errorf("the table batch_additives has additive %d of colour %d of batch %d out of place; number those of each colour from 1", a.place, a.position, a.batch)
		}
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

func (r *rows) fillStocks(stocks []wax.Stock) error {
	at := byNumber(stocks, func(s *wax.Stock) int64 { return s.Number })
	for _, p := range r.stockParts {
		s := at[p.stock]
		if s == nil {
			return fmt.Errorf("the table stock_parts has a dye of stock %d, which is not there", p.stock)
		}
		s.Recipe = append(s.Recipe, p.part)
	}
	for _, a := range r.stockExtras {
		s := at[a.stock]
		if s == nil || !appendAt(a.place, &s.Additives, a.additive) {
			return fmt.Errorf("the table stock_additives has additive %d of stock %d out of place; number those of each stock from 1", a.place, a.stock)
		}
	}
	return nil
}

// byNumber finds rows by the number that rows of other tables name.
func byNumber[T any](rows []T, number func(*T) int64) map[int64]*T {
	at := make(map[int64]*T, len(rows))
	for i := range rows {
		at[number(&rows[i])] = &rows[i]
	}
	return at
}

// appendAt appends v if its place, counted from 1, is the next one.
func appendAt[T any](place int, list *[]T, v T) bool {
	if place != len(*list)+1 {
		return false
	}
	*list = append(*list, v)
	return true
}
