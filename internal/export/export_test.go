package export

import (
	"bytes"
	"context"
	"database/sql"
	"errors"
	"fmt"
	"maps"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/spectrum"
	"setshade/internal/store"
	"setshade/internal/wax"
)

// Harrow Lane Wax is an invented workshop; its names and numbers are invented.

var noon = time.Date(2025, 3, 4, 12, 30, 45, 120, time.UTC)

func newStore(t testing.TB) *store.Store {
	s, err := store.Open(context.Background(), filepath.Join(t.TempDir(), "store.db"))
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, s.Close()) })
	return s
}

// fullStore has something of every noun, texts that CSV and spreadsheets are
// known to spoil, and numbers that were given and taken back.
func fullStore(t testing.TB) *store.Store {
	ctx, s := context.Background(), newStore(t)
	require.NoError(t, s.Waxes.Add(ctx, wax.Wax{Name: "Harrow Soy", RefractiveIndex: 1.441, DensityGPerML: 0.1 + 0.8, MaxLoad: wax.Load{Percent: 9.5, Per: wax.PerTotal}, PricePerKg: 7.1,
		Bench: wax.Bench{HeatToC: 85, AddFragranceAtC: 65, PourAtC: 57.5, StirMinutes: 2.5, SetHours: 3, CureHours: 48}}))
	require.NoError(t, s.Waxes.Add(ctx, wax.Wax{Name: "@home; wax", RefractiveIndex: 1.44, DensityGPerML: 0.9}))
	require.NoError(t, s.Dyes.Add(ctx, wax.Dye{Name: "Écru", Form: wax.Chip, UnitMassG: 1. / 3, MaxDoseGPerKg: 12.5, PricePerG: 0.31, Lot: "=HYPERLINK(\"x\")"}))
	require.NoError(t, s.Dyes.Add(ctx, wax.Dye{Name: "-Slate", Form: wax.Liquid, Lot: `"7"` + "\r\n,"}))
	require.NoError(t, s.Moulds.Add(ctx, wax.Mould{Name: "Six-cup tray", Cavities: 6, CavityML: 14.5}))
	drop := func(n int, parts ...wax.Part) wax.Swatch {
		return wax.Swatch{
			Wax: "Harrow Soy", State: wax.SetState, Recipe: parts, Drop: n, AreaPx: 99, AreaShare: 0.01,
			Colour: spectrum.Measured{Lab: spectrum.Lab{L: 70 + 1./float64(n+2), A: -math.Pi, B: 1e-17}, Cov: [3][3]float64{{0.04, 0.003, -0.002}, {0.003, 0.09, 0.011}, {-0.002, 0.011, 0.16}}},
			Card:   spectrum.Lab{L: 96, A: 0.1, B: -0.2}, Notes: []string{"edge <wet>", "a \"quoted\" – note\r\n"},
		}
	}
	photo := func(name string) store.Photo {
		return store.Photo{Name: name, Bytes: []byte("bytes of " + name), PlanText: "wax\tHarrow Soy\r\n1 undyed\n", Reader: 3, RecordedAt: noon}
	}
	printed := photo("=1+1.jpg")
	printed.Correction = wax.Correction{Kind: "24-patch chart", Model: "=matrix", Patches: 24, MedianDE00: 1. / 3, WorstDE00: 2.5, HeldOutDE00: 0.7}
	printed.Quality = wax.Quality{LightRatio: 1.2, TintShift: 0.01, Noise: 2. / 3, EdgePx: 1.7}
	unread := spectrum.Lab{L: math.NaN(), A: math.NaN(), B: math.NaN()}
	strip := wax.Strip{{L: 96, A: 1. / 3, B: -0.1}, unread, {L: 1e-9}}
	printed.Print, printed.Patches, printed.Chart, printed.Anchor = "A5 print 1", strip, wax.Strip{{L: 38, A: 13.5, B: 14}}, strip
	thick := drop(2, wax.Part{Dye: "Écru", DoseGPerKg: 0.1}, wax.Part{Dye: "-Slate", DoseGPerKg: 2. / 3})
	thick.Thick, thick.DiameterMM = true, 100./7
	overBlack := drop(3)
	overBlack.MassG = 0.1
	overBlack.OverBlack, overBlack.Bar = &overBlack.Colour, &spectrum.Lab{L: 12, A: 0.3, B: -1. / 3}
	_, err := s.Record(ctx, printed, []wax.Swatch{drop(1), thick, overBlack})
	require.NoError(t, err)
	liquid := drop(4)
	liquid.State, liquid.Check, liquid.Notes = wax.LiquidState, true, nil
	_, err = s.Record(ctx, photo("b.jpg"), []wax.Swatch{liquid, drop(5)})
	require.NoError(t, err)
	require.NoError(t, s.RemoveSwatches(ctx, 1, 5))
	again := photo("c.jpg")
	again.With, again.Light = hashOf(printed.Bytes), "overcast"
	overBlack.ID = 3
	_, err = s.Add(ctx, again, store.Reading{SHA256: again.With, Photo: printed, Swatches: []wax.Swatch{overBlack}})
	require.NoError(t, err)
	both, err := s.Photos(ctx)
	require.NoError(t, err)
	require.Len(t, both, 3)
	_, err = s.Replace(ctx, noon, store.Reading{SHA256: again.With, Photo: printed, Swatches: []wax.Swatch{overBlack}})
	require.NoError(t, err)
	additives := []wax.Additive{{Name: "Stearin", Percent: 1. / 3}, {Name: "-hardener", Percent: 0.1}}
	foretold := store.Foretold{Lab: spectrum.Lab{L: 60, A: -1, B: 2}, Within95: 1. / 7}
	p := store.Poured{
		Wax: "Harrow Soy", PouredAt: noon, Portion: "piece", Notes: []string{"+frosted"},
		Colours: []store.PouredColour{
			{Name: "Dusk", Portions: 16, SwatchID: 2, Promise: &store.Promise{Piece: foretold, Drop: foretold}, Batch: wax.Batch{UndyedG: 700. / 3, Load: wax.Load{Percent: 8, Per: wax.PerWax}, Recipe: wax.Recipe{{Dye: "Écru", DoseGPerKg: 0.3}}, Additives: additives}},
			{Name: "'plain", Portions: 2, Batch: wax.Batch{UndyedG: 100, Load: wax.Load{Per: wax.PerTotal}}},
		},
		Lots: []store.Lot{{Of: "fragrance", Lot: "-7"}},
	}
	for range 3 {
		_, err = s.LogBatch(ctx, p)
		require.NoError(t, err)
	}
	require.NoError(t, s.RemoveBatch(ctx, 1))
	require.NoError(t, s.RemoveBatch(ctx, 3))
	for range 3 {
		_, err = s.KeepStock(ctx, wax.Stock{Wax: "Harrow Soy", Note: "=jar, left", SetAsideAt: noon, Batch: wax.Batch{
			UndyedG: 1000. / 3, Load: wax.Load{Percent: 8, Per: wax.PerTotal}, Recipe: wax.Recipe{{Dye: "Écru", DoseGPerKg: 0.7}}, Additives: additives,
		}})
		require.NoError(t, err)
	}
	require.NoError(t, s.RemoveStock(ctx, 1))
	require.NoError(t, s.RemoveStock(ctx, 3))
	begun := store.Rescue{}
	for range 3 {
		begun, err = s.KeepRescue(ctx, store.Rescue{Wax: "Harrow Soy"}, store.RescueStep{At: noon, Course: `{"a": 1, "b":"=x"}`}, nil)
		require.NoError(t, err)
	}
	require.NoError(t, s.RemoveRescue(ctx, begun.Number))
	_, err = s.LinkRescue(ctx, 1, 2)
	require.NoError(t, err)
	one, err := s.Rescue(ctx, 1)
	require.NoError(t, err)
	_, err = s.KeepRescue(ctx, one, store.RescueStep{At: noon, Course: `{}`, Stock: 2}, nil)
	require.NoError(t, err)
	require.NoError(t, s.SaveStrip(ctx, store.KeptStrip{Print: "A5 print 1", Kind: store.Reference, Patches: strip, Name: "strip, measured.txt", KeptAt: noon}))
	require.NoError(t, s.SaveLearned(ctx, "Harrow Soy", []byte(`{"a": 1, "b":"=x"}`), noon))
	return s
}

