package batch

// Cost is what a pot or a batch costs in the maker's own currency, loss
// included. What has no price counts nothing and is named.
type Cost struct {
	Wax       float64 `json:"wax"`
	Dye       float64 `json:"dye"`
	Fragrance float64 `json:"fragrance"`
	// PerPiece is the total over the pieces; 0 when there are no pieces to
	// count.
	PerPiece float64 `json:"per_piece" zero:"null"`
	// Selling is the price of a piece with the markup on its cost; 0 when none
	// was asked.
	Selling float64 `json:"selling" zero:"null"`
	// Unpriced names what has no price recorded, each once.
	Unpriced []string `json:"unpriced"`
}

// Total returns the sum of what is priced.
func (c Cost) Total() float64 { return c.Wax + c.Dye + c.Fragrance }

// costOf prices a pot.
func costOf(r Request, p Pot) Cost {
	c := Cost{
		Wax:       p.UndyedG * r.Wax.PricePerKg / 1000,
		Fragrance: p.FragranceG() * r.Fragrance.PricePerG,
	}
	if r.Wax.PricePerKg == 0 {
		c.unpriced(r.Wax.Name)
	}
	for _, m := range p.Dyes {
		d, _ := r.dye(m.Dye)
		c.Dye += m.G * d.PricePerG
		if d.PricePerG == 0 {
			c.unpriced(d.Name)
		}
	}
	if hasFragrance(r.Load) && r.Fragrance.PricePerG == 0 {
		c.unpriced("fragrance")
	}
	for _, a := range r.Additives {
		c.unpriced(a.Name)
	}
	c.share(r, p.Portions)
	return c
}

// share divides the total over the pieces, and puts the markup on it.
func (c *Cost) share(r Request, portions float64) {
	if !r.Fill.makesPieces() {
		return
	}
	c.PerPiece = c.Total() / portions
	if r.MarkupPercent > 0 {
		c.Selling = c.PerPiece * (1 + r.MarkupPercent/100)
	}
}

func (c *Cost) add(other Cost) {
	c.Wax += other.Wax
	c.Dye += other.Dye
	c.Fragrance += other.Fragrance
	for _, name := range other.Unpriced {
		c.unpriced(name)
	}
}

func (c *Cost) unpriced(name string) {
	for _, n := range c.Unpriced {
		if n == name {
			return
		}
	}
	c.Unpriced = append(c.Unpriced, name)
}
