package cli

import (
	"github.com/spf13/cobra"

	"setshade/internal/card"
)

// sheetFlag adds the flag for a full sheet of paper.
func sheetFlag(cmd *cobra.Command, on *string) {
	cmd.Flags().StringVar(on, "on", "", "full sheet of paper to print on, and cut: `A4|letter` (else paper of the card's size)")
	var names []string
	for _, s := range card.Sheets() {
		names = append(names, s.String())
	}
	completeFlag(cmd, "on", cobra.FixedCompletions(names, cobra.ShellCompDirectiveNoFileComp))
}

// sheetNamed is where cards lie on the sheet of that name; nil without a name.
func sheetNamed(cmd *cobra.Command, name string, size card.Size) (*card.Layup, error) {
	if name == "" {
		return nil, nil
	}
	sheet, err := card.SheetNamed(name)
	if err != nil {
		return nil, &usageError{"--on: " + err.Error(), helpOf(cmd)}
	}
	l := sheet.Layup(size)
	return &l, nil
}

func sheetJSONOf(sheet *card.Layup) *string {
	if sheet == nil {
		return nil
	}
	name := sheet.Sheet.String()
	return &name
}

func cardsOn(sheet *card.Layup) int {
	if sheet == nil {
		return 1
	}
	return len(sheet.Corners)
}
