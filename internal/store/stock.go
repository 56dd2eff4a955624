package store

import (
	"context"
	"database/sql"
	"encoding/json"
	"fmt"

	"setshade/internal/wax"
)

// KeepStock keeps dyed wax set aside and returns it as stored: numbered, with
// the names of wax and dyes as the shelf writes them. It fails with ErrNotFound
// when wax or dye is not on the shelf, and with ErrInvalid when the stock cannot
// be. It panics when SetAsideAt is not set.
func (s *Store) KeepStock(ctx context.Context, stock wax.Stock) (wax.Stock, error) {
	if err := validateStock(stock); err != nil {
		return wax.Stock{}, err
	}
	var kept wax.Stock
	err := s.write(ctx, func(tx querier) error {
		id, err := s.insertStock(ctx, tx, stock)
		if err != nil {
			return err
		}
		kept, err = oneStock(ctx, tx, id)
		return err
	})
	return kept, err
}

// Stocks returns every stock in order of number; none is no error.
func (s *Store) Stocks(ctx context.Context) ([]wax.Stock, error) {
	stocks, err := listStocks(ctx, s.db, "")
	return stocks, explain(s.path, err)
}

// Stock returns one stock, or ErrNotFound.
func (s *Store) Stock(ctx context.Context, number int64) (wax.Stock, error) {
	stock, err := oneStock(ctx, s.db, number)
	return stock, explain(s.path, err)
}

// ChangeStock changes mass, recipe, load, additives and note of a stock, and
// returns it as stored; its wax and day stay. It fails with ErrNotFound and with
// ErrInvalid.
func (s *Store) ChangeStock(ctx context.Context, number int64, change func(*wax.Stock) error) (wax.Stock, error) {
	var stock wax.Stock
	err := s.write(ctx, func(tx querier) (err error) {
		if stock, err = oneStock(ctx, tx, number); err != nil {
			return err
		}
		if err := change(&stock); err != nil {
			return err
		}
		if err := validateStock(stock); err != nil {
			return err
		}
		_, err = tx.ExecContext(ctx, "UPDATE stocks SET undyed_g = ?, load_percent = ?, load_per = ?, note = ? WHERE id = ?",
			stock.UndyedG, stock.Load.Percent, stock.Load.Per, stock.Note, number)
		if err != nil {
			return err
		}
		for _, table := range []string{"stock_parts", "stock_additives"} {
			if _, err := tx.ExecContext(ctx, "DELETE FROM "+table+" WHERE stock_id = ?", number); err != nil {
				return err
			}
		}
		if err := s.insertStockParts(ctx, tx, number, stock); err != nil {
			return err
		}
		stock, err = oneStock(ctx, tx, number)
		return err
	})
	return stock, err
}

// RemoveStock takes a stock away for good; its number is not given again. It
// fails with ErrNotFound.
func (s *Store) RemoveStock(ctx context.Context, number int64) error {
	return s.removeNumbered(ctx, "stocks", number, func(tx querier) error { _, err := oneStock(ctx, tx, number); return err })
}

func validateStock(stock wax.Stock) error {
	if stock.SetAsideAt.IsZero() {
		panic("store: a stock needs the time at which it was set aside")
	}
	if err := stock.Batch.Validate(); err != nil {
		return &Error{sentence: err.Error(), kind: ErrInvalid, cause: err}
	}
	if len(stock.Note) > MaxNoteBytes {
		return refuse(ErrInvalid, "the note %.20q… is too long; %d bytes are kept of one", stock.Note, MaxNoteBytes)
	}
	return validText(stock.Note)
}

