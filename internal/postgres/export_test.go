package postgres

import (
	"context"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"

	"wattle/internal/estimating"
)

// For tests that look at the plan of the query.
const InForce = inForce

// For the test that lists what each code and constraint means.
var Translate = translate

// For the test that looks at the plan of what expires quotes.
const Ended = ended

// For tests that look at the plans of what finds finished jobs.
const (
	Finished     = finished
	FinishedJobs = finishedJobs
)

// For tests that hold a transaction open.
func Emit(ctx context.Context, tx pgx.Tx, e estimating.Event) error { return emit(ctx, tx, e) }

// For tests that look at the plans of exports.
const (
	EntriesInOrder = entriesInOrder
	ItemsInOrder   = itemsInOrder
	QuotesInOrder  = quotesInOrder
)

// Setting is what one of the store's connections has for a parameter.
func (s *Store) Setting(ctx context.Context, name string) (value string, err error) {
	return value, s.unscoped(ctx, `select current_setting($1)`, []any{name}, &value)
}

// NoticeDiskFull is what a call does whose statement found no room.
func (s *Store) NoticeDiskFull() { s.probe.notice(&pgconn.PgError{Code: diskFull}) }
