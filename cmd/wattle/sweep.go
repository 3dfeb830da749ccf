package main

import (
	"context"
	"log/slog"
	"time"

	"wattle/internal/postgres"
)

// What imports that never ended left behind is removed after importAge, which
// the API promises, by whoever of the running services looks first.
const (
	importAge  = 24 * time.Hour
	sweepEvery = time.Hour
)

// sweep removes it, now and every hour, until ctx ends.
func sweep(ctx context.Context, store *postgres.Store, log *slog.Logger) {
	tick := time.NewTicker(sweepEvery)
	defer tick.Stop()
	for {
		switch removed, err := store.SweepImports(ctx, importAge); {
		case ctx.Err() != nil:
			return
		case err != nil: // the next hour is soon enough
			log.Warn("imports left behind cannot be removed", "error", err)
		case removed > 0:
			log.Info("removed what imports left behind", "rows", removed)
		}
		select {
		case <-tick.C:
		case <-ctx.Done():
			return
		}
	}
}
