package events

import (
	"context"
	"log/slog"
	"sync"
	"time"

	"wattle/internal/estimating"
)

// Bell wakes the watchers of a company. The zero value is ready.
type Bell struct {
	mu       sync.Mutex
	watchers map[string]map[chan struct{}]struct{}
}

var _ estimating.News = (*Bell)(nil)

// Subscribe implements estimating.News.
func (b *Bell) Subscribe(company string) (<-chan struct{}, func()) {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.watchers == nil {
		b.watchers = make(map[string]map[chan struct{}]struct{})
	}
	if b.watchers[company] == nil {
		b.watchers[company] = make(map[chan struct{}]struct{})
	}
	c := make(chan struct{}, 1)
	b.watchers[company][c] = struct{}{}
	return c, func() {
		b.mu.Lock()
		defer b.mu.Unlock()
		if delete(b.watchers[company], c); len(b.watchers[company]) == 0 {
			delete(b.watchers, company)
		}
	}
}

// Ring wakes a company's watchers; those that are awake look once more.
func (b *Bell) Ring(company string) {
	b.mu.Lock()
	defer b.mu.Unlock()
	for c := range b.watchers[company] {
		select {
		case c <- struct{}{}:
		default:
		}
	}
}

// Listener hears of new events, from any process, until it fails or ctx ends.
type Listener interface {
	ListenEvents(ctx context.Context, hear func(company string)) error
}

// Longest wait between two tries to listen.
const longestSilence = 30 * time.Second

// Listen rings for what l hears until ctx ends. While l fails it tries again
// from time to time; watchers ask by themselves meanwhile.
func (b *Bell) Listen(ctx context.Context, l Listener, log *slog.Logger) {
	for wait := time.Second; ; wait = min(2*wait, longestSilence) {
		start := time.Now()
		err := l.ListenEvents(ctx, b.Ring)
		if ctx.Err() != nil {
			return
		}
		if time.Since(start) > longestSilence {
			wait = time.Second
		}
		log.Warn("not listening for events; watchers poll", "error", err, "again_in", wait.String())
		select {
		case <-ctx.Done():
			return
		case <-time.After(wait):
		}
	}
}
