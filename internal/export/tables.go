package export

import (
	"setshade/internal/spectrum"
	"setshade/internal/store"
	"setshade/internal/wax"
)

// rows are the contents of a store as the rows of tables.
type rows struct {
	waxes       []wax.Wax
	dyes        []wax.Dye
	moulds      []wax.Mould
	photos      []store.KeptPhoto
	swatches    []wax.Swatch
	swatchParts []swatchPart
	batches     []store.Poured
	colours     []batchColour
	batchParts  []batchPart
	lots        []batchLot
	batchExtras []batchAdditive
	stocks      []wax.Stock
	stockParts  []stockPart
	stockExtras []stockAdditive
	rescues     []store.Rescue
	rescueSteps []rescueStep
	strips      []store.KeptStrip
	learned     []lesson
	earlier     []earlier
	numbers     []lastNumber
}

type (
	swatchPart struct {
		swatch int64
		part   wax.Part
	}
	batchColour struct {
		batch    int64
		position int
		colour   store.PouredColour
	}
	batchPart struct {
		batch    int64
		position int
		part     wax.Part
	}
	batchLot struct {
		batch int64
		lot   store.Lot
	}
	// The place of an additive is that among those of its colour or stock.
	batchAdditive struct {
		batch           int64
		position, place int
		additive        wax.Additive
	}
	stockPart struct {
		stock int64
		part  wax.Part
	}
	stockAdditive struct {
		stock    int64
		place    int
		additive wax.Additive
	}
	rescueStep struct {
		rescue   int64
		position int
		step     store.RescueStep
	}
	lesson struct {
		store.Lesson
		sha256 string
	}
	earlier struct {
		store.Earlier
		sha256 string
	}
	lastNumber struct {
		of   string
		last int64
	}
)