// exported returns the files of an export of s.
func exported(t testing.TB, s *store.Store) fstest.MapFS {
	c, err := s.Contents(context.Background())
	require.NoError(t, err)
	files := fstest.MapFS{}
	_, err = Write(c, photosOf(s), func(name string, content []byte) error {
		files[name] = &fstest.MapFile{Data: bytes.Clone(content)}
		return nil
	})
	require.NoError(t, err)
	return files
}

func photosOf(s *store.Store) func(hash string) ([]byte, error) {
	return func(hash string) ([]byte, error) {
		p, err := s.Photo(context.Background(), hash)
		return p.Bytes, err
	}
}

// imported returns a new store with an export in it.
func imported(t testing.TB, files fstest.MapFS) (*store.Store, error) {
	c, err := Read(files)
	if err != nil {
		return nil, err
	}
	s := newStore(t)
	_, err = s.Restore(context.Background(), c, func(hash string) ([]byte, error) { return Photo(files, hash) })
	return s, err
}

func TestRoundTripIsExact(t *testing.T) {
	ctx, s := context.Background(), fullStore(t)
	first := exported(t, s)
	again, err := imported(t, first)
	require.NoError(t, err)
	assert.Equal(t, first, exported(t, again), "every file, byte for byte")

	got, err := again.Contents(ctx)
	require.NoError(t, err)
	assert.Equal(t, []int64{5, 3, 3}, []int64{got.LastSwatch, got.LastBatch, got.LastStock}, "numbers on jars are not given again")
	found, err := again.Check(ctx, func([]byte) error { return nil })
	require.NoError(t, err)
	assert.Empty(t, found.Problems)
	assert.Empty(t, found.Strays)
}

