package main

import (
	"context"
	"errors"
	"log/slog"
	"time"

	"wattle/internal/fault"
)

// The database is asked readyEvery, and has readyWithin to answer.
const (
	readyEvery  = time.Second
	readyWithin = 3 * time.Second
)

// database is what can be asked whether it takes writes.
type database interface {
	Writable(ctx context.Context) error
}

// watchReadiness tells set whether calls can be answered, by whether the database
// can be written to, until ctx ends. Only changes are told, and logged once each.
func watchReadiness(ctx context.Context, db database, set func(ready bool), log *slog.Logger) {
	tick := time.NewTicker(readyEvery)
	defer tick.Stop()
	var since time.Time // when it stopped to be ready; zero while it is
	for {
		limited, cancel := context.WithTimeout(ctx, readyWithin)
		err := db.Writable(limited)
		cancel()
		switch {
		case ctx.Err() != nil: // whoever ends the service says that it is not ready
			return
		case err != nil && since.IsZero():
			since = time.Now()
			log.LogAttrs(ctx, slog.LevelWarn, "not ready: the database cannot be written to", reasons(err)...)
			set(false)
		case err == nil && !since.IsZero():
			log.Info("ready again", "after_s", time.Since(since).Seconds())
			since = time.Time{}
			set(true)
			if ctx.Err() != nil { // the end came in between
				set(false)
			}
		}
		select {
		case <-tick.C:
		case <-ctx.Done():
			return
		}
	}
}

// reasons are what the log says of an error.
func reasons(err error) []slog.Attr {
	attrs := []slog.Attr{slog.String("error", err.Error())}
	if e, ok := errors.AsType[*fault.Error](err); ok {
		attrs = append(attrs, slog.String("reason", e.Reason))
	}
	if cause := errors.Unwrap(err); cause != nil {
		attrs = append(attrs, slog.String("cause", cause.Error()))
	}
	return attrs
}
