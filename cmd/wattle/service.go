package main

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"time"

	"github.com/google/uuid"
	"google.golang.org/grpc/credentials"

	"wattle/internal/estimating"
	"wattle/internal/events"
	"wattle/internal/fault"
	"wattle/internal/postgres"
	"wattle/internal/rpc"
	"wattle/internal/webhook"
)

// newService wires the use cases to a store, the clock and fresh ids, and
// puts the gRPC edge in front.
//
// operator is the hash of the operator's secret, zero where there is none.
func newService(store *postgres.Store, log *slog.Logger, operator [32]byte, security credentials.TransportCredentials, guard webhook.Guard, bell *events.Bell, view operatorView, limits rpc.Limits) (*rpc.Server, error) {
	use := &estimating.Service{
		Quotes: store, Prices: store, Specs: store, Offices: store, Papers: store, Customers: store,
		Events: store, Webhooks: store, Guard: guard, News: bell, Impacts: store, Actuals: store, Exports: store,
		Now: time.Now,
		// Must fails only where the machine has no randomness.
		NewID:     func() string { return uuid.Must(uuid.NewV7()).String() },
		NewSecret: newSecret,
	}
	return rpc.NewServer(use, rpc.Config{Log: log, Access: rpc.Access{Operator: operator}, Security: security, Telemetry: view.rpc(), Limits: limits})
}

// openDatabase opens a store for somebody who runs the service: where the
// database does not answer, he is told why, as a caller would not be.
func openDatabase(ctx context.Context, url string, options ...postgres.Option) (*postgres.Store, error) {
	store, err := postgres.Open(ctx, url, options...)
	if cause := errors.Unwrap(err); cause != nil && fault.KindOf(err) == fault.Unavailable {
		return nil, fmt.Errorf("%w: %w", err, cause)
	}
	return store, err
}
