// Package work runs the jobs that calls leave behind, in this process, beside
// any number of others.
package work

import (
	"cmp"
	"context"
	"fmt"
	"log/slog"
	"slices"
	"time"

	"github.com/riverqueue/river"
	"github.com/riverqueue/river/riverdriver"
	"github.com/riverqueue/river/rivermigrate"
	"github.com/riverqueue/river/rivertype"

	"wattle/internal/correlate"
	"wattle/internal/fault"
	"wattle/internal/jobs"
)

// Config says which jobs are run and how many at once. Zero fields take the
// default named.
type Config struct {
	Workers *river.Workers
	// Periodic are jobs that the clock adds.
	Periodic []*river.PeriodicJob
	// Count is how many jobs of a queue run at once; of webhooks, which mostly
	// wait, four times as many.
	Count int // 4
	Log   *slog.Logger
	// Middleware is around each job, outermost first.
	Middleware []rivertype.Middleware
	// Timeout is how long a job may run. RescueAfter is when a job that no
	// longer runs, because its process was killed, is given to another.
	Timeout     time.Duration // 30 s
	RescueAfter time.Duration // 60 s
	// Drain is how long Run waits for running jobs when it ends.
	Drain time.Duration // 20 s
}

// Run works until ctx ends, then lets running jobs finish.
func Run[Tx any](ctx context.Context, driver riverdriver.Driver[Tx], c Config) error {
	c.Log = correlate.Logger(cmp.Or(c.Log, slog.Default()))
	count := cmp.Or(c.Count, 4)
	if err := checkQueue(ctx, driver); err != nil {
		return err
	}
	client, err := river.NewClient(driver, &river.Config{
		Workers:      c.Workers,
		PeriodicJobs: c.Periodic,
		Queues: map[string]river.QueueConfig{
			jobs.Default:  {MaxWorkers: count},
			jobs.Events:   {MaxWorkers: count},
			jobs.Webhooks: {MaxWorkers: 4 * count},
			jobs.Impacts:  {MaxWorkers: count},
		},
		JobTimeout:           cmp.Or(c.Timeout, 30*time.Second),
		RescueStuckJobsAfter: cmp.Or(c.RescueAfter, 60*time.Second),
		SoftStopTimeout:      cmp.Or(c.Drain, 20*time.Second),
		// Rebuilding an index needs its owner, which a worker is not.
		ReindexerIndexNames: []string{},
		Middleware:          append(slices.Clone(c.Middleware), &observe{log: c.Log}),
		ErrorHandler:        failures{c.Log},
		Logger:              slog.New(quiet{c.Log.Handler()}),
	})
	if err != nil {
		return fmt.Errorf("the job queue: %w", err)
	}
	if err := client.Start(ctx); err != nil { // when ctx ends, it takes no more jobs
		return fmt.Errorf("start the workers: %w", err)
	}
	c.Log.Info("working", "workers", count)
	<-client.Stopped()
	return nil
}

// checkQueue refuses a database whose job queue is older than this program's.
func checkQueue[Tx any](ctx context.Context, driver riverdriver.Driver[Tx]) error {
	migrator, err := rivermigrate.New(driver, &rivermigrate.Config{Logger: slog.New(slog.DiscardHandler)})
	if err != nil {
		return fmt.Errorf("the job queue: %w", err)
	}
	result, err := migrator.Validate(ctx, nil)
	if err != nil {
		return fmt.Errorf("look at the job queue: %w", err)
	}
	if !result.OK {
		return fault.New(fault.Refused, "DATABASE_NOT_MIGRATED", "the database's job queue is older than this program: run wattle migrate")
	}
	return nil
}

// quiet lets through what an operator should look at.
type quiet struct{ slog.Handler }

// Enabled implements slog.Handler.
func (q quiet) Enabled(ctx context.Context, level slog.Level) bool {
	return level >= slog.LevelWarn && q.Handler.Enabled(ctx, level)
}

// WithAttrs implements slog.Handler.
func (q quiet) WithAttrs(attrs []slog.Attr) slog.Handler { return quiet{q.Handler.WithAttrs(attrs)} }

// WithGroup implements slog.Handler.
func (q quiet) WithGroup(name string) slog.Handler { return quiet{q.Handler.WithGroup(name)} }