func TestTheJSONHoldsTheSame(t *testing.T) {
	first := exported(t, fullStore(t))
	onlyJSON := fstest.MapFS{}
	for name, file := range first {
		if !strings.HasSuffix(name, ".csv") {
			onlyJSON[name] = file
		}
	}
	again, err := imported(t, onlyJSON)
	require.NoError(t, err)
	assert.Equal(t, first, exported(t, again))
}

// An export from before prints had numbers is of print 1.
func TestOldPrintsAreTheFirst(t *testing.T) {
	s := fullStore(t)
	old := exported(t, s)
	for _, name := range []string{"photos.csv", "strips.csv"} {
		old[name] = &fstest.MapFile{Data: bytes.ReplaceAll(old[name].Data, []byte("A5 print 1"), []byte("A5 version 1"))}
	}
	again, err := imported(t, old)
	require.NoError(t, err)
	assert.Equal(t, exported(t, s), exported(t, again))
}

// Exports of before had photographs and plans without an ending.
// An export of before cards were kept is read; each of its photographs is then of a
// card of its own.
func TestExportsOfBeforeCardsAreRead(t *testing.T) {
	s := newStore(t)
	require.NoError(t, s.Waxes.Add(context.Background(), wax.Wax{Name: "Harrow Soy", RefractiveIndex: 1.441, DensityGPerML: 0.9}))
	for _, name := range []string{"a.jpg", "b.jpg"} {
		sw := wax.Swatch{Wax: "Harrow Soy", State: wax.SetState, Drop: 1, Colour: spectrum.Measured{Lab: spectrum.Lab{L: 70}}, Card: spectrum.Lab{L: 96}}
		_, err := s.Record(context.Background(), store.Photo{Name: name, Bytes: []byte(name), RecordedAt: noon}, []wax.Swatch{sw})
		require.NoError(t, err)
	}
	files := exported(t, s)
	delete(files, "earlier.csv")
	lines := strings.Split(string(files["photos.csv"].Data), "\r\n")
	if len(lines) < 3 {
		lines = strings.Split(string(files["photos.csv"].Data), "\n")
	}
	for i, line := range lines {
		if cells := strings.Split(line, ","); len(cells) > 3 {
			lines[i] = strings.Join(cells[:len(cells)-3], ",")
		}
	}
	require.Contains(t, lines[0], "chart")
	require.NotContains(t, lines[0], "card")
	files["photos.csv"] = &fstest.MapFile{Data: []byte(strings.Join(lines, "\n"))}
	again, err := imported(t, files)
	require.NoError(t, err)
	photos, err := again.Photos(context.Background())
	require.NoError(t, err)
	require.Len(t, photos, 2)
	assert.NotEqual(t, photos[0].Card, photos[1].Card)
}

