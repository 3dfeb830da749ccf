// Package events tells events within the service: to the webhooks that
// subscribed, by a job for each event, and to the watchers of this process, by a
// bell.
package events

import (
	"context"

	"github.com/riverqueue/river"

	"wattle/internal/auth"
	"wattle/internal/estimating"
	"wattle/internal/jobs"
)

// Store is what the worker needs of the store.
type Store interface {
	// PositionEvents gives new events their positions, and has watchers woken.
	PositionEvents(ctx context.Context, company string) error
	// Distribute makes the deliveries of an event, once.
	Distribute(ctx context.Context, company, event string) error
}

// Worker works off events.
type Worker struct {
	river.WorkerDefaults[jobs.Event]
	store Store
}

// NewWorker makes a worker.
func NewWorker(store Store) *Worker { return &Worker{store: store} }

// Work may run again after it was done: it then adds nothing.
func (w *Worker) Work(ctx context.Context, job *river.Job[jobs.Event]) error {
	ctx = estimating.WithCaller(ctx, auth.ForCompany(job.Args.Company))
	if err := w.store.PositionEvents(ctx, job.Args.Company); err != nil {
		return err
	}
	return w.store.Distribute(ctx, job.Args.Company, job.Args.Event)
}
