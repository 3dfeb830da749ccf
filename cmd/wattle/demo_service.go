package main

import (
	"context"
	"errors"
	"io"
	"log/slog"

	"google.golang.org/grpc"
)

// runDemo starts the service on a temporary database, shows it through a
// client's connection, and takes everything down again.
func runDemo(ctx context.Context, w io.Writer, dir string) (err error) {
	db, err := openLocal(ctx, "")
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, db.Close()) }()
	// The demo prints its own story; of the log only what went wrong.
	log := slog.New(slog.NewTextHandler(w, &slog.HandlerOptions{Level: slog.LevelError}))
	server, err := newService(db.store, log)
	if err != nil {
		return err
	}
	lis, err := listenLoopback(ctx, "127.0.0.1:0")
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
	conn, err := dial(lis.Addr().String())
	if err != nil {
		return err
	}
	defer func(conn *grpc.ClientConn) { _ = conn.Close() }(conn) // nothing is pending
	return (&demonstration{w: w, conn: conn, dir: dir}).show(ctx)
}
