package admission

import (
	"context"
	"errors"
	"sync/atomic"
	"time"

	"golang.org/x/sync/semaphore"
)

// ErrBusy is the answer to who waited for a slot as long as there is patience.
var ErrBusy = errors.New("no slot became free in time")

// calm is how long nobody must have been sent away before the next one may wait
// long again.
const calm = time.Second

// Slots are worked in. Whoever finds none free waits in line, first come first
// served: long where that is rare, so that a burst after quiet is absorbed, and
// short for a second after somebody waited in vain, so that under lasting
// overload those who do get a slot did not wait long for it. They may be used by any
// number of goroutines.
type Slots struct {
	most         int
	free         *semaphore.Weighted
	patience     time.Duration
	hurried      time.Duration
	start        time.Time
	lastSentAway atomic.Int64 // since start; 0 is never
}

// NewSlots has most slots, for which one waits up to patience at first and up to
// a twentieth of it under overload. Without any, there is no limit.
func NewSlots(most int, patience time.Duration) *Slots {
	return &Slots{most: most, free: semaphore.NewWeighted(int64(most)), patience: patience, hurried: patience / 20, start: time.Now()}
}

// Most is how many there are; 0 means no limit.
func (s *Slots) Most() int { return s.most }

// Take waits for a slot, to be given back by Leave. It fails with ErrBusy, or
// with the context's error where that ends first.
func (s *Slots) Take(ctx context.Context) error {
	if s.most == 0 || s.free.TryAcquire(1) { // never before those in line
		return nil
	}
	patience := s.patience
	if s.Overloaded() {
		patience = s.hurried
	}
	waiting, cancel := context.WithTimeout(ctx, patience)
	defer cancel()
	if s.free.Acquire(waiting, 1) == nil {
		return nil
	}
	if err := ctx.Err(); err != nil {
		return err
	}
	s.lastSentAway.Store(int64(time.Since(s.start)))
	return ErrBusy
}

// Leave gives a slot back.
func (s *Slots) Leave() {
	if s.most > 0 {
		s.free.Release(1)
	}
}

// Overloaded reports whether somebody waited in vain within the last second.
func (s *Slots) Overloaded() bool {
	last := s.lastSentAway.Load()
	return last != 0 && time.Since(s.start)-time.Duration(last) < calm
}
