// Package impact works off the jobs that find out what a revision of the book
// does to open quotes: one that takes the steps, and one for each chunk.
package impact

import (
	"context"
	"time"

	"github.com/riverqueue/river"

	"wattle/internal/book"
	"wattle/internal/jobs"
)

// Use is the use cases that the workers call. What is open, and the day of the
// impact, go by the time that the database gave the job.
type Use interface {
	AdvanceImpact(ctx context.Context, company string, r book.Revision, now time.Time) error
	WorkImpact(ctx context.Context, company string, r book.Revision, chunk int, now time.Time) error
}

// Steps takes the steps.
type Steps struct {
	river.WorkerDefaults[jobs.Impact]
	use Use
}

// NewSteps makes a worker.
func NewSteps(use Use) *Steps { return &Steps{use: use} }

// Work may run again after it was done: it then finds the next step taken.
func (w *Steps) Work(ctx context.Context, job *river.Job[jobs.Impact]) error {
	return w.use.AdvanceImpact(ctx, job.Args.Company, book.Revision(job.Args.Revision), *job.AttemptedAt)
}

// stepTime is how long a step may take: to find the quotes among millions that
// ask for one of a million prices is one statement. A killed one is not taken up before.
const stepTime = 2 * time.Minute

// Timeout implements river.Worker.
func (w *Steps) Timeout(*river.Job[jobs.Impact]) time.Duration { return stepTime }

// Chunks works chunks out.
type Chunks struct {
	river.WorkerDefaults[jobs.ImpactChunk]
	use Use
}

// NewChunks makes a worker.
func NewChunks(use Use) *Chunks { return &Chunks{use: use} }

// Work may run again after it was done, or beside itself: one of them stores.
func (w *Chunks) Work(ctx context.Context, job *river.Job[jobs.ImpactChunk]) error {
	return w.use.WorkImpact(ctx, job.Args.Company, book.Revision(job.Args.Revision), job.Args.Chunk, *job.AttemptedAt)
}
