package report

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"setshade/internal/wax"
)

func TestWrapKeepsToEightyColumns(t *testing.T) {
	long := strings.Repeat("undyed wax ", 30)
	for line := range strings.Lines(Wrap("12. ", long)) {
		assert.LessOrEqual(t, width(strings.TrimSuffix(line, "\n")), 80)
	}
	assert.Equal(t, strings.Fields("12. "+long), strings.Fields(Wrap("12. ", long)), "no word is lost")
	assert.Equal(t, "1. Melt it.\n", Wrap("1. ", "Melt it."))
	assert.Equal(t, "1. \n", Wrap("1. ", ""))
	assert.Equal(t, "n: "+strings.Repeat("x", 90)+"\n   y\n", Wrap("n: ", strings.Repeat("x", 90)+" y"), "a word is never cut")
}

// A number is not parted from its unit, and the blank between them is written
// as one that can be searched for.
func TestWrapHoldsNumbersToTheirUnits(t *testing.T) {
	text := Wrap("", strings.Repeat("x", 70)+" add "+hold("123.4 g")+" of wax")
	assert.Equal(t, strings.Repeat("x", 70)+" add\n123.4 g of wax\n", text)
}

func TestSentence(t *testing.T) {
	assert.Equal(t, "Élan is above.", sentence("élan is above"))
	assert.Equal(t, ".", sentence(""))
}

func TestDosesInTables(t *testing.T) {
	one := wax.Recipe{{Dye: "Bracken", DoseGPerKg: 1. / 3}}
	two := wax.Recipe{{Dye: "Marigold Lane", DoseGPerKg: 1.5}, {Dye: "Tidewater", DoseGPerKg: 0.6}}
	assert.Equal(t, "undyed", DoseCell(nil))
	assert.Equal(t, "undyed", DoseText(nil))
	assert.Equal(t, "Bracken 0.333", DoseCell(one))
	assert.Equal(t, "Marigold Lane 1.5 g/kg + Tidewater 0.6 g/kg", DoseText(two))
	assert.Equal(t, "Marigold Lane 1.5 +\nTidewater 0.6", doseLines(two))
	assert.Equal(t, "Bracken 0.333", doseLines(one))
}

func TestTableCellsMayHaveLines(t *testing.T) {
	table := NewTable(Column{Title: "swatch", Right: true}, Column{Title: "dose"}, Column{Title: "shade"})
	table.Row("1", "Bracken 1 +\nSorrel 2", "brown")
	table.Row("2", "Sorrel 2", "green\nblue\n")
	var out strings.Builder
	assert.NoError(t, table.Write(&out))
	assert.Equal(t, ""+
		"swatch  dose         shade\n"+
		"     1  Bracken 1 +  brown\n"+
		"        Sorrel 2\n"+
		"     2  Sorrel 2     green\n"+
		"                     blue\n\n", out.String())
}
