// Package expiry ends issued quotes whose last day of validity has passed.
package expiry

import (
	"context"
	"time"

	"github.com/riverqueue/river"

	"wattle/internal/auth"
	"wattle/internal/estimating"
	"wattle/internal/jobs"
)

const (
	// Period is how often expired quotes are looked for. Until then a quote is
	// still called issued, but it cannot be accepted.
	Period = time.Minute
	// chunk is how many quotes expire in one transaction.
	chunk = 500
)

// Quotes is what the worker needs of the use cases.
type Quotes interface {
	ListCompanies(ctx context.Context, after string, limit int) ([]estimating.Company, error)
	ExpireQuotes(ctx context.Context, company string, now time.Time, limit int) (int, error)
}

// Worker looks through all companies.
type Worker struct {
	river.WorkerDefaults[jobs.Expiry]
	quotes Quotes
}

// NewWorker makes a worker.
func NewWorker(quotes Quotes) *Worker { return &Worker{quotes: quotes} }

// Periodic has the job done again and again, by one process of all.
func Periodic() *river.PeriodicJob {
	return river.NewPeriodicJob(river.PeriodicInterval(Period), func() (river.JobArgs, *river.InsertOpts) {
		// One that fails is not repeated: the next does its work.
		return jobs.Expiry{}, &river.InsertOpts{Queue: jobs.Expiry{}.Queue(), MaxAttempts: 1}
	}, &river.PeriodicJobOpts{RunOnStart: true})
}

// Work expires what has ended by the time that the database gave the job, a
// chunk of each company at a time, so that none waits for another. Several may
// do so at once.
func (w *Worker) Work(ctx context.Context, job *river.Job[jobs.Expiry]) error {
	left, err := w.companies(ctx)
	for err == nil && len(left) > 0 {
		var more []string
		for _, company := range left {
			var n int
			n, err = w.quotes.ExpireQuotes(estimating.WithCaller(ctx, auth.ForCompany(company)), company, *job.AttemptedAt, chunk)
			if err != nil {
				break
			}
			if n == chunk {
				more = append(more, company)
			}
		}
		left = more
	}
	return err
}

func (w *Worker) companies(ctx context.Context) (ids []string, err error) {
	for {
		after := ""
		if len(ids) > 0 {
			after = ids[len(ids)-1]
		}
		page, err := w.quotes.ListCompanies(ctx, after, chunk)
		if err != nil {
			return nil, err
		}
		for _, c := range page {
			ids = append(ids, c.ID)
		}
		if len(page) < chunk {
			return ids, nil
		}
	}
}
