package spectrum_test

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"
)

// table is a published table by the heading of its columns, and the headings
// in order.
type table struct {
	columns  map[string][]float64
	headings []string
}

// readTable reads a table of the reference data, which is kept outside the
// project, and skips the test where it is not to be had. Columns that are not
// numbers are left out.
func readTable(t *testing.T, path ...string) table {
	t.Helper()
	f, err := os.Open(filepath.Join(append([]string{"..", "..", "..", "shared", "refdata"}, path...)...))
	if err != nil {
		t.Skip("the published tables are not on this machine")
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	out := table{map[string][]float64{}, rows[0]}
	for i, heading := range rows[0] {
		if _, err := strconv.ParseFloat(rows[1][i], 64); err != nil {
			continue
		}
		for _, row := range rows[1:] {
			v, err := strconv.ParseFloat(row[i], 64)
			require.NoError(t, err)
			out.columns[heading] = append(out.columns[heading], v)
		}
	}
	return out
}