func TestFilesWithoutEndingsAreRead(t *testing.T) {
	first := exported(t, fullStore(t))
	old := fstest.MapFS{}
	for name, file := range first {
		if strings.HasPrefix(name, photoFolder) || strings.HasPrefix(name, planFolder) {
			require.NotEmpty(t, filepath.Ext(name))
			name = strings.TrimSuffix(name, filepath.Ext(name))
		}
		old[name] = file
	}
	again, err := imported(t, old)
	require.NoError(t, err)
	assert.Equal(t, first, exported(t, again))
}

func TestAnEmptyStoreRoundTrips(t *testing.T) {
	first := exported(t, newStore(t))
	again, err := imported(t, first)
	require.NoError(t, err)
	assert.Equal(t, first, exported(t, again))
}

// rowNumbers are the columns that an import gives anew, with what an export names
// instead. They only tie rows of the store together.
var rowNumbers = map[string]string{
	"waxes.id": "name", "swatches.wax_id": "name", "learned.wax_id": "name", "batches.wax_id": "name", "stocks.wax_id": "name", "rescues.wax_id": "name",
	"dyes.id": "name", "swatch_parts.dye_id": "name", "batch_parts.dye_id": "name", "stock_parts.dye_id": "name",
	"moulds.id": "name",
	"photos.id": "SHA-256", "swatches.photo_id": "SHA-256",
	"photos.with_id":   "SHA-256",
	"batch_colours.id": "batch and position", "batch_parts.colour_id": "batch and position", "batch_additives.colour_id": "batch and position",
}

// Every column of every table holds something after an import, and what it held
// before. A new column must be filled in fullStore, and then exported.
func TestEveryColumnOfTheStoreIsCarried(t *testing.T) {
	s := fullStore(t)
	again, err := imported(t, exported(t, s))
	require.NoError(t, err)
	before, after := columnsOf(t, s), columnsOf(t, again)
	require.Greater(t, len(before), 100, "the tables were not found")
	for name, values := range after {
		if _, anew := rowNumbers[name]; !anew {
			assert.Equal(t, before[name], values, name)
		}
		assert.True(t, slices.ContainsFunc(values, func(v any) bool { return v != nil && v != "" && v != "[]" && fmt.Sprint(v) != "0" }),
			"%s holds nothing", name)
	}
	assert.Len(t, after, len(before))
	for name := range rowNumbers {
		assert.Contains(t, before, name)
	}
}

