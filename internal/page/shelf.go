package page

import (
	"math"
	"net/http"

	"setshade/internal/wax"
	"setshade/internal/workshop"
)

// shelfPage is what is owned, and the forms of the wax and dye last refused.
type shelfPage struct {
	workshop.Shelf
	Forms []wax.Form
	// Given is what stood in the form that was refused, the one At that part of the page.
	Given form
	At    string
}

// GivenAt is what stood in the form of a part of the page.
func (p shelfPage) GivenAt(part string) form {
	if p.At != part {
		return form{}
	}
	return p.Given
}

func (s *Server) shelf(r *http.Request) (answer, error) {
	a := answer{page: "shelf", title: "Shelf"}
	f := form{Values: r.URL.Query()}
	before := int64(f.count("before", "number of a drop"))
	if f.err != nil || before <= 0 {
		before = math.MaxInt64
	}
	shelf, err := s.workshop.Shelf(r.Context(), before)
	a.data = shelfPage{Shelf: shelf, Forms: wax.Forms()}
	return a, err
}

// shelved runs one addition to the shelf, and shows the shelf again, with what was
// written where it was refused.
func (s *Server) shelved(r *http.Request, part string, add func(*form) error) (answer, error) {
	f := form{Values: r.PostForm}
	err := add(&f)
	if err == nil {
		return answer{location: "/shelf"}, nil
	}
	a, listErr := s.shelf(r)
	if listErr != nil {
		return a, listErr
	}
	p := a.data.(shelfPage)
	p.Given, p.At = f, part
	a.data, a.at = p, part
	return a, err
}

func (s *Server) addWax(r *http.Request) (answer, error) {
	return s.shelved(r, "add-wax", func(f *form) error {
		x := wax.Wax{
			Name: f.text("name"), RefractiveIndex: wax.UsualRefractiveIndex, DensityGPerML: f.number("density", "density"),
			MaxLoad: f.load(),
			Bench: wax.Bench{
				HeatToC: f.number("heat-to", "heat to"), AddFragranceAtC: f.number("fragrance-at", "fragrance at"),
				PourAtC: f.number("pour-at", "pour at"), CureHours: f.number("cure", "cure"),
			},
		}
		if x.DensityGPerML == 0 {
			x.DensityGPerML = wax.UsualDensityGPerML
		}
		if f.err != nil {
			return f.err
		}
		return s.workshop.Store.Waxes.Add(r.Context(), x)
	})
}

func (s *Server) addDye(r *http.Request) (answer, error) {
	return s.shelved(r, "add-dye", func(f *form) error {
		d := wax.Dye{
			Name: f.text("name"), Form: wax.Form(f.text("form")), UnitMassG: f.mass("unit-mass", "mass of one chip or drop"),
			MaxDoseGPerKg: f.number("max-dose", "highest dose"), PricePerG: f.number("price", "price"), Lot: f.text("lot"),
		}
		if f.err != nil {
			return f.err
		}
		return s.workshop.Store.Dyes.Add(r.Context(), d)
	})
}

func (s *Server) addMould(r *http.Request) (answer, error) {
	return s.shelved(r, "add-mould", func(f *form) error {
		m := wax.Mould{Name: f.text("name"), Cavities: f.count("cavities", "cavities"), CavityML: f.number("cavity", "volume of one cavity")}
		if f.err != nil {
			return f.err
		}
		return s.workshop.Store.Moulds.Add(r.Context(), m)
	})
}

// waxNames lists the waxes to choose from; pages show no choice of one.
func (s *Server) waxNames(r *http.Request) ([]string, error) {
	all, err := s.workshop.Store.Waxes.List(r.Context())
	names := make([]string, len(all))
	for i, x := range all {
		names[i] = x.Name
	}
	return names, err
}
