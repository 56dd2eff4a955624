package cli

import (
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"setshade/internal/english"
	"setshade/internal/report"
	"setshade/internal/store"
	"setshade/internal/wax"
	"setshade/internal/workshop"
)

var dyeKind = kind[wax.Dye]{
	noun: "dye", plural: "dyes",
	example:       "Bracken",
	exampleAdd:    "--form chip --unit-mass 2.5 --max-dose 20 --price 0.4 --lot B7",
	exampleChange: "--lot B8 --price 0.45",
	name:          func(d *wax.Dye) *string { return &d.Name },
	shelf:         func(s *store.Store) *store.Shelf[wax.Dye] { return s.Dyes },
	flags:         dyeFlags,
	needs:         []string{"form"},
	choices:       map[string][]string{"form": formNames()},
	columns: []report.Column{
		{Title: "dye"}, {Title: "form"}, {Title: "unit mass", Right: true},
		{Title: "max dose", Right: true}, {Title: "price", Right: true}, {Title: "lot"},
	},
	row: func(d wax.Dye) []string {
		return []string{d.Name, string(d.Form), unitMassText(d), maxDoseText(d), report.Quantity(d.PricePerG, "per g"), d.Lot}
	},
	sheet: dyeSheet,
	json:  func(d wax.Dye) any { return d },
}

func newDye(a *app) *cobra.Command {
	k := dyeKind
	group := newGroup("dye", "Dyes on the shelf: add, list, show, change, remove", "  setshade dye list")
	var doses string
	k.update = func(cmd *cobra.Command, s *store.Store, name string, d wax.Dye) error {
		if doses != "" && doses != string(workshop.DosesFollow) && doses != string(workshop.DosesStay) {
			return &usageError{fmt.Sprintf("--doses: %q is neither follow nor stay", doses), helpOf(cmd)}
		}
		moved, err := (&workshop.Workshop{Store: s}).ReviseDye(cmd.Context(), name, d, workshop.Following(doses))
		if len(moved) > 0 {
			a.note(fmt.Sprintf("%s moved with the mass; learn the wax again.", english.Count(len(moved), "recorded dose", "recorded doses")))
		}
		return err
	}
	change := k.newChange(a)
	change.Flags().StringVar(&doses, "doses", "", "what recorded doses do when --unit-mass changes: `follow|stay` (else it asks)")
	completeFlag(change, "doses", cobra.FixedCompletions([]string{string(workshop.DosesFollow), string(workshop.DosesStay)}, cobra.ShellCompDirectiveNoFileComp))
	group.AddCommand(k.newAdd(a), k.newList(a), k.newShow(a), change, k.newRemove(a))
	return group
}

func dyeFlags(flags *pflag.FlagSet, d *wax.Dye) {
	flags.StringVar((*string)(&d.Form), "form", string(d.Form), "form of the dye: `"+strings.Join(formNames(), "|")+"`")
	massFlag(flags, &d.UnitMassG, "unit-mass", "mass of one chip or drop in `g`, or with its unit: weigh ten and divide")
	numberFlag(flags, &d.MaxDoseGPerKg, "max-dose", "highest dose in `g/kg` of undyed wax")
	numberFlag(flags, &d.PricePerG, "price", "price per g in your currency")
	flags.StringVar(&d.Lot, "lot", d.Lot, "supplier's `mark` of the lot, as printed on it")
}

func formNames() []string {
	var names []string
	for _, f := range wax.Forms() {
		names = append(names, string(f))
	}
	return names
}

// dyeSheet writes everything recorded of a dye.
func dyeSheet(w io.Writer, d wax.Dye) error {
	lot := d.Lot
	if lot == "" {
		lot = "not recorded"
	}
	return writeSheet(w, d.Name, []line{
		{"form", string(d.Form)},
		{"unit mass", unitMassText(d)},
		{"maximum dose", maxDoseText(d)},
		{"price", report.Quantity(d.PricePerG, "per g")},
		{"lot", lot},
	})
}

// unitMassText is the mass of one chip or drop; forms that are weighed have
// none.
func unitMassText(d wax.Dye) string {
	if d.Form.Unit() == "" {
		return "weighed"
	}
	return report.Quantity(d.UnitMassG, "g/"+d.Form.Unit())
}

func maxDoseText(d wax.Dye) string { return report.Quantity(d.MaxDoseGPerKg, "g/kg") }
