package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"strings"

	"setshade/internal/plaintext"
)

// entry is what stands on a shelf: a wax, a dye or a mould.
type entry interface{ Validate() error }

// Shelf keeps the entries of one kind by name. Names compare without case and
// are unique.
type Shelf[T entry] struct {
	store *Store
	// noun names one entry in sentences, and plural many.
	noun, plural string
	table        string
	// columns and fields match one to one; the first is the name. The same
	// pointers are written from and read into.
	columns []string
	fields  func(*T) []any
	// uses are what may use an entry; none when nothing ever does.
	uses []use
}

// use is one kind of thing that uses entries of a shelf.
type use struct {
	// noun names one user in sentences, and plural many.
	noun, plural string
	// count counts those that use the entry with the id ?.
	count string
}

// Add puts a new entry on the shelf. It fails with ErrExists when the name is
// taken and with ErrInvalid when the entry cannot be.
func (sh *Shelf[T]) Add(ctx context.Context, e T) error {
	if err := sh.validate(e); err != nil {
		return err
	}
	return sh.store.write(ctx, func(tx querier) error { return sh.add(ctx, tx, e) })
}

func (sh *Shelf[T]) add(ctx context.Context, tx querier, e T) error {
	if err := sh.refuseTaken(ctx, tx, sh.name(&e), 0); err != nil {
		return err
	}
	insert := fmt.Sprintf("INSERT INTO %s (name_key, %s) VALUES (?%s)",
		sh.table, strings.Join(sh.columns, ", "), strings.Repeat(", ?", len(sh.columns)))
	_, err := tx.ExecContext(ctx, insert, sh.row(&e)...)
	return err
}

// Update puts e in the place of the entry called name, and so may rename it;
// what uses it follows. It fails with ErrNotFound, with ErrExists
// when the new name belongs to another entry, and with ErrInvalid.
func (sh *Shelf[T]) Update(ctx context.Context, name string, e T) error {
	if err := sh.validate(e); err != nil {
		return err
	}
	return sh.store.write(ctx, func(tx querier) error { return sh.update(ctx, tx, name, e) })
}

func (sh *Shelf[T]) update(ctx context.Context, tx querier, name string, e T) error {
	id, err := sh.id(ctx, tx, name)
	if err != nil {
		return err
	}
	if err := sh.refuseTaken(ctx, tx, sh.name(&e), id); err != nil {
		return err
	}
	update := fmt.Sprintf("UPDATE %s SET name_key = ?, %s = ? WHERE id = ?",
		sh.table, strings.Join(sh.columns, " = ?, "))
	_, err = tx.ExecContext(ctx, update, append(sh.row(&e), id)...)
	return err
}

// Get returns the entry called name, or ErrNotFound with the names there are.
func (sh *Shelf[T]) Get(ctx context.Context, name string) (T, error) {
	var e T
	err := sh.store.db.QueryRowContext(ctx, sh.selection()+" WHERE name_key = ?", plaintext.Fold(name)).Scan(sh.fields(&e)...)
	if errors.Is(err, sql.ErrNoRows) {
		err = sh.missing(ctx, sh.store.db, name)
	}
	return e, explain(sh.store.path, err)
}

// List returns every entry in order of name, case aside.
func (sh *Shelf[T]) List(ctx context.Context) ([]T, error) {
	entries, err := sh.list(ctx, sh.store.db)
	return entries, explain(sh.store.path, err)
}

func (sh *Shelf[T]) list(ctx context.Context, q querier) ([]T, error) {
	return readAll(ctx, q, sh.selection()+" ORDER BY name_key", nil, sh.fields)
}

// Remove takes the entry called name off the shelf. It fails with ErrNotFound,
// and with ErrInUse while a swatch or a batch uses the entry.
func (sh *Shelf[T]) Remove(ctx context.Context, name string) error {
	return sh.store.write(ctx, func(tx querier) error {
		id, err := sh.id(ctx, tx, name)
		if err != nil {
			return err
		}
		if err := sh.refuseUsed(ctx, tx, id, name); err != nil {
			return err
		}
		_, err = tx.ExecContext(ctx, "DELETE FROM "+sh.table+" WHERE id = ?", id)
		return err
	})
}

func (sh *Shelf[T]) validate(e T) error {
	if err := e.Validate(); err != nil {
		return &Error{sentence: err.Error(), kind: ErrInvalid, cause: err}
	}
	return validText(sh.name(&e))
}

func (sh *Shelf[T]) name(e *T) string { return *sh.fields(e)[0].(*string) }

// row is what is written of an entry; its name is put into composed form.
func (sh *Shelf[T]) row(e *T) []any {
	name := sh.fields(e)[0].(*string)
	*name = plaintext.Clean(*name)
	return append([]any{plaintext.Fold(*name)}, sh.fields(e)...)
}

func (sh *Shelf[T]) selection() string {
	return "SELECT " + strings.Join(sh.columns, ", ") + " FROM " + sh.table
}

func (sh *Shelf[T]) id(ctx context.Context, q querier, name string) (int64, error) {
	var id int64
	err := q.QueryRowContext(ctx, "SELECT id FROM "+sh.table+" WHERE name_key = ?", plaintext.Fold(name)).Scan(&id)
	if errors.Is(err, sql.ErrNoRows) {
		return 0, sh.missing(ctx, q, name)
	}
	return id, err
}

// refuseTaken fails when an entry other than self has the name already.
func (sh *Shelf[T]) refuseTaken(ctx context.Context, q querier, name string, self int64) error {
	var there string
	err := q.QueryRowContext(ctx, "SELECT name FROM "+sh.table+" WHERE name_key = ? AND id <> ?", plaintext.Fold(name), self).Scan(&there)
	if errors.Is(err, sql.ErrNoRows) {
		return nil
	}
	if err != nil {
		return err
	}
	return refuse(ErrExists, "there is already a %s called %s; change that one, or choose another name", sh.noun, there)
}

func (sh *Shelf[T]) refuseUsed(ctx context.Context, q querier, id int64, name string) error {
	for _, u := range sh.uses {
		var users int
		if err := q.QueryRowContext(ctx, u.count, id).Scan(&users); err != nil {
			return err
		}
		switch users {
		case 0:
			continue
		case 1:
			return refuse(ErrInUse, "the %s %s cannot be removed while 1 %s uses it; remove that %s first", sh.noun, name, u.noun, u.noun)
		}
		return refuse(ErrInUse, "the %s %s cannot be removed while %d %s use it; remove those %s first", sh.noun, name, users, u.plural, u.plural)
	}
	return nil
}

// missing returns the error for a name that is not there: it lists the names
// that are.
func (sh *Shelf[T]) missing(ctx context.Context, q querier, name string) error {
	names, err := readColumn[string](ctx, q, "SELECT name FROM "+sh.table+" ORDER BY name_key")
	if err != nil {
		return err
	}
	if len(names) == 0 {
		return refuse(ErrNotFound, "there is no %s called %q: there are no %s in the store yet; add it first", sh.noun, name, sh.plural)
	}
	if near := plaintext.Nearest(name, names); near != "" {
		return refuse(ErrNotFound, "there is no %s called %q; did you mean %q? The store has %s", sh.noun, name, near, listed(names))
	}
	return refuse(ErrNotFound, "there is no %s called %q; the store has %s", sh.noun, name, listed(names))
}
