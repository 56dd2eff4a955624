package report_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"setshade/internal/report"
	"setshade/internal/wax"
)

// A stock names what is in it once, additives too.
func TestAStockNamesItsAdditivesOnce(t *testing.T) {
	batch := wax.Batch{UndyedG: 100, Load: wax.Load{Percent: 8, Per: wax.PerWax}, Additives: []wax.Additive{{Name: "Stearin", Percent: 3}}}
	said := report.Stock(wax.Stock{Number: 1, Wax: "Harrow Soy", Batch: batch})
	assert.Equal(t, 1, strings.Count(said, "Stearin"), said)
	assert.Contains(t, said, "3.00 g Stearin")
}
