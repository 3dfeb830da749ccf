package postgres

import (
	"context"
	"slices"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
	"github.com/jackc/pgx/v5/pgxpool"
	"github.com/riverqueue/river/riverdriver/riverpgxv5"

	"wattle/internal/auth"
	"wattle/internal/estimating"
	"wattle/internal/fault"
	"wattle/internal/jobs"
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
	Conn() *pgx.Conn
}

// read and write are the usual kinds of transaction. Both are READ COMMITTED: a
// reader takes the head first and then filters by its revision, so what
// commits in between is never seen; a writer that waited for the head's lock
// must see what the one before it committed.
var (
	read  = pgx.TxOptions{IsoLevel: pgx.ReadCommitted, AccessMode: pgx.ReadOnly}
	write = pgx.TxOptions{IsoLevel: pgx.ReadCommitted, AccessMode: pgx.ReadWrite}
	// readOnce is for several statements that must see one state.
	readOnce = pgx.TxOptions{IsoLevel: pgx.RepeatableRead, AccessMode: pgx.ReadOnly}
)

// within runs f in a transaction that sees and writes what the caller in ctx
// reaches in one company, and commits unless f fails. There is no other way to
// a company's rows.
func (s *Store) within(ctx context.Context, company string, kind pgx.TxOptions, f func(q querier) error) error {
	c, err := estimating.CallerFor(ctx, company)
	if err != nil {
		return err
	}
	reads, below, quotes, writes := everyOffice, everyOffice, everyOffice, everyOffice
	if !c.Everywhere {
		reads, below = auth.List(c.PriceOffices()), auth.List(c.Tree.Below(c.Office))
		quotes, writes = auth.List(c.QuoteOffices()), auth.List(c.WriteOffices())
	}
	err = s.transact(ctx, kind, func(tx pgx.Tx) error {
		// The third argument makes it SET LOCAL: it ends with the transaction,
		// so a pooled connection never carries a company to the next call.
		_, err := tx.Exec(ctx, `
			select set_config('wattle.company', $1, true), set_config('wattle.reads', $2, true), set_config('wattle.below', $3, true),
			       set_config('wattle.quotes', $4, true), set_config('wattle.writes', $5, true)`,
			company, reads, below, quotes, writes)
		if err != nil {
			return err
		}
		return f(tx)
	})
	s.probe.notice(err)
	return translate(ctx, err)
}

func (s *Store) transact(ctx context.Context, kind pgx.TxOptions, f func(pgx.Tx) error) error {
	return s.pool.AcquireFunc(ctx, func(c *pgxpool.Conn) error {
		return confirmed(ctx, c.Conn(), func() error { return pgx.BeginTxFunc(ctx, c, kind, f) })
	})
}

// everywhere is ctx for a caller's work on the company as a whole, under his
// own name.
func everywhere(ctx context.Context, c auth.Caller) context.Context {
	c.Everywhere = true
	return estimating.WithCaller(ctx, c)
}

// writesAt is Denied (OFFICE_NOT_YOURS) where the caller does not write at an
// office. Unlike a new thing, one that is there may be at an office that was
// removed since.
func writesAt(ctx context.Context, at string) error {
	c := estimating.CallerOf(ctx)
	if c.Everywhere || slices.Contains(c.WriteOffices(), at) {
		return nil
	}
	return fault.New(fault.Denied, "OFFICE_NOT_YOURS", "this key writes at office %s, and not at %s", c.Office, at)
}

// everyOffice, in place of a list of offices, is all of the company's.
const everyOffice = "*"

// unscoped runs one query that belongs to no company: who calls is asked before
// that is known, and what imports left behind is swept of all. The functions it
// asks tell no company's rows.
func (s *Store) unscoped(ctx context.Context, sql string, args []any, into ...any) error {
	return translate(ctx, s.pool.QueryRow(ctx, sql, args...).Scan(into...))
}

// check looks at the schema, which belongs to no company.
func (s *Store) check(ctx context.Context) error {
	return translate(ctx, s.pool.AcquireFunc(ctx, func(c *pgxpool.Conn) error { return checkSchema(ctx, c.Conn()) }))
}

// connects is nil where the pool has connections, or can make one. A broken one
// is found out, and replaced, by who next wants it.
func (s *Store) connects(ctx context.Context) error {
	if s.pool.Stat().TotalConns() > 0 {
		return nil
	}
	return s.pool.Ping(ctx)
}

// renew has the pool replace each of its connections, once nobody uses it.
func (s *Store) renew() { s.pool.Reset() }

// Queue is the way to the job queue, whose tables belong to no company, for
// who works its jobs off.
func (s *Store) Queue() *riverpgxv5.Driver { return riverpgxv5.New(s.pool) }

// PoolStats are the counters of the store's connections.
func (s *Store) PoolStats() interface {
	Stat() *pgxpool.Stat
	Config() *pgxpool.Config
} {
	return s.pool
}

// Backlog is how much waits to be done, of all companies together.
func (s *Store) Backlog(ctx context.Context) ([]Backlog, error) {
	rows, err := s.pool.Query(ctx, `select what, part, waiting, oldest_seconds from wattle_backlog($1)`, jobs.Queues())
	if err != nil {
		return nil, translate(ctx, err)
	}
	all, err := pgx.CollectRows(rows, pgx.RowToStructByPos[Backlog])
	return all, translate(ctx, err)
}

// Backlog is how much of one kind waits. Waiting stops at 10,000.
type Backlog struct {
	// What is jobs (Part is their queue), events (without a position), deliveries
	// (Part is waiting, or dead: given up within the last day) or imports (in
	// parts, not committed).
	What, Part    string
	Waiting       int64
	OldestSeconds float64 // for how long the oldest has waited; 0 where nothing does
}

// ListenEvents hears of new events of any company, from any process, until the
// connection breaks or ctx ends.
func (s *Store) ListenEvents(ctx context.Context, hear func(company string)) error {
	pooled, err := s.pool.Acquire(ctx)
	if err != nil {
		return translate(ctx, err)
	}
	conn := pooled.Hijack()                                       // it listens as long as it lives, so it does not go back
	defer func() { _ = conn.Close(context.WithoutCancel(ctx)) }() // nothing is pending
	if _, err := conn.Exec(ctx, `listen wattle_event`); err != nil {
		return translate(ctx, err)
	}
	for {
		n, err := conn.WaitForNotification(ctx)
		if err != nil {
			return translate(ctx, err)
		}
		hear(n.Payload)
	}
}
