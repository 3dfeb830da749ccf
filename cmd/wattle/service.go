package main

import (
	"log/slog"
	"time"

	"github.com/google/uuid"

	"wattle/internal/estimating"
	"wattle/internal/postgres"
	"wattle/internal/rpc"
)

// newService wires the use cases to a store, the clock and fresh ids, and
// puts the gRPC edge in front.
func newService(store *postgres.Store, log *slog.Logger) (*rpc.Server, error) {
	use := &estimating.Service{
		Quotes: store, Prices: store,
		Now: time.Now,
		// Must fails only where the machine has no randomness.
		NewID: func() string { return uuid.Must(uuid.NewV7()).String() },
	}
	return rpc.NewServer(use, rpc.Config{Log: log})
}
