package webhook

import (
	"context"
	"errors"
	"math/rand/v2"
	"time"

	"github.com/riverqueue/river"

	"wattle/internal/auth"
	"wattle/internal/estimating"
	"wattle/internal/jobs"
)

// Store is what a worker needs of the store.
type Store interface {
	// Delivery reports false where nothing is left to do.
	Delivery(ctx context.Context, company, webhook, event string) (estimating.Dispatch, bool, error)
	RecordAttempt(ctx context.Context, company, webhook, event string, a estimating.Attempt) error
}

// Retry says when a failed delivery is tried again: after First, then each time
// after three times as long, but not after more than Longest; and after Tries
// failures no more. Half as much again is added by chance, so that the
// deliveries of a receiver that was away do not come back all at once.
type Retry struct {
	First, Longest time.Duration // 5 s, 6 h
	Tries          int           // 12, which takes about a day and a half
}

func (r Retry) withDefaults() Retry {
	if r.First == 0 {
		r.First = 5 * time.Second
	}
	if r.Longest == 0 {
		r.Longest = 6 * time.Hour
	}
	if r.Tries == 0 {
		r.Tries = 12
	}
	return r
}

// after is how long to wait after so many failures; chance is in [0, 1).
func (r Retry) after(failures int, chance float64) time.Duration {
	wait := r.First
	for range failures - 1 {
		if wait = min(3*wait, r.Longest); wait == r.Longest {
			break
		}
	}
	return wait + time.Duration(chance*float64(wait)/2)
}

// Worker works off deliveries.
type Worker struct {
	river.WorkerDefaults[jobs.Delivery]
	store  Store
	keys   *Keyring
	sender *Sender
	retry  Retry
}

// NewWorker makes a worker.
func NewWorker(store Store, keys *Keyring, sender *Sender, retry Retry) *Worker {
	return &Worker{store: store, keys: keys, sender: sender, retry: retry.withDefaults()}
}

// recordTime is how long noting a try may take.
const recordTime = 5 * time.Second

// errNotDelivered has River try again.
var errNotDelivered = errors.New("the webhook did not take the message")

// Work makes one try and notes how it went. Killed between the two, the job is
// rescued, and the receiver sees the same event id again.
func (w *Worker) Work(ctx context.Context, job *river.Job[jobs.Delivery]) error {
	a := job.Args
	ctx = estimating.WithCaller(ctx, auth.ForCompany(a.Company))
	d, due, err := w.store.Delivery(ctx, a.Company, a.Webhook, a.Event)
	if err != nil || !due {
		return err
	}
	secrets := make([][]byte, len(d.Sealed))
	for i, sealed := range d.Sealed {
		if secrets[i], err = w.keys.Open(a.Company, a.Webhook, sealed); err != nil {
			return err // nothing is sent unsigned; it is tried again until the key is there
		}
	}
	attempt, err := w.sender.Send(ctx, d.Webhook.URL, d.Event, secrets)
	if err != nil {
		return err
	}
	if attempt.Outcome == estimating.Failed && ctx.Err() != nil {
		return ctx.Err() // the worker stops, which is no failure of the receiver
	}
	if attempt.Outcome == estimating.Failed && d.Failures+1 >= w.retry.Tries {
		attempt.Outcome = estimating.Dead
	}
	// Also where the worker stops now: what has arrived should not be sent again.
	ctx, cancel := context.WithTimeout(context.WithoutCancel(ctx), recordTime)
	defer cancel()
	if err := w.store.RecordAttempt(ctx, a.Company, a.Webhook, a.Event, attempt); err != nil {
		return err
	}
	if attempt.Outcome == estimating.Failed {
		return errNotDelivered
	}
	return nil
}

// NextRetry counts from the time the database gave the try, so that the clock
// of this machine does not matter.
func (w *Worker) NextRetry(job *river.Job[jobs.Delivery]) time.Time {
	return job.AttemptedAt.Add(attemptTime + w.retry.after(job.Attempt, rand.Float64())) //nolint:gosec // nobody gains by guessing it
}