// columnsOf reads the values of each column, in the order in which the rows'
// texts sort without the columns whose numbers are given anew.
func columnsOf(t *testing.T, s *store.Store) map[string][]any {
	db, err := sql.Open("sqlite", s.Path()) // the driver that package store brings
	require.NoError(t, err)
	defer db.Close()
	columns := map[string][]any{}
	names := query(t, db, "SELECT m.name, c.name FROM sqlite_schema m, pragma_table_info(m.name) c WHERE m.type = 'table' AND m.name NOT IN ('undo', 'digests')")
	tables := map[any][]string{}
	for _, n := range names {
		tables[n[0]] = append(tables[n[0]], n[1].(string))
	}
	for table, of := range tables {
		rows := query(t, db, fmt.Sprintf("SELECT %s FROM %s", strings.Join(of, ", "), table))
		key := func(row []any) string {
			var kept []any
			for i, v := range row {
				if _, anew := rowNumbers[fmt.Sprint(table, ".", of[i])]; !anew {
					kept = append(kept, v)
				}
			}
			return fmt.Sprintf("%q", kept)
		}
		slices.SortFunc(rows, func(a, b []any) int { return strings.Compare(key(a), key(b)) })
		for i, column := range of {
			name := fmt.Sprint(table, ".", column)
			columns[name] = nil
			for _, row := range rows {
				columns[name] = append(columns[name], row[i])
			}
		}
	}
	return columns
}

func query(t *testing.T, db *sql.DB, ask string) [][]any {
	found, err := db.Query(ask)
	require.NoError(t, err)
	defer found.Close()
	names, err := found.Columns()
	require.NoError(t, err)
	var rows [][]any
	for found.Next() {
		row, into := make([]any, len(names)), make([]any, len(names))
		for i := range row {
			into[i] = &row[i]
		}
		require.NoError(t, found.Scan(into...))
		rows = append(rows, row)
	}
	require.NoError(t, found.Err())
	return rows
}

// The columns of drops over the black bar, and of pieces, in and out of a table.
func TestSwatchColumnsKeepEveryField(t *testing.T) {
	whole := wax.Swatch{
		ID: 7, Wax: "Harrow Soy", State: wax.SetState, Check: true, Thick: true, DiameterMM: 11.2, MassG: 0.45, Drop: 3, AreaPx: 5, AreaShare: 0.5,
		Colour:    spectrum.Measured{Lab: spectrum.Lab{L: 1, A: 2, B: 3}, Cov: [3][3]float64{{4, 5, 6}, {5, 7, 8}, {6, 8, 9}}},
		Card:      spectrum.Lab{L: 10, A: 11, B: 12},
		OverBlack: &spectrum.Measured{Lab: spectrum.Lab{L: 13, A: 14, B: 15}, Cov: [3][3]float64{{16, 17, 18}, {17, 19, 20}, {18, 20, 21}}},
		Bar:       &spectrum.Lab{L: 22, A: 23, B: 24}, Notes: []string{"n"}, Photo: wax.PhotoRef{SHA256: "ab"},
	}
	for _, want := range []wax.Swatch{whole, {ID: 8, Colour: whole.Colour}} {
		written, read := rows{swatches: []wax.Swatch{want}}, rows{}
		const swatches = 4
		require.Equal(t, "swatches", sheets(&written)[swatches].name())
		require.NoError(t, readCSV(sheets(&read)[swatches], bytes.NewReader(writeCSV(sheets(&written)[swatches]))))
		assert.Equal(t, []wax.Swatch{want}, read.swatches)
	}
}

// OWASP, "CSV Injection": a field that begins with = + - @, tab or carriage
// return may be run as a formula.
func TestNoTextBeginsAsAFormula(t *testing.T) {
	for _, text := range []string{"=1", "+1", "-1", "@x", "\tx", "\rx", `"x`, "", "plain", "'s"} {
		field := guarded(text)
		assert.NotContains(t, []string{"=", "+", "-", "@", "\t", "\r"}, field[:min(1, len(field))])
		back, err := unguarded(field)
		require.NoError(t, err)
		assert.Equal(t, text, back)
	}
}

