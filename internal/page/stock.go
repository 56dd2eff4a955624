package page

import (
	"fmt"
	"net/http"
	"strconv"

	"setshade/internal/wax"
	"setshade/internal/workshop"
)

// stockPage is the dyed wax set aside, and the form to set more aside.
type stockPage struct {
	Waxes  []string
	Stocks []wax.Stock
	Given  form
}

func (s *Server) stock(r *http.Request) (answer, error) {
	return s.stockOf(r, form{Values: r.URL.Query()})
}

func (s *Server) stockOf(r *http.Request, given form) (answer, error) {
	a := answer{page: "stock", title: "Dyed stock"}
	names, err := s.waxNames(r)
	if err != nil {
		return a, err
	}
	stocks, err := s.workshop.Store.Stocks(r.Context())
	a.data = stockPage{names, stocks, given}
	return a, err
}

// changeStock runs one change of the stocks, and shows them again.
func (s *Server) changeStock(r *http.Request, change func(*form) error) (answer, error) {
	f := form{Values: r.PostForm}
	err := change(&f)
	if err == nil {
		return answer{location: "/stock"}, nil
	}
	a, listErr := s.stockOf(r, f)
	if listErr != nil {
		return a, listErr
	}
	return a, err
}

func (s *Server) addStock(r *http.Request) (answer, error) {
	return s.changeStock(r, func(f *form) error {
		aside := workshop.Aside{
			Wax: f.text("wax"), Dose: f.text("dose"), MassG: f.mass("mass", "mass"), Load: f.load(),
			Additives: f.lines("additives"), Note: f.text("note"),
		}
		if aside.Load.Percent == 0 {
			aside.Load.Per = wax.PerWax // of none, all the same
		}
		if f.err != nil {
			return f.err
		}
		_, _, err := s.workshop.AddStock(r.Context(), aside)
		return err
	})
}

func (s *Server) useStock(r *http.Request) (answer, error) {
	return s.changeStock(r, func(f *form) error {
		number, err := strconv.ParseInt(r.PathValue("number"), 10, 64)
		if err != nil {
			return fmt.Errorf("%.40q is no number of a stock", r.PathValue("number"))
		}
		usedG := f.mass("used", "what was used")
		if f.err != nil {
			return f.err
		}
		_, _, err = s.workshop.UseStock(r.Context(), number, usedG)
		return err
	})
}
