package store

import (
	"cmp"
	"context"
	"crypto/sha256"
	"database/sql/driver"
	"encoding/binary"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"modernc.org/sqlite"

	"setshade/internal/wax"
)

func init() {
	sqlite.MustRegisterFunction("row_digest", &sqlite.FunctionImpl{NArgs: -1, Deterministic: true, VolatileArgs: true,
		Scalar: func(_ *sqlite.FunctionContext, row []driver.Value) (driver.Value, error) { return rowDigest(row), nil }})
}

// rowDigest is the first eight bytes of the SHA-256 of values, each with its type and length.
func rowDigest(row []driver.Value) int64 {
	var all []byte
	eight := func(kind byte, bits uint64) { all = binary.BigEndian.AppendUint64(append(all, kind), bits) }
	for _, value := range row {
		switch v := value.(type) {
		case nil:
			all = append(all, 'n')
		case int64:
			eight('i', uint64(v))
		case float64:
			eight('r', math.Float64bits(v+0)) // SQLite keeps -0 as 0
		case string:
			eight('t', uint64(len(v)))
			all = append(all, v...)
		default:
			panic(fmt.Sprintf("store: a row has a %T", v))
		}
	}
	sum := sha256.Sum256(all)
	return int64(binary.BigEndian.Uint64(sum[:8]))
}

// sealed is a table of which every row has a digest.
type sealed struct {
	name          string
	columns, keys []string
}

// key writes the key of a row in SQL, row before each column: "", "NEW." or "OLD.". A
// sign takes the column's affinity off, with which SQLite would not look into the index
// (sqlite.org/datatype3.html, 4.2).
func (t sealed) key(row string) string { return "+" + row + strings.Join(t.keys, " || '/' || "+row) }

// digest writes the digest of a row in SQL.
func (t sealed) digest(row string) string {
	return "row_digest(" + row + strings.Join(t.columns, ", "+row) + ")"
}

func sealedTables(ctx context.Context, q querier) (tables []sealed, err error) {
	type column struct {
		table, name string
		key         int
	}
	const ask = `SELECT t.name, i.name, i.pk FROM pragma_table_list t JOIN pragma_table_info(t.name) i
		WHERE t.schema = 'main' AND t.type = 'table' AND t.name NOT LIKE 'sqlite_%' AND t.name <> 'digests' ORDER BY t.name, i.cid`
	columns, err := readAll(ctx, q, ask, nil, func(c *column) []any { return []any{&c.table, &c.name, &c.key} })
	for _, c := range columns {
		if len(tables) == 0 || tables[len(tables)-1].name != c.table {
			tables = append(tables, sealed{name: c.table})
		}
		t := &tables[len(tables)-1]
		if t.columns = append(t.columns, c.name); c.key > 0 {
			t.keys = append(t.keys, c.name)
		}
	}
	return tables, err
}

// numberedTables give numbers that are never given again (sqlite.org/autoinc.html).
var numberedTables = []string{"batches", "rescues", "stocks", "swatches"}

// schemaDigest is that of all that SQLite knows of tables, indexes and triggers.
const schemaDigest = `SELECT row_digest(group_concat(type || name || tbl_name || coalesce(sql, ''), '|')) FROM (SELECT * FROM sqlite_schema ORDER BY type, name)`

// seal gives every row its first digest, and the triggers that keep it. A change of a row
// whose digest does not fit leaves the digest, so that damage is not taken for what was
// kept; what puts the right values back makes it fit again. What was wrong before is
// kept in doubted.
func (s *Store) seal(ctx context.Context, tx querier) (err error) {
	if _, s.doubted, err = s.unsound(ctx, tx); err != nil {
		return err
	}
	tables, err := sealedTables(ctx, tx)
	if err != nil {
		return err
	}
	var all strings.Builder
	for _, t := range tables {
		fmt.Fprintf(&all, `INSERT INTO digests SELECT '%[1]s', %[2]s, %[3]s FROM %[1]s;
			CREATE TRIGGER %[1]s_added AFTER INSERT ON %[1]s BEGIN
				INSERT INTO digests VALUES ('%[1]s', %[4]s, %[5]s) ON CONFLICT DO UPDATE SET digest = excluded.digest; END;
			CREATE TRIGGER %[1]s_changed AFTER UPDATE ON %[1]s BEGIN
				UPDATE digests SET "key" = %[4]s, digest = %[5]s WHERE of = '%[1]s' AND "key" = %[6]s AND digest = %[7]s; END;
			CREATE TRIGGER %[1]s_removed AFTER DELETE ON %[1]s BEGIN
				DELETE FROM digests WHERE of = '%[1]s' AND "key" = %[6]s; END;`,
			t.name, t.key(""), t.digest(""), t.key("NEW."), t.digest("NEW."), t.key("OLD."), t.digest("OLD."))
	}
	for _, table := range numberedTables {
		fmt.Fprintf(&all, `INSERT INTO digests SELECT 'sqlite_sequence', name, seq FROM sqlite_sequence WHERE name = '%[1]s';
			CREATE TRIGGER %[1]s_numbered AFTER INSERT ON %[1]s BEGIN
				INSERT INTO digests VALUES ('sqlite_sequence', '%[1]s', NEW.id) ON CONFLICT DO UPDATE SET digest = max(digest, excluded.digest); END;`, table)
	}
	all.WriteString("INSERT INTO digests SELECT 'sqlite_schema', '', (" + schemaDigest + ");")
	_, err = tx.ExecContext(ctx, all.String())
	return err
}

