package store

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"setshade/internal/english"
)

// named are the tables of which a row has a noun and a name that makers know, in the
// order in which they are told; ROW stands for the row. A part is told as a change of
// what it belongs to.
var named = []struct {
	table, noun, name string
	part              bool
}{
	{"waxes", "wax", "ROW.name", false},
	{"dyes", "dye", "ROW.name", false},
	{"moulds", "mould", "ROW.name", false},
	{"swatches", "swatch", "ROW.id", false},
	{"photos", "photograph", "ROW.name", false},
	{"batches", "batch", "ROW.id", false},
	{"stocks", "stock", "ROW.id", false},
	{"rescues", "rescue", "ROW.id", false},
	{"strips", "strip", "ROW.name", false},
	{"learned", "lesson", "(SELECT name FROM waxes WHERE id = ROW.wax_id)", false},
	{"swatch_parts", "swatch", "ROW.swatch_id", true},
	{"batch_colours", "batch", "ROW.batch_id", true},
	{"batch_lots", "batch", "ROW.batch_id", true},
	{"stock_parts", "stock", "ROW.stock_id", true},
	{"stock_additives", "stock", "ROW.stock_id", true},
	{"rescue_steps", "rescue", "ROW.rescue_id", true},
}

// watch makes the connection write down, for every row that is changed, the statement
// that takes it back, by triggers on all tables (sqlite.org/undoredo.html). The triggers
// are temporary, so that a migration finds none.
func watch(ctx context.Context, tx querier) error {
	var there bool
	if err := tx.QueryRowContext(ctx, "SELECT EXISTS (SELECT 1 FROM temp.sqlite_schema WHERE type = 'trigger')").Scan(&there); err != nil || there {
		return err
	}
	tables, err := sealedTables(ctx, tx)
	if err != nil {
		return err
	}
	// What INSERT OR REPLACE replaces fires its trigger too.
	sql := "PRAGMA recursive_triggers = ON;\n"
	for _, t := range tables {
		if t.name == "undo" {
			continue
		}
		var olds, sets, keys []string
		for _, c := range t.columns {
			olds, sets = append(olds, "quote(old."+c+")"), append(sets, c+" = ' || quote(old."+c+")")
		}
		for _, c := range t.keys {
			keys = append(keys, c+" = ' || quote(new."+c+")")
		}
		table := t.name
		where := " WHERE " + strings.Join(keys, " || ' AND ")
		list := strings.Join(t.columns, ", ")
		sql += trigger(table, "AFTER INSERT", "added", "new", "'DELETE FROM "+table+where) +
			trigger(table, "AFTER UPDATE", "changed", "new", "'UPDATE "+table+" SET "+strings.Join(sets, " || ', ")+" || '"+where) +
			trigger(table, "BEFORE DELETE", "removed", "old", "'INSERT INTO "+table+" ("+list+") VALUES (' || "+strings.Join(olds, " || ', ' || ")+" || ')'")
	}
	_, err = tx.ExecContext(ctx, sql)
	return err
}

// trigger writes down back, an expression that gives a statement, on an event.
func trigger(table, event, verb, row, back string) string {
	noun, name, photo := "", "''", "NULL"
	for _, n := range named {
		if n.table == table {
			noun, name = n.noun, "coalesce("+strings.ReplaceAll(n.name, "ROW", row)+", '')"
			if n.part {
				verb = "changed"
			}
		}
	}
	if table == "photos" {
		photo = row + ".sha256"
	}
	return fmt.Sprintf("CREATE TEMP TRIGGER %s_%.6s %s ON main.%s BEGIN INSERT INTO undo (noun, name, verb, photo, sql) VALUES ('%s', %s, '%s', %s, %s); END;\n",
		table, event[strings.Index(event, " ")+1:], event, table, noun, name, verb, photo, back)
}

// undone is a row of the table undo.
type undone struct{ noun, name, verb, sql string }

func undoRows(ctx context.Context, q querier) ([]undone, error) {
	return readAll(ctx, q, "SELECT noun, name, verb, sql FROM undo ORDER BY seq", nil, func(u *undone) []any {
		return []any{&u.noun, &u.name, &u.verb, &u.sql}
	})
}

// LastChange says in words what was changed last, and can be taken back; "" for nothing.
func (s *Store) LastChange(ctx context.Context) (string, error) {
	rows, err := undoRows(ctx, s.db)
	return words(rows), explain(s.path, err)
}

// Undo takes the last change of the store back, all or nothing, and says in words what
// was taken back. A second Undo takes the first one back. Numbers that were given are
// not given again. It fails with ErrNotFound where there is nothing to take back.
func (s *Store) Undo(ctx context.Context) (string, error) {
	var rows []undone
	err := s.write(ctx, func(tx querier) (err error) {
		if rows, err = undoRows(ctx, tx); err != nil {
			return err
		}
		if len(rows) == 0 {
			return refuse(ErrNotFound, "there is nothing to undo in this store")
		}
		// A row comes back before or after the one that it refers to.
		if _, err := tx.ExecContext(ctx, "PRAGMA defer_foreign_keys = ON"); err != nil {
			return err
		}
		for _, r := range slices.Backward(rows) {
			if _, err := tx.ExecContext(ctx, r.sql); err != nil {
				return err
			}
		}
		return nil
	})
	return words(rows), err
}

// words tells what was done: "swatches 4 to 6 removed, photograph card.jpg removed".
func words(rows []undone) string {
	type thing struct{ noun, name string }
	done := map[thing]string{}
	of := map[[2]string][]string{}
	var order []thing
	for _, r := range rows {
		t := thing{r.noun, r.name}
		switch was, seen := done[t]; {
		case !seen:
			order = append(order, t)
			done[t] = r.verb
		case was == "changed":
			done[t] = r.verb
		case was == "removed" && r.verb == "added":
			done[t] = "changed"
		}
	}
	for _, t := range order {
		of[[2]string{t.noun, done[t]}] = append(of[[2]string{t.noun, done[t]}], t.name)
	}
	var said []string
	for _, n := range named {
		for _, verb := range []string{"added", "changed", "removed"} {
			names := of[[2]string{n.noun, verb}]
			if len(names) == 0 || n.part {
				continue
			}
			said = append(said, strings.TrimSpace(nounWith(n.noun, names))+" "+verb)
		}
	}
	if len(said) == 0 && len(rows) > 0 {
		return "a change of the store"
	}
	return strings.Join(said, ", ")
}

// nounWith is a noun with its names: "stocks 3 and 4", or how many where they are many.
func nounWith(noun string, names []string) string {
	plural := english.Plural(len(names), noun, noun+"s")
	switch {
	case noun == "batch" || noun == "wax" || noun == "swatch":
		plural = english.Plural(len(names), noun, noun+"es")
	case noun == "lesson":
		plural = "what was learned of"
	}
	return plural + " " + english.AndMore(names, 8)
}