// ANSI CGATS.17: keywords and the places of the parts, from memory.
func TestCGATSText(t *testing.T) {
	s := wax.Swatch{
		ID: 12, Wax: "Harrow Soy", State: wax.SetState, Recipe: wax.Recipe{{Dye: "Bracken", DoseGPerKg: 0.5}},
		Colour: spectrum.Measured{Lab: spectrum.Lab{L: 71.5, A: -2, B: 30.25}, Cov: [3][3]float64{{0.04, 0, 0}, {0, 0.09, 0}, {0, 0, 0.16}}},
		Photo:  wax.PhotoRef{RecordedAt: noon},
	}
	want := `CGATS.17
ORIGINATOR	"setshade"
DESCRIPTOR	"Swatches of dyed wax, CIELAB, D65, 2 degree observer"
CREATED	"2025-03-04"
INSTRUMENTATION	"camera"
WEIGHTING_FUNCTION	"ILLUMINANT, D65"
WEIGHTING_FUNCTION	"OBSERVER, 2 degree"
NUMBER_OF_FIELDS	8
BEGIN_DATA_FORMAT
SAMPLE_ID	SAMPLE_NAME	LAB_L	LAB_A	LAB_B	STDEV_L	STDEV_A	STDEV_B
END_DATA_FORMAT
NUMBER_OF_SETS	1
BEGIN_DATA
12	"Harrow Soy, Bracken 0.5 g/kg, set"	71.5	-2	30.25	0.2	0.3	0.4
END_DATA
`
	assert.Equal(t, want, string(WriteCGATS([]wax.Swatch{s})))
	samples, err := ReadCGATS(strings.NewReader(want))
	require.NoError(t, err)
	assert.Equal(t, []Sample{{"12", "Harrow Soy, Bracken 0.5 g/kg, set", s.Colour.Lab}}, samples)

	foreign := "CGATS.17\r\n# a comment\r\nKEYWORD \"OTHER\"\r\nBEGIN_DATA_FORMAT\r\nLAB_B LAB_A LAB_L\r\nXYZ_X SAMPLE_ID\r\nEND_DATA_FORMAT\r\nBEGIN_DATA\r\n3 2 1 0 A1\r\nEND_DATA\r\n"
	samples, err = ReadCGATS(strings.NewReader(foreign))
	require.NoError(t, err)
	assert.Equal(t, []Sample{{"A1", "", spectrum.Lab{L: 1, A: 2, B: 3}}}, samples)
}

func TestHostileExportsAreRefusedWithTheirLine(t *testing.T) {
	base := exported(t, fullStore(t))
	for name, c := range map[string]struct{ file, old, new, says string }{
		"no number":        {"moulds.csv", "14.5", "wide", `moulds.csv cannot be used: line 2, column cavity_ml: "wide" is not a number`},
		"not finite":       {"moulds.csv", "14.5", "NaN", "is not a number"},
		"unknown column":   {"dyes.csv", "unit_mass_g", "weight", `line 1: there is no column "weight"`},
		"missing column":   {"dyes.csv", ",lot", "", "line 1: the column lot is missing"},
		"short row":        {"moulds.csv", ",14.5", "", "line 2 has more or fewer fields than line 1"},
		"bare quote":       {"moulds.csv", "Six-cup", `Six"cup`, "line 2: its quotes do not add up"},
		"half a promise":   {"batch_colours.csv", ",60,", ",,", "column piece_l is empty"},
		"other time":       {"photos.csv", "2025-03-04T", "yesterday ", "is not a time such as"},
		"climbing path":    {"photos.csv", hashOf([]byte("bytes of b.jpg")), "../../../etc/passwd", "cannot name a file of an export"},
		"orphan part":      {"swatch_parts.csv", "", "77,Écru,1\n", "a dye of swatch 77, which is not there"},
		"negative dose":    {"swatch_parts.csv", "0.1", "-0.1", "recipe that cannot be"},
		"unknown dye":      {"swatch_parts.csv", "Écru", "Mere", `there is no dye called "Mere"`},
		"no strip":         {"strips.csv", "[[96,", "[96,", "is not a list of [L*, a*, b*] in JSON"},
		"other strip":      {"strips.csv", "anchor", "usual", `is "usual"; it must be anchor or reference`},
		"strip twice":      {"strips.csv", "anchor", "reference", "the reference of the printed card A5 print 1 is there twice"},
		"orphan additive":  {"stock_additives.csv", "", "9,1,Stearin,2\n", "additive 1 of stock 9 out of place"},
		"additive astray":  {"batch_additives.csv", "", "2,1,9,Stearin,2\n", "additive 9 of colour 1 of batch 2 out of place"},
		"stock of nothing": {"stocks.csv", "333.3", "-333.3", "stock 2: a batch of -333"},
		"reading":          {"photos.csv", "1.7", "Inf", "is not a number"},
		"density":          {"waxes.csv", "0.9,0", "9,0", "must lie between 0.6 and 1.2"},
		"model changed":    {modelFolder + hashOf([]byte(`{"a": 1, "b":"=x"}`)), "1", "2", "has changed since it was exported; take it from another copy"},
		"colours disagree": {"swatches.csv", "-3.14", "-3.15", "has other colours than the table of swatches"},
	} {
		t.Run(name, func(t *testing.T) {
			files := fstest.MapFS{}
			for name, file := range base {
				files[name] = file
			}
			content := string(base[c.file].Data)
			if c.old == "" {
				content += c.new
			} else {
				require.Contains(t, content, c.old)
				content = strings.Replace(content, c.old, c.new, 1)
			}
			files[c.file] = &fstest.MapFile{Data: []byte(content)}
			s, err := imported(t, files)
			require.ErrorContains(t, err, c.says)
			if s != nil {
				kept, err := s.Contents(context.Background())
				require.NoError(t, err)
				assert.Equal(t, store.Contents{}, kept, "nothing was kept of it")
				entries, err := os.ReadDir(filepath.Join(filepath.Dir(s.Path()), "photos", "store.db"))
				if !errors.Is(err, os.ErrNotExist) {
					require.NoError(t, err)
				}
				assert.Empty(t, entries)
			}
		})
	}
}