// tellsOf says in words what a row of a table is of, k being its key, and how to get it
// back; without a way of its own there is a copy alone.
var tellsOf = map[string]struct{ noun, name, back string }{
	"waxes":           {"the wax ", "SELECT name FROM waxes WHERE id = k", "write its true figures with setshade wax change"},
	"dyes":            {"the dye ", "SELECT name FROM dyes WHERE id = k", "write its true figures with setshade dye change"},
	"moulds":          {"the mould ", "SELECT name FROM moulds WHERE id = k", "write its true figures with setshade mould change"},
	"photos":          {"the plan or the reading of ", "SELECT name FROM photos WHERE id = k", againSwatch},
	"swatches":        {"swatch ", "k", againSwatch},
	"swatch_parts":    {"the dose of swatch ", "CAST(k AS INTEGER)", againSwatch},
	"learned":         {"what was learned of ", "SELECT name FROM waxes WHERE id = k", "learn it again with setshade learn"},
	"strips":          {"the strip of ", "k", "photograph or measure it again"},
	"batches":         {"batch ", "k", ""},
	"batch_lots":      {"a lot of batch ", "CAST(k AS INTEGER)", ""},
	"batch_colours":   {"a colour of batch ", "SELECT batch_id FROM batch_colours WHERE id = k", ""},
	"batch_parts":     {"a dose of batch ", "SELECT batch_id FROM batch_colours WHERE id = CAST(k AS INTEGER)", ""},
	"batch_additives": {"an additive of batch ", "SELECT batch_id FROM batch_colours WHERE id = CAST(k AS INTEGER)", ""},
	"stocks":          {"stock ", "k", ""},
	"stock_parts":     {"a dose of stock ", "CAST(k AS INTEGER)", ""},
	"stock_additives": {"an additive of stock ", "CAST(k AS INTEGER)", ""},
	"rescues":         {"rescue ", "k", ""},
	"rescue_steps":    {"a step of rescue ", "CAST(k AS INTEGER)", ""},
	"undo":            {"how to take the last change back", "''", "do not undo it"},
	"cards":           {"card ", "k", ""},
	"earlier":         {"what was there before photographs were read again", "''", ""},
	"sqlite_sequence": {"the highest number of ", "k", ""},
	"sqlite_schema":   {"the shape of the tables", "k", ""},
}

const againSwatch = "setshade swatch reread may restore it, else remove its swatches and record the photograph again; do not learn before"

// altered names what is not as it was kept, a sentence for each table; of names the
// tables that are asked about, none for all.
func altered(ctx context.Context, q querier, of ...string) (sentences []string, err error) {
	tables, err := sealedTables(ctx, q)
	if err != nil {
		return nil, err
	}
	ask := map[string]string{
		"sqlite_schema": `SELECT "key" FROM digests WHERE of = 'sqlite_schema' AND digest IS NOT (` + schemaDigest + `)`,
		"sqlite_sequence": `SELECT coalesce(name, "key") FROM (SELECT * FROM digests WHERE of = 'sqlite_sequence') FULL JOIN sqlite_sequence
			ON name = "key" WHERE seq IS NOT digest AND NOT (seq = 0 AND digest IS NULL)`,
	}
	for _, t := range tables {
		ask[t.name] = fmt.Sprintf(`SELECT %[2]s FROM %[1]s LEFT JOIN digests ON of = '%[1]s' AND "key" = %[2]s WHERE digest IS NOT %[3]s
			UNION SELECT "key" FROM digests WHERE of = '%[1]s' AND "key" NOT IN (SELECT %[2]s FROM %[1]s)`, t.name, t.key(""), t.digest(t.name+"."))
	}
	if len(of) == 0 {
		of = slices.Sorted(maps.Keys(ask))
	}
	for _, name := range of {
		what := tellsOf[name]
		rows, err := readColumn[string](ctx, q, fmt.Sprintf("SELECT DISTINCT coalesce((%s), 'row ' || k) FROM (SELECT NULL AS k WHERE 0 UNION ALL SELECT * FROM (%s))", what.name, ask[name]))
		if err != nil {
			return nil, err
		}
		if len(rows) > 0 {
			back := cmp.Or(what.back, "compare it with what is on paper")
			sentences = append(sentences, fmt.Sprintf("%s%s changed since it was kept, and what follows from it is in doubt; %s, or put back a copy of the store", what.noun, listed(rows), back))
		}
	}
	return sentences, nil
}

// Altered names what is not as it was kept, a sentence for each kind; none is well.
func (s *Store) Altered(ctx context.Context) (sentences []string, err error) {
	err = s.read(ctx, func(q querier) (err error) {
		sentences, err = altered(ctx, q)
		return err
	})
	return sentences, err
}

// LearnFrom returns the swatches of a wax, and fails with ErrDamaged where what is learned
// from is not what was kept.
func (s *Store) LearnFrom(ctx context.Context, waxName string) (swatches []wax.Swatch, err error) {
	err = s.read(ctx, func(q querier) error {
		found, err := altered(ctx, q, "waxes", "dyes", "photos", "swatches", "swatch_parts")
		if err == nil && len(found) > 0 {
			return refuse(ErrDamaged, "%s", strings.Join(found, ". "))
		}
		id, err := s.Waxes.id(ctx, q, waxName)
		if err == nil {
			swatches, err = list(ctx, q, selection{waxID: id})
		}
		return err
	})
	return swatches, err
}
