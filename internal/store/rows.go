package store

import (
	"context"
	"database/sql"
)

// eachRow runs a query and reads its rows one by one.
func eachRow(ctx context.Context, q querier, query string, args []any, read func(*sql.Rows) error) error {
	rows, err := q.QueryContext(ctx, query, args...)
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		if err := read(rows); err != nil {
			return err
		}
	}
	return rows.Err()
}

// readAll runs a query of which each row is one value; fields are where its columns go.
func readAll[T any](ctx context.Context, q querier, query string, args []any, fields func(*T) []any) ([]T, error) {
	var all []T
	err := eachRow(ctx, q, query, args, func(rows *sql.Rows) error {
		var one T
		if err := rows.Scan(fields(&one)...); err != nil {
			return err
		}
		all = append(all, one)
		return nil
	})
	if err != nil {
		return nil, err
	}
	return all, nil
}

// readColumn runs a query of one column.
func readColumn[V any](ctx context.Context, q querier, query string, args ...any) ([]V, error) {
	return readAll(ctx, q, query, args, func(v *V) []any { return []any{v} })
}