func TestImportOnlyIntoAnEmptyStore(t *testing.T) {
	s := fullStore(t)
	files := exported(t, s)
	c, err := Read(files)
	require.NoError(t, err)
	_, err = s.Restore(context.Background(), c, nil)
	require.ErrorIs(t, err, store.ErrExists)
	assert.ErrorContains(t, err, "is not empty, and nothing was changed in it")
}

// A photograph that the store has lost is named in its export, which restores all the
// rest; the new store is without it too, and gives the same export.
func TestExportWithoutALostPhotograph(t *testing.T) {
	ctx, s := context.Background(), fullStore(t)
	hash := hashOf([]byte("bytes of b.jpg"))
	whole := exported(t, s)
	assert.NotContains(t, whole, missingFile)
	require.NoError(t, os.Remove(filepath.Join(filepath.Dir(s.Path()), "photos", "store.db", hash)))
	first := exported(t, s)
	assert.NotContains(t, first, photoFolder+hash+".jpg")
	assert.Contains(t, string(first[missingFile].Data), "\nswatch 4 of 4 March 2025: b.jpg, SHA-256 "+hash+"\n")
	assert.Len(t, first, len(whole))

	again, err := imported(t, first)
	require.NoError(t, err)
	assert.Equal(t, first, exported(t, again))
	found, err := again.Check(ctx, func([]byte) error { return nil })
	require.NoError(t, err)
	require.Len(t, found.Problems, 1)
	assert.Contains(t, found.Problems[0], "swatch 4 of 4 March 2025 is without a photograph: the photograph b.jpg")
}

