package main

import (
	"cmp"
	"context"
	"errors"
	"io"
	"log/slog"
	"net"

	"github.com/spf13/cobra"

	"wattle/internal/localpg"
	"wattle/internal/postgres"
)

// serveOptions are the flags of serve.
type serveOptions struct {
	databaseURL string
	local       bool
	dataDir     string
	listen      string
}

func newServe() *cobra.Command {
	var o serveOptions
	cmd := &cobra.Command{
		Use:   "serve",
		Short: "Answer the API over gRPC until stopped",
		Long: `Answer the API over gRPC until SIGTERM or SIGINT, then finish the open calls.

With --local the service runs a private, lasting Postgres of its own and keeps
its schema up to date. Else it needs the service role's database URL, and a
schema that ` + "`wattle migrate`" + ` made. It listens on loopback only. Logs are JSON on
standard error.`,
		Example: `  wattle serve --local
  WATTLE_DATABASE_URL=postgres://wattle_service@db.internal/wattle wattle serve`,
		Args: takes(cobra.NoArgs),
		RunE: func(cmd *cobra.Command, _ []string) error {
			if !o.local {
				o.databaseURL = cmp.Or(o.databaseURL, environment("WATTLE_DATABASE_URL", ""))
			}
			switch {
			case o.local && o.databaseURL != "":
				return wrongUsef(cmd, "--local and --database-url exclude each other")
			case !o.local && o.databaseURL == "":
				return wrongUsef(cmd, "name the database with --database-url (or WATTLE_DATABASE_URL), or run a private one with --local")
			case !o.local && o.dataDir != "":
				return wrongUsef(cmd, "--data-dir goes with --local")
			}
			lis, err := listenLoopback(cmd.Context(), o.listen)
			if err != nil {
				return wrongUse(cmd, err)
			}
			return serve(cmd.Context(), o, lis, cmd.ErrOrStderr())
		},
	}
	f := cmd.Flags()
	f.StringVar(&o.databaseURL, "database-url", "", "database of the service role (WATTLE_DATABASE_URL)")
	f.BoolVar(&o.local, "local", false, "run a private Postgres of this machine")
	f.StringVar(&o.dataDir, "data-dir", "", "where --local keeps its data (default the system's state folder)")
	f.StringVar(&o.listen, "listen", defaultAddress, "loopback address to listen on")
	return cmd
}

// serve opens the store and answers on lis until ctx ends, or until the
// private Postgres does.
func serve(ctx context.Context, o serveOptions, lis net.Listener, stderr io.Writer) (err error) {
	defer func() { _ = lis.Close() }() // the server closes it too
	log := slog.New(slog.NewJSONHandler(stderr, nil))
	ctx, cancel := context.WithCancelCause(ctx)
	defer cancel(nil)
	store, closeStore, err := openStore(ctx, o, log, cancel)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, closeStore()) }()
	server, err := newService(store, log)
	if err != nil {
		return err
	}
	log.Info("listening", "address", lis.Addr().String())
	err = server.Serve(ctx, lis)
	log.Info("stopped")
	if cause := context.Cause(ctx); errors.Is(cause, errPostgresGone) {
		err = errors.Join(cause, err)
	}
	return err
}

var errPostgresGone = errors.New("the private Postgres ended by itself; start the service again, and it recovers")

func openStore(ctx context.Context, o serveOptions, log *slog.Logger, cancel context.CancelCauseFunc) (*postgres.Store, func() error, error) {
	if !o.local {
		store, err := openDatabase(ctx, o.databaseURL)
		if err != nil {
			return nil, nil, err
		}
		return store, func() error { store.Close(); return nil }, nil
	}
	dir := o.dataDir
	if dir == "" {
		var err error
		if dir, err = localpg.DefaultDir(); err != nil {
			return nil, nil, err
		}
	}
	log.Info("starting the private Postgres", "folder", dir)
	db, err := openLocal(ctx, dir)
	if err != nil {
		return nil, nil, err
	}
	go func() {
		select {
		case <-db.server.Done():
			cancel(errPostgresGone)
		case <-ctx.Done():
		}
	}()
	return db.store, db.Close, nil
}