// sheets are the tables of an export, in order. This is the one place that knows
// their columns: a new one is a line here.
func sheets(r *rows) []sheet {
	return []sheet{
		table[wax.Wax]{"waxes", "the waxes on the shelf; 0 is a figure that is not recorded", &r.waxes, []column[wax.Wax]{
			{"name", "name, once without regard to case", func(w *wax.Wax) cell { return text(&w.Name) }},
			{"refractive_index", "of the set wax, 1.3 to 1.6", func(w *wax.Wax) cell { return number(&w.RefractiveIndex) }},
			{"density_g_per_ml", "of the molten wax, g/ml", func(w *wax.Wax) cell { return number(&w.DensityGPerML) }},
			{"max_load_percent", "most fragrance, %", func(w *wax.Wax) cell { return number(&w.MaxLoad.Percent) }},
			{"max_load_per", "what that is a share of: wax, total, or empty for no limit", func(w *wax.Wax) cell { return text(&w.MaxLoad.Per) }},
			{"price_per_kg", "price of 1 kg, in the maker's currency", func(w *wax.Wax) cell { return number(&w.PricePerKg) }},
			{"heat_to_c", "°C", func(w *wax.Wax) cell { return number(&w.Bench.HeatToC) }},
			{"add_fragrance_at_c", "°C", func(w *wax.Wax) cell { return number(&w.Bench.AddFragranceAtC) }},
			{"pour_at_c", "°C", func(w *wax.Wax) cell { return number(&w.Bench.PourAtC) }},
			{"stir_minutes", "minutes", func(w *wax.Wax) cell { return number(&w.Bench.StirMinutes) }},
			{"set_hours", "hours", func(w *wax.Wax) cell { return number(&w.Bench.SetHours) }},
			{"cure_hours", "hours", func(w *wax.Wax) cell { return number(&w.Bench.CureHours) }},
		}},
		table[wax.Dye]{"dyes", "the dyes on the shelf; 0 is a figure that is not recorded", &r.dyes, []column[wax.Dye]{
			{"name", "name, once without regard to case", func(d *wax.Dye) cell { return text(&d.Name) }},
			{"form", "chip, liquid, powder, pigment or mica", func(d *wax.Dye) cell { return text(&d.Form) }},
			{"unit_mass_g", "mass of one chip or drop, g", func(d *wax.Dye) cell { return number(&d.UnitMassG) }},
			{"max_dose_g_per_kg", "highest dose, g of dye per kg of undyed wax", func(d *wax.Dye) cell { return number(&d.MaxDoseGPerKg) }},
			{"price_per_g", "price of 1 g, in the maker's currency", func(d *wax.Dye) cell { return number(&d.PricePerG) }},
			{"lot", "the supplier's mark", func(d *wax.Dye) cell { return text(&d.Lot) }},
		}},
		table[wax.Mould]{"moulds", "the moulds on the shelf", &r.moulds, []column[wax.Mould]{
			{"name", "name, once without regard to case", func(m *wax.Mould) cell { return text(&m.Name) }},
			{"cavities", "pieces that one mould gives", func(m *wax.Mould) cell { return whole(&m.Cavities) }},
			{"cavity_ml", "volume of one cavity, ml", func(m *wax.Mould) cell { return number(&m.CavityML) }},
		}},
		table[store.KeptPhoto]{"photos", "the photographs, in the order in which they were recorded; photos/ and plans/ have their bytes and plans", &r.photos, []column[store.KeptPhoto]{
			{"sha256", "SHA-256 of the bytes, in hex", func(p *store.KeptPhoto) cell { return text(&p.SHA256) }},
			{"name", "name of the maker's file", func(p *store.KeptPhoto) cell { return text(&p.Name) }},
			{"reader", "version of the reader that made the numbers", func(p *store.KeptPhoto) cell { return whole(&p.Reader) }},
			{"recorded_at", "when, UTC", func(p *store.KeptPhoto) cell { return moment(&p.RecordedAt) }},
			{"correction_kind", "what its colours are relative to, empty where that was not kept", func(p *store.KeptPhoto) cell { return text(&p.Correction.Kind) }},
			{"correction_model", "the form of the correction, in words", func(p *store.KeptPhoto) cell { return text(&p.Correction.Model) }},
			{"correction_patches", "patches it was fitted to", func(p *store.KeptPhoto) cell { return whole(&p.Correction.Patches) }},
			{"correction_median_de00", "what it leaves at them, the median, dE00", func(p *store.KeptPhoto) cell { return number(&p.Correction.MedianDE00) }},
			{"correction_worst_de00", "the same, the worst", func(p *store.KeptPhoto) cell { return number(&p.Correction.WorstDE00) }},
			{"correction_held_out_de00", "the median at patches held out of it", func(p *store.KeptPhoto) cell { return number(&p.Correction.HeldOutDE00) }},
			{"light_ratio", "brightest over darkest light on the card", func(p *store.KeptPhoto) cell { return number(&p.Quality.LightRatio) }},
			{"tint_shift", "change of the light's red over blue across the card, as a share", func(p *store.KeptPhoto) cell { return number(&p.Quality.TintShift) }},
			{"noise", "from pixel to pixel of bare card, as a share of card white", func(p *store.KeptPhoto) cell { return number(&p.Quality.Noise) }},
			{"edge_px", "width of a sharp edge, pixels; 0 where not known", func(p *store.KeptPhoto) cell { return number(&p.Quality.EdgePx) }},
			{"print", "the printed card: its size and the number of its print; empty for a plain one", func(p *store.KeptPhoto) cell { return printName(&p.Print) }},
			{"patches", "its strip as measured, before any correction: " + listOfColours, func(p *store.KeptPhoto) cell { return patches(&p.Patches) }},
			{"chart", "published colours of the chart beside the card: " + listOfColours, func(p *store.KeptPhoto) cell { return patches(&p.Chart) }},
			{"card", "number of the card that it shows", func(p *store.KeptPhoto) cell { return positive(&p.Card) }},
			{"with", "SHA-256 of the photograph together with which it was read, which has the swatches; empty for none", func(p *store.KeptPhoto) cell { return text(&p.With) }},
			{"light", "the light that its drops mirror, empty where it was not told", func(p *store.KeptPhoto) cell { return text(&p.Light) }},
		}},
		table[wax.Swatch]{"swatches", "the measured drops, in order of number; colours are CIELAB, D65, 2°", &r.swatches, swatchColumns()},
		table[swatchPart]{"swatch_parts", "the dyes of the swatches; undyed wax has none", &r.swatchParts, []column[swatchPart]{
			{"swatch", "number of the swatch", func(p *swatchPart) cell { return whole(&p.swatch) }},
			{"dye", "name of the dye", func(p *swatchPart) cell { return text(&p.part.Dye) }},
			{"dose_g_per_kg", "g of dye per kg of undyed wax", func(p *swatchPart) cell { return number(&p.part.DoseGPerKg) }},
		}},
		table[store.Poured]{"batches", "the log of what was poured, in order of number", &r.batches, []column[store.Poured]{
			{"number", "number of the batch", func(p *store.Poured) cell { return whole(&p.ID) }},
			{"wax", "name of the wax", func(p *store.Poured) cell { return text(&p.Wax) }},
			{"poured_at", "when, UTC", func(p *store.Poured) cell { return moment(&p.PouredAt) }},
			{"portion", "what portions count: piece or scoop", func(p *store.Poured) cell { return text(&p.Portion) }},
			{"notes", "the maker's notes, a JSON list", func(p *store.Poured) cell { return texts(&p.Notes) }},
		}},
		table[batchColour]{"batch_colours", "the colours of the batches; what was promised is CIELAB, D65, 2°, empty where nothing had been learned", &r.colours, []column[batchColour]{
			{"batch", "number of the batch", func(c *batchColour) cell { return whole(&c.batch) }},
			{"position", "place in the batch, from 1", func(c *batchColour) cell { return whole(&c.position) }},
			{"name", "name of the colour", func(c *batchColour) cell { return text(&c.colour.Name) }},
			{"portions", "pieces or scoops of it", func(c *batchColour) cell { return number(&c.colour.Portions) }},
			{"undyed_g", "undyed wax, g", func(c *batchColour) cell { return number(&c.colour.UndyedG) }},
			{"load_percent", "fragrance, %", func(c *batchColour) cell { return number(&c.colour.Load.Percent) }},
			{"load_per", "what that is a share of: wax or total", func(c *batchColour) cell { return text(&c.colour.Load.Per) }},
			{"piece_l", "promised L* of a piece", promised(func(p *store.Promise) *float64 { return &p.Piece.Lab.L })},
			{"piece_a", "promised a* of a piece", promised(func(p *store.Promise) *float64 { return &p.Piece.Lab.A })},
			{"piece_b", "promised b* of a piece", promised(func(p *store.Promise) *float64 { return &p.Piece.Lab.B })},
			{"piece_within_95", "dE00 within which it lies, 95 times in 100", promised(func(p *store.Promise) *float64 { return &p.Piece.Within95 })},
			{"drop_l", "promised L* of a test drop", promised(func(p *store.Promise) *float64 { return &p.Drop.Lab.L })},
			{"drop_a", "promised a* of a test drop", promised(func(p *store.Promise) *float64 { return &p.Drop.Lab.A })},
			{"drop_b", "promised b* of a test drop", promised(func(p *store.Promise) *float64 { return &p.Drop.Lab.B })},
			{"drop_within_95", "dE00 within which it lies, 95 times in 100", promised(func(p *store.Promise) *float64 { return &p.Drop.Within95 })},
			{"swatch", "number of the swatch read of it afterwards, empty for none", func(c *batchColour) cell { return positive(&c.colour.SwatchID) }},
		}},
		table[batchPart]{"batch_parts", "the dyes of the colours of the batches; undyed wax has none", &r.batchParts, []column[batchPart]{
			{"batch", "number of the batch", func(p *batchPart) cell { return whole(&p.batch) }},
			{"position", "place of the colour in the batch", func(p *batchPart) cell { return whole(&p.position) }},
			{"dye", "name of the dye", func(p *batchPart) cell { return text(&p.part.Dye) }},
			{"dose_g_per_kg", "g of dye per kg of undyed wax", func(p *batchPart) cell { return number(&p.part.DoseGPerKg) }},
		}},
		table[batchLot]{"batch_lots", "the suppliers' marks on what went into the batches", &r.lots, []column[batchLot]{
			{"batch", "number of the batch", func(l *batchLot) cell { return whole(&l.batch) }},
			{"of", "a wax, a dye, or what else has a lot", func(l *batchLot) cell { return text(&l.lot.Of) }},
			{"lot", "the mark", func(l *batchLot) cell { return text(&l.lot.Lot) }},
		}},
		table[batchAdditive]{"batch_additives", "what else was mixed into the colours of the batches", &r.batchExtras, []column[batchAdditive]{
			{"batch", "number of the batch", func(a *batchAdditive) cell { return whole(&a.batch) }},
			{"position", "place of the colour in the batch", func(a *batchAdditive) cell { return whole(&a.position) }},
			{"place", "place among the additives of the colour, from 1", func(a *batchAdditive) cell { return whole(&a.place) }},
			{"name", "name of the additive", func(a *batchAdditive) cell { return text(&a.additive.Name) }},
			{"percent", "% of the undyed wax", func(a *batchAdditive) cell { return number(&a.additive.Percent) }},
		}},
		table[wax.Stock]{"stocks", "dyed wax set aside, in order of number", &r.stocks, []column[wax.Stock]{
			{"number", "number of the stock", func(s *wax.Stock) cell { return whole(&s.Number) }},
			{"wax", "name of the wax", func(s *wax.Stock) cell { return text(&s.Wax) }},
			{"undyed_g", "undyed wax in what is left of it, g", func(s *wax.Stock) cell { return number(&s.UndyedG) }},
			{"load_percent", "fragrance, %", func(s *wax.Stock) cell { return number(&s.Load.Percent) }},
			{"load_per", "what that is a share of: wax or total", func(s *wax.Stock) cell { return text(&s.Load.Per) }},
			{"note", "the maker's note", func(s *wax.Stock) cell { return text(&s.Note) }},
			{"set_aside_at", "when, UTC", func(s *wax.Stock) cell { return moment(&s.SetAsideAt) }},
		}},
		table[stockPart]{"stock_parts", "the dyes of the stocks", &r.stockParts, []column[stockPart]{
			{"stock", "number of the stock", func(p *stockPart) cell { return whole(&p.stock) }},
			{"dye", "name of the dye", func(p *stockPart) cell { return text(&p.part.Dye) }},
			{"dose_g_per_kg", "g of dye per kg of undyed wax", func(p *stockPart) cell { return number(&p.part.DoseGPerKg) }},
		}},
		table[stockAdditive]{"stock_additives", "what else is mixed into the stocks", &r.stockExtras, []column[stockAdditive]{
			{"stock", "number of the stock", func(a *stockAdditive) cell { return whole(&a.stock) }},
			{"place", "place among the additives of the stock, from 1", func(a *stockAdditive) cell { return whole(&a.place) }},
			{"name", "name of the additive", func(a *stockAdditive) cell { return text(&a.additive.Name) }},
			{"percent", "% of the undyed wax", func(a *stockAdditive) cell { return number(&a.additive.Percent) }},
		}},
		table[store.Rescue]{"rescues", "rescues on their way, in order of number", &r.rescues, []column[store.Rescue]{
			{"number", "number of the rescue", func(x *store.Rescue) cell { return whole(&x.Number) }},
			{"wax", "name of the wax", func(x *store.Rescue) cell { return text(&x.Wax) }},
			{"begun_at", "when, UTC", func(x *store.Rescue) cell { return moment(&x.BegunAt) }},
			{"swatch", "number of the swatch read of the mended batch, empty for none", func(x *store.Rescue) cell { return positive(&x.SwatchID) }},
		}},
		table[rescueStep]{"rescue_steps", "the rescues after each step", &r.rescueSteps, []column[rescueStep]{
			{"rescue", "number of the rescue", func(x *rescueStep) cell { return whole(&x.rescue) }},
			{"position", "place among its steps, from 1", func(x *rescueStep) cell { return whole(&x.position) }},
			{"at", "when, UTC", func(x *rescueStep) cell { return moment(&x.step.At) }},
			{"course", "what was added and seen until then, JSON, as setshade writes it", func(x *rescueStep) cell { return text(&x.step.Course) }},
			{"stock", "number of the stock set aside with it, empty for none", func(x *rescueStep) cell { return positive(&x.step.Stock) }},
		}},
		table[store.KeptStrip]{"strips", "the colours that the strips of printed cards are taken to have", &r.strips, []column[store.KeptStrip]{
			{"print", "the printed card: its size and the number of its print", func(k *store.KeptStrip) cell { return printName(&k.Print) }},
			{"kind", "anchor, as the first photograph shows it, or reference, measured with an instrument", func(k *store.KeptStrip) cell { return text(&k.Kind) }},
			{"patches", listOfColours, func(k *store.KeptStrip) cell { return patches(&k.Patches) }},
			{"name", "name of the photograph, or of the file with the measurement", func(k *store.KeptStrip) cell { return text(&k.Name) }},
			{"photo", "SHA-256 of the photograph, which may be gone; empty for a reference", func(k *store.KeptStrip) cell { return text(&k.SHA256) }},
			{"kept_at", "when, UTC", func(k *store.KeptStrip) cell { return moment(&k.KeptAt) }},
		}},
		table[lesson]{"learned", "what was learned of the waxes; learned/ has it, as setshade writes it", &r.learned, []column[lesson]{
			{"wax", "name of the wax", func(l *lesson) cell { return text(&l.Wax) }},
			{"learned_at", "when, UTC", func(l *lesson) cell { return moment(&l.At) }},
			{"sha256", "SHA-256 of what was learned, in hex", func(l *lesson) cell { return text(&l.sha256) }},
		}},
		table[earlier]{"earlier", "when the photographs were last read again; learned/ has the numbers, anchors and models of before, as setshade writes them", &r.earlier, []column[earlier]{
			{"kept_at", "when, UTC", func(e *earlier) cell { return moment(&e.At) }},
			{"sha256", "SHA-256 of what was there before, in hex", func(e *earlier) cell { return text(&e.sha256) }},
		}},
		table[lastNumber]{"numbers", "the last number given, since none is given again", &r.numbers, []column[lastNumber]{
			{"of", "swatches, batches, stocks or rescues", func(n *lastNumber) cell { return text(&n.of) }},
			{"last", "the highest number ever given", func(n *lastNumber) cell { return whole(&n.last) }},
		}},
	}
}