func (s *Store) insertStock(ctx context.Context, tx querier, stock wax.Stock) (int64, error) {
	waxID, err := s.Waxes.id(ctx, tx, stock.Wax)
	if err != nil {
		return 0, err
	}
	id, err := inserted(ctx, tx, "INSERT INTO stocks (wax_id, undyed_g, load_percent, load_per, note, set_aside_at) VALUES (?, ?, ?, ?, ?, ?)",
		waxID, stock.UndyedG, stock.Load.Percent, stock.Load.Per, stock.Note, utcText(stock.SetAsideAt))
	if err != nil {
		return 0, err
	}
	return id, s.insertStockParts(ctx, tx, id, stock)
}

func (s *Store) insertStockParts(ctx context.Context, tx querier, id int64, stock wax.Stock) error {
	const insert = "INSERT INTO stock_parts (stock_id, dye_id, dose_g_per_kg) VALUES (?, ?, ?)"
	if err := insertRecipe(ctx, tx, newFinder(s.Dyes), insert, id, "the stock", stock.Recipe); err != nil {
		return err
	}
	return insertAdditives(ctx, tx, "INSERT INTO stock_additives (stock_id, position, name, percent) VALUES (?, ?, ?, ?)", id, stock.Additives)
}

// insertAdditives keeps additives in their order, of the owner with the id.
func insertAdditives(ctx context.Context, tx querier, insert string, owner int64, additives []wax.Additive) error {
	for i, a := range additives {
		if _, err := tx.ExecContext(ctx, insert, owner, i+1, a.Name, a.Percent); err != nil {
			return err
		}
	}
	return nil
}

func oneStock(ctx context.Context, q querier, number int64) (wax.Stock, error) {
	found, err := listStocks(ctx, q, "WHERE id = ?", number)
	if err != nil {
		return wax.Stock{}, err
	}
	if len(found) == 0 {
		return wax.Stock{}, refuse(ErrNotFound, "there is no stock %d", number)
	}
	return found[0], nil
}

// listStocks reads stocks in one query: a row for each part, at least one for
// each stock.
func listStocks(ctx context.Context, q querier, where string, args ...any) ([]wax.Stock, error) {
	query := `SELECT s.id, w.name, s.undyed_g, s.load_percent, s.load_per, s.note, s.set_aside_at,
		(SELECT ` + additiveArray + ` FROM (SELECT * FROM stock_additives WHERE stock_id = s.id ORDER BY position)),
		d.name, part.dose_g_per_kg
		FROM (SELECT * FROM stocks ` + where + `) s
		JOIN waxes w ON w.id = s.wax_id
		LEFT JOIN stock_parts part ON part.stock_id = s.id
		LEFT JOIN dyes d ON d.id = part.dye_id
		ORDER BY s.id, d.name`
	var stocks []wax.Stock
	err := eachRow(ctx, q, query, args, func(rows *sql.Rows) error {
		var s wax.Stock
		var additives additiveList
		var dye sql.NullString
		var dose sql.NullFloat64
		err := rows.Scan(&s.Number, &s.Wax, &s.UndyedG, &s.Load.Percent, &s.Load.Per, &s.Note, (*utcText)(&s.SetAsideAt), &additives, &dye, &dose)
		if err != nil {
			return err
		}
		if last := len(stocks) - 1; last < 0 || stocks[last].Number != s.Number {
			s.Additives = additives
			stocks = append(stocks, s)
		}
		if dye.Valid {
			stock := &stocks[len(stocks)-1]
			stock.Recipe = append(stock.Recipe, wax.Part{Dye: dye.String, DoseGPerKg: dose.Float64})
		}
		return nil
	})
	return stocks, err
}

// additiveArray selects additives as additiveList reads them.
const additiveArray = "json_group_array(json_object('Name', name, 'Percent', percent))"

// additiveList is additives as a JSON array; none are nil.
type additiveList []wax.Additive

// Scan reads the list.
func (l *additiveList) Scan(value any) error {
	text, ok := value.(string)
	if !ok {
		return fmt.Errorf("additives are stored as %T", value)
	}
	*l = nil
	if text == "[]" {
		return nil
	}
	return json.Unmarshal([]byte(text), (*[]wax.Additive)(l))
}
