package cli

import (
	"errors"
	"fmt"

	"setshade/internal/wax"
)

// checkLoad refuses a load, as the flag and --load-per gave it, of which it is
// not said what it is a share of.
func checkLoad(flag string, l wax.Load) error {
	switch {
	case l.Percent != 0 && l.Per == "":
		return errors.New("say what the fragrance load is a share of: --load-per wax, or --load-per total")
	case l.Percent == 0 && l.Per != "":
		return fmt.Errorf("--load-per says what a load is a share of; give the load too, with --%s", flag)
	}
	return nil
}

func loadText(l wax.Load) string {
	if l == (wax.Load{}) {
		return "not recorded"
	}
	return l.String()
}
