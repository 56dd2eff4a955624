package wax

import "fmt"

// Mould is a shape that wax is poured into.
type Mould struct {
	Name string
	// Cavities is how many pieces one mould gives, at least 1.
	Cavities int
	// CavityML is the volume of one cavity in millilitres.
	CavityML float64
}

// Validate reports the first thing that cannot be true of the mould.
func (m Mould) Validate() error {
	if err := validName("mould", m.Name); err != nil {
		return err
	}
	if m.Cavities < 1 || m.Cavities > 10000 {
		return fmt.Errorf("the mould %s has %d cavities; it needs 1 to 10000", m.Name, m.Cavities)
	}
	if !within(m.CavityML, 0.1, 100000) {
		return fmt.Errorf("a cavity of %s holds %g ml; it must lie between 0.1 and 100000", m.Name, m.CavityML)
	}
	return nil
}

// VolumeML returns the volume of one whole mould in millilitres.
func (m Mould) VolumeML() float64 { return float64(m.Cavities) * m.CavityML }
