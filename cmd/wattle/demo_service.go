package main

import (
	"context"
	"errors"
	"io"
	"log/slog"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/auth"
	"wattle/internal/events"
	"wattle/internal/rpc"
	"wattle/internal/webhook"
)

// runDemo starts the service on a temporary database, shows it through a
// client's connection, and takes everything down again.
func runDemo(ctx context.Context, w io.Writer, dir, bin string) (err error) {
	db, err := openLocal(ctx, "", bin)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, db.Close()) }()
	// The demo prints its own story; of the log only what went wrong.
	log := slog.New(slog.NewTextHandler(w, &slog.HandlerOptions{Level: slog.LevelError}))
	secret := newSecret()
	server, err := newService(db.store, log, auth.Hash(secret), nil, webhook.Guard{}, &events.Bell{}, noView(), rpc.Limits{})
	if err != nil {
		return err
	}
	lis, err := listen(ctx, "--listen", "127.0.0.1:0", false)
	if err != nil {
		return err
	}
	serving, stop := context.WithCancel(ctx)
	served := make(chan error, 1)
	go func() { served <- server.Serve(serving, lis) }()
	defer func() {
		stop()
		err = errors.Join(err, <-served)
	}()
	key, err := demoCompany(ctx, lis.Addr().String(), secret)
	if err != nil {
		return err
	}
	conn, err := dial(lis.Addr().String(), key)
	if err != nil {
		return err
	}
	defer func() { _ = conn.Close() }() // nothing is pending
	return (&demonstration{w: w, conn: conn, dir: dir}).show(ctx)
}

// demoCompany makes the demo's company with the operator's key, and gives its
// first key.
func demoCompany(ctx context.Context, address, operator string) (string, error) {
	conn, err := dial(address, operator)
	if err != nil {
		return "", err
	}
	defer func() { _ = conn.Close() }() // nothing is pending
	answer, err := offices(conn).CreateCompany(ctx, &wattlev1.CreateCompanyRequest{
		CompanyId: "harrow", Title: "Harrow & Daughters Fence", RequestId: "demo",
	})
	return answer.GetSecret(), err
}