// later are the tables and columns that exports of before do not have: what they keep
// is then empty.
var later = map[string]bool{"photos.card": true, "photos.with": true, "photos.light": true, "swatches.mass_g": true, "earlier": true, "rescues": true, "rescue_steps": true}

const listOfColours = "a JSON list of [L*, a*, b*], D65, 2°, null for a patch that could not be read"

func promised(at func(*store.Promise) *float64) func(*batchColour) cell {
	return func(c *batchColour) cell {
		return maybe(&c.colour.Promise, func(p *store.Promise) cell { return number(at(p)) })
	}
}

func swatchColumns() []column[wax.Swatch] {
	type s = wax.Swatch
	columns := []column[s]{
		{"number", "number of the swatch", func(s *s) cell { return whole(&s.ID) }},
		{"wax", "name of the wax", func(s *s) cell { return text(&s.Wax) }},
		{"state", "liquid or set", func(s *s) cell { return text(&s.State) }},
		{"check", "true when kept back from learning", func(s *s) cell { return yes(&s.Check) }},
		{"photo", "SHA-256 of its photograph", func(s *s) cell { return text(&s.Photo.SHA256) }},
		{"drop", "number of the drop on its card, from 1", func(s *s) cell { return whole(&s.Drop) }},
	}
	columns = append(columns, measured("", "of the drop", func(s *s, of func(*spectrum.Measured) cell) cell { return of(&s.Colour) })...)
	columns = append(columns, lab("card_", "of the bare card", func(s *s, of func(*spectrum.Lab) cell) cell { return of(&s.Card) })...)
	columns = append(columns,
		column[s]{"area_px", "area of the drop, pixels", func(s *s) cell { return whole(&s.AreaPx) }},
		column[s]{"area_share", "area of the drop, as a share of the card", func(s *s) cell { return number(&s.AreaShare) }},
		column[s]{"notes", "the reader's remarks, a JSON list", func(s *s) cell { return texts(&s.Notes) }},
		column[s]{"thick", "true where nothing shows through the wax", func(s *s) cell { return yes(&s.Thick) }},
		column[s]{"diameter_mm", "diameter of the drop, mm; 0 where not known", func(s *s) cell { return number(&s.DiameterMM) }},
		column[s]{"mass_g", "mass of the drop as its plan says, g; 0 where not said", func(s *s) cell { return number(&s.MassG) }},
	)
	columns = append(columns, measured("over_black_", "over the black bar, empty for none", func(s *s, of func(*spectrum.Measured) cell) cell { return maybe(&s.OverBlack, of) })...)
	return append(columns, lab("bar_", "of the bare bar, empty for none", func(s *s, of func(*spectrum.Lab) cell) cell { return maybe(&s.Bar, of) })...)
}

