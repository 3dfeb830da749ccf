package postgres

import (
	"context"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
	"github.com/jackc/pgx/v5/pgxpool"
)

// cancelGrace is how long a cancelled query may take to end before its
// connection is given up.
const cancelGrace = time.Second

// querier is what runs SQL for one company, within one transaction.
type querier interface {
	Exec(ctx context.Context, sql string, args ...any) (pgconn.CommandTag, error)
	Query(ctx context.Context, sql string, args ...any) (pgx.Rows, error)
	QueryRow(ctx context.Context, sql string, args ...any) pgx.Row
	SendBatch(ctx context.Context, b *pgx.Batch) pgx.BatchResults
}

// read and write are the two kinds of transaction. Both are READ COMMITTED: a
// reader takes the head first and then filters by its revision, so what
// commits in between is never seen; a writer that waited for the head's lock
// must see what the one before it committed.
var (
	read  = pgx.TxOptions{IsoLevel: pgx.ReadCommitted, AccessMode: pgx.ReadOnly}
	write = pgx.TxOptions{IsoLevel: pgx.ReadCommitted, AccessMode: pgx.ReadWrite}
)

// within runs f in a transaction that sees and writes the rows of one company,
// and commits unless f fails. There is no other way to a query.
func (s *Store) within(ctx context.Context, company string, kind pgx.TxOptions, f func(q querier) error) error {
	err := pgx.BeginTxFunc(ctx, s.pool, kind, func(tx pgx.Tx) error {
		// The third argument makes it SET LOCAL: it ends with the transaction,
		// so a pooled connection never carries a company to the next call.
		if _, err := tx.Exec(ctx, `select set_config('wattle.company', $1, true)`, company); err != nil {
			return err
		}
		return f(tx)
	})
	return translate(ctx, err)
}

// check looks at the schema, which belongs to no company.
func (s *Store) check(ctx context.Context) error {
	return translate(ctx, s.pool.AcquireFunc(ctx, func(c *pgxpool.Conn) error { return checkSchema(ctx, c.Conn()) }))
}