// A photograph that went missing from the folder, or changed in it, is left out and
// told.
func TestImportWithoutALostPhotograph(t *testing.T) {
	base := exported(t, fullStore(t))
	hash := hashOf([]byte("bytes of b.jpg"))
	for name, c := range map[string]struct {
		now  *fstest.MapFile
		says string
	}{
		"gone":    {nil, "the file photos/" + hash + " of the export cannot be read: "},
		"changed": {&fstest.MapFile{Data: []byte("bites of b.jpg")}, "it is not the one that was recorded: its SHA-256 is not " + hash},
	} {
		t.Run(name, func(t *testing.T) {
			files := maps.Clone(base)
			delete(files, photoFolder+hash+".jpg")
			if c.now != nil {
				files[photoFolder+hash+".jpg"] = c.now
			}
			contents, err := Read(files)
			require.NoError(t, err)
			s := newStore(t)
			lost, err := s.Restore(context.Background(), contents, func(hash string) ([]byte, error) { return Photo(files, hash) })
			require.NoError(t, err)
			require.Len(t, lost, 1)
			assert.Equal(t, []int64{4}, lost[0].SwatchIDs)
			assert.ErrorContains(t, lost[0].Why, "the photograph b.jpg was left out")
			assert.ErrorContains(t, lost[0].Why, c.says)
			assert.Equal(t, base[jsonFile], exported(t, s)[jsonFile], "all tables")
			entries, err := os.ReadDir(filepath.Join(filepath.Dir(s.Path()), "photos", "store.db"))
			require.NoError(t, err)
			assert.Len(t, entries, 2)
		})
	}
}

// Only what is lost is left out: another failure stops the export.
func TestExportStopsWhereAPhotographIsNotLost(t *testing.T) {
	c, err := fullStore(t).Contents(context.Background())
	require.NoError(t, err)
	stopped := errors.New("stopped")
	_, err = Write(c, func(string) ([]byte, error) { return nil, stopped }, func(string, []byte) error { return nil })
	require.ErrorIs(t, err, stopped)
}

// An export that cannot be written stops at the first file that cannot, and says so
// once.
func TestWriteStopsAtTheFirstFailure(t *testing.T) {
	ctx, s := context.Background(), fullStore(t)
	c, err := s.Contents(ctx)
	require.NoError(t, err)
	whole := len(exported(t, s))
	photo := func(hash string) ([]byte, error) { return []byte(hash), nil }
	for room := range whole {
		written := 0
		_, err := Write(c, photo, func(string, []byte) error {
			if written == room {
				return errors.New("no room")
			}
			written++
			return nil
		})
		require.EqualError(t, err, "no room")
		assert.Equal(t, room, written)
	}
}

func FuzzCSV(f *testing.F) {
	files := exported(f, fullStore(f))
	r := rows{}
	for i, s := range sheets(&r) {
		f.Add(i, files[s.name()+".csv"].Data)
	}
	f.Fuzz(func(t *testing.T, which int, content []byte) {
		var r rows
		tables := sheets(&r)
		s := tables[uint(which)%uint(len(tables))]
		if readCSV(s, bytes.NewReader(content)) != nil {
			return
		}
		// What was read is written in one form, which reads the same.
		written := writeCSV(s)
		var again rows
		other := sheets(&again)[uint(which)%uint(len(tables))]
		require.NoError(t, readCSV(other, bytes.NewReader(written)))
		assert.Equal(t, written, writeCSV(other))
	})
}

func FuzzJSON(f *testing.F) {
	f.Add(exported(f, fullStore(f))[jsonFile].Data)
	f.Add(exported(f, newStore(f))[jsonFile].Data)
	f.Fuzz(func(t *testing.T, content []byte) {
		var r rows
		tables := sheets(&r)
		if readJSON(tables, content) != nil {
			return
		}
		written := writeJSON(tables)
		var again rows
		require.NoError(t, readJSON(sheets(&again), written))
		assert.Equal(t, written, writeJSON(sheets(&again)))
	})
}

func FuzzCGATS(f *testing.F) {
	c, err := fullStore(f).Contents(context.Background())
	require.NoError(f, err)
	f.Add(WriteCGATS(c.Swatches))
	f.Add([]byte("CGATS.17\nBEGIN_DATA_FORMAT\nSAMPLE_ID LAB_L LAB_A LAB_B\nEND_DATA_FORMAT\nBEGIN_DATA\n1 2 3 4\nEND_DATA"))
	f.Fuzz(func(t *testing.T, content []byte) {
		samples, err := ReadCGATS(bytes.NewReader(content))
		if err != nil {
			return
		}
		for _, s := range samples {
			assert.True(t, s.Lab.IsFinite(), "%+v", s)
		}
	})
}