// lab are the three columns of a colour; at finds it in a swatch.
func lab(prefix, of string, at func(*wax.Swatch, func(*spectrum.Lab) cell) cell) []column[wax.Swatch] {
	coordinate := func(name, sign string, axis func(*spectrum.Lab) *float64) column[wax.Swatch] {
		return column[wax.Swatch]{prefix + name, sign + " " + of, func(s *wax.Swatch) cell {
			return at(s, func(l *spectrum.Lab) cell { return number(axis(l)) })
		}}
	}
	return []column[wax.Swatch]{
		coordinate("lab_l", "L*", func(l *spectrum.Lab) *float64 { return &l.L }),
		coordinate("lab_a", "a*", func(l *spectrum.Lab) *float64 { return &l.A }),
		coordinate("lab_b", "b*", func(l *spectrum.Lab) *float64 { return &l.B }),
	}
}

// measured are the nine columns of a colour with the upper half of its
// covariance, which is symmetric.
func measured(prefix, of string, at func(*wax.Swatch, func(*spectrum.Measured) cell) cell) []column[wax.Swatch] {
	columns := lab(prefix, of, func(s *wax.Swatch, inner func(*spectrum.Lab) cell) cell {
		return at(s, func(m *spectrum.Measured) cell { return inner(&m.Lab) })
	})
	const axes = "lab"
	for i := range axes {
		for j := i; j < len(axes); j++ {
			columns = append(columns, column[wax.Swatch]{
				prefix + "cov_" + axes[i:i+1] + axes[j:j+1],
				"covariance of " + axes[i:i+1] + "* and " + axes[j:j+1] + "* " + of,
				func(s *wax.Swatch) cell {
					return at(s, func(m *spectrum.Measured) cell {
						c := number(&m.Cov[i][j])
						return cell{c.text, c.write, func(text string) error {
							err := c.read(text)
							m.Cov[j][i] = m.Cov[i][j]
							return err
						}}
					})
				},
			})
		}
	}
	return columns
}
