// Package postgres keeps the offices, the book, the quotes and the specs in Postgres. It holds the
// SQL, the rows and their way from and to the domain, and the translation of
// the driver's errors; nothing else of the program knows any of these.
package postgres

import (
	"context"
	"math"
	"strings"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgxpool"

	"wattle/internal/estimating"
	"wattle/internal/fault"
)

// Store implements the stores of package estimating. It may be used by any
// number of goroutines; Close it when they are done.
type Store struct {
	// pool is used in scope.go and nowhere else.
	pool  *pgxpool.Pool
	trees trees
	probe *probe
}

var (
	_ estimating.QuoteStore    = (*Store)(nil)
	_ estimating.PriceStore    = (*Store)(nil)
	_ estimating.SpecStore     = (*Store)(nil)
	_ estimating.OfficeStore   = (*Store)(nil)
	_ estimating.CustomerStore = (*Store)(nil)
	_ estimating.EventStore    = (*Store)(nil)
	_ estimating.WebhookStore  = (*Store)(nil)
	_ estimating.ImpactStore   = (*Store)(nil)
)

// Open connects as the service role. It refuses a schema that this program
// cannot work with, and a role that sees every company.
func Open(ctx context.Context, serviceURL string, options ...Option) (*Store, error) {
	config, err := pgxpool.ParseConfig(serviceURL)
	if err != nil {
		return nil, fault.Wrap(err, fault.Invalid, "DATABASE_URL", "the service's database URL cannot be read")
	}
	settle(config)
	confirming(config.ConnConfig)
	for _, option := range options {
		option(config)
	}
	pool, err := pgxpool.NewWithConfig(ctx, config)
	if err != nil {
		return nil, translate(ctx, err)
	}
	s := &Store{pool: pool, probe: newProbe(config.ConnConfig)}
	if err := s.check(ctx); err != nil {
		s.Close()
		return nil, err
	}
	return s, nil
}

// Option changes how a store connects.
type Option func(*pgxpool.Config)

// Traced has every statement told to a tracer, on its way and when it is done.
func Traced(t pgx.QueryTracer) Option {
	return func(c *pgxpool.Config) { c.ConnConfig.Tracer = t }
}

// Connections sets how many connections there are at most, unless the database's
// URL does (pool_max_conns).
func Connections(most int) Option {
	return func(c *pgxpool.Config) {
		if !strings.Contains(c.ConnString(), "pool_max_conns") {
			c.MaxConns = int32(min(most, math.MaxInt32))
		}
	}
}

// Close waits for the calls that are under way and closes the connections.
func (s *Store) Close() {
	s.probe.Close()
	s.pool.Close()
}
