package cli

import (
	"io"
	"strconv"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"setshade/internal/report"
	"setshade/internal/store"
	"setshade/internal/wax"
)

var mouldKind = kind[wax.Mould]{
	noun: "mould", plural: "moulds",
	example:       "Twelve hearts",
	exampleAdd:    "--cavities 12 --cavity-ml 15",
	exampleChange: "--cavity-ml 14.5",
	usual:         wax.Mould{Cavities: 1},
	name:          func(m *wax.Mould) *string { return &m.Name },
	shelf:         func(s *store.Store) *store.Shelf[wax.Mould] { return s.Moulds },
	flags:         mouldFlags,
	needs:         []string{"cavity-ml"},
	columns: []report.Column{
		{Title: "mould"}, {Title: "cavities", Right: true}, {Title: "one cavity", Right: true}, {Title: "whole mould", Right: true},
	},
	row: func(m wax.Mould) []string {
		return []string{m.Name, strconv.Itoa(m.Cavities), report.Quantity(m.CavityML, "ml"), report.Quantity(m.VolumeML(), "ml")}
	},
	sheet: mouldSheet,
	json:  func(m wax.Mould) any { return mouldJSON{m.Name, m.Cavities, m.CavityML, m.VolumeML()} },
}

func newMould(a *app) *cobra.Command {
	k := mouldKind
	group := newGroup("mould", "Moulds to fill: add, list, show, change, remove", "  setshade mould list")
	group.AddCommand(k.newAdd(a), k.newList(a), k.newShow(a), k.newChange(a), k.newRemove(a))
	return group
}

func mouldFlags(flags *pflag.FlagSet, m *wax.Mould) {
	countFlag(flags, &m.Cavities, "cavities", "how many pieces the mould gives")
	volumeFlag(flags, &m.CavityML, "cavity-ml", "volume of one cavity in `ml`, or with its unit")
}

// mouldSheet writes everything recorded of a mould.
func mouldSheet(w io.Writer, m wax.Mould) error {
	return writeSheet(w, m.Name, []line{
		{"cavities", strconv.Itoa(m.Cavities)},
		{"one cavity", report.Quantity(m.CavityML, "ml")},
		{"whole mould", report.Quantity(m.VolumeML(), "ml")},
	})
}

// mouldJSON is the shape of a mould in JSON.
type mouldJSON struct {
	Name     string  `json:"name"`
	Cavities int     `json:"cavities"`
	CavityML float64 `json:"cavity_ml"`
	VolumeML float64 `json:"volume_ml"`
}
