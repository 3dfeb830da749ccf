package postgres

import (
	"context"
	"log/slog"
	"sync"

	"github.com/jackc/pgx/v5"
	"github.com/riverqueue/river"
	"github.com/riverqueue/river/riverdriver/riverpgxv5"

	"wattle/internal/correlate"
	"wattle/internal/fault"
	"wattle/internal/jobs"
)

// mostAttempts is after how many attempts River forgets a job. A lost job would
// be a gap, so it is never reached: what may fail for good says so itself.
const mostAttempts = 1000

// queue only inserts; it has no connection of its own.
var queue = sync.OnceValues(func() (*river.Client[pgx.Tx], error) {
	return river.NewClient(riverpgxv5.New(nil), &river.Config{Logger: slog.New(slog.DiscardHandler)})
})

// enqueue adds jobs to the transaction that makes them necessary. All are for
// the company of that transaction.
func enqueue(ctx context.Context, q querier, args ...jobs.Args) error {
	if len(args) == 0 {
		return nil
	}
	client, err := queue()
	if err != nil {
		return err
	}
	tx, ok := q.(pgx.Tx)
	if !ok {
		return fault.New(fault.Internal, "NO_TRANSACTION", "a job can only be added within a transaction")
	}
	note := correlate.Metadata(ctx)
	params := make([]river.InsertManyParams, len(args))
	for i, a := range args {
		params[i] = river.InsertManyParams{Args: a, InsertOpts: &river.InsertOpts{Queue: a.Queue(), MaxAttempts: mostAttempts, Metadata: note}}
	}
	_, err = client.InsertManyTx(ctx, tx, params)
	return err
}
