package main

import (
	"context"
	"crypto/tls"
	"errors"
	"io"
	"log/slog"
	"net"

	"github.com/spf13/cobra"
	"google.golang.org/grpc/credentials"
	"google.golang.org/grpc/grpclog"

	"wattle/internal/auth"
	"wattle/internal/config"
	"wattle/internal/correlate"
	"wattle/internal/events"
	"wattle/internal/localpg"
	"wattle/internal/postgres"
)

// serveOptions are the flags of serve.
type serveOptions struct {
	databaseURL string
	local       bool
	dataDir     string
	listen      string
	operatorKey string
	tlsCert     string
	tlsKey      string
	work        workerOptions
	httpListen  string
	httpOrigins []string
	adminListen string
	fetch       fetching
	view        operatorView
	limits      limitOptions
}

func newServe() *cobra.Command {
	var o serveOptions
	cmd := &cobra.Command{
		Use:   "serve",
		Short: "Answer the API over gRPC, and HTTP if asked to, until stopped",
		Long: `Answer the API over gRPC until SIGTERM or SIGINT, then finish the open calls.
With --http-listen also over HTTP and JSON: /openapi.json describes it, /healthz
and /readyz say how the service is. Pages of other web origins may call only
where --http-allow-origin names their origin.

With --local the service runs a private, lasting Postgres of its own and keeps
its schema up to date. Else it needs the service role's database URL, and a
schema that ` + "`wattle migrate`" + ` made. Without --tls-cert and --tls-key it listens on
loopback only. Logs are JSON on standard error.

Callers show a key. The operator's makes companies and their first keys (see
` + "`wattle company create`" + `); its file holds one word of at least 32 characters, of
your making. With --local one is made in the data folder.

Jobs, such as telling webhooks of events, are worked off in the same process
where the worker role's database URL is given (with --local it is); else they
wait for a ` + "`wattle work`" + `.`,
		Example: `  wattle serve --local --http-listen 127.0.0.1:7454
  WATTLE_DATABASE_URL=postgres://wattle_service@db.internal/wattle wattle serve`,
		Args: takes(cobra.NoArgs),
		RunE: func(cmd *cobra.Command, _ []string) error {
			switch {
			case o.local && o.databaseURL != "":
				return wrongUsef(cmd, "--local and --database-url exclude each other")
			case !o.local && o.databaseURL == "":
				return wrongUsef(cmd, "name the database with --database-url (or WATTLE_DATABASE_URL), or run a private one with --local")
			case !o.local && o.dataDir != "":
				return wrongUsef(cmd, "--data-dir goes with --local")
			case (o.tlsCert == "") != (o.tlsKey == ""):
				return wrongUsef(cmd, "--tls-cert and --tls-key go together")
			case !o.local && o.fetch.Repository != "":
				return wrongUsef(cmd, "--fetch-postgres goes with --local")
			case o.local && o.work.databaseURL != "":
				return wrongUsef(cmd, "--local and --worker-database-url exclude each other")
			case o.work.count < 0:
				return wrongUsef(cmd, "--workers: expected 0 or more, found %d", o.work.count)
			case !o.local && o.work.databaseURL == "" && o.work.count > 0 && cmd.Flags().Changed("workers"):
				return wrongUsef(cmd, "workers need the worker role's database: name it with --worker-database-url (or WATTLE_WORKER_DATABASE_URL)")
			case o.httpListen == "" && len(o.httpOrigins) > 0:
				return wrongUsef(cmd, "--http-allow-origin goes with --http-listen")
			}
			if err := o.limits.check(cmd); err != nil {
				return err
			}
			log := correlate.Logger(slog.New(slog.NewJSONHandler(cmd.ErrOrStderr(), nil)))
			// What the libraries say by themselves is a line of the log too.
			grpclog.SetLoggerV2(grpclog.NewLoggerV2(io.Discard, io.Discard, slog.NewLogLogger(log.Handler(), slog.LevelWarn).Writer()))
			lis, err := listen(cmd.Context(), "--listen", o.listen, o.tlsCert != "")
			if err != nil {
				return wrongUse(cmd, err)
			}
			defer func() { _ = lis.Close() }() // the server closes it too
			if o.view, err = openOperatorView(cmd.Context(), "wattle-serve", o.adminListen, log); err != nil {
				return wrongUse(cmd, err)
			}
			defer o.view.Close()
			o.work.view = o.view
			var http *gateway
			if o.httpListen != "" {
				if http, err = newGateway(cmd.Context(), o, log); err != nil {
					return wrongUse(cmd, err)
				}
				defer http.Close()
			}
			return serve(cmd.Context(), o, limited(lis, o.limits.connections, log), http, log)
		},
	}
	o.flags(cmd)
	return configured(cmd)
}

func (o *serveOptions) flags(cmd *cobra.Command) {
	f := cmd.Flags()
	f.StringVar(&o.databaseURL, "database-url", "", "database of the service role (WATTLE_DATABASE_URL)")
	f.BoolVar(&o.local, "local", false, "run a private Postgres of this machine")
	f.StringVar(&o.dataDir, "data-dir", "", "where --local keeps its data (default the system's state folder)")
	f.StringVar(&o.listen, "listen", defaultAddress, "address to listen on")
	f.StringVar(&o.operatorKey, "operator-key-file", "", "file that holds the operator's key (WATTLE_OPERATOR_KEY_FILE)")
	f.StringVar(&o.tlsCert, "tls-cert", "", "certificate of this service, a PEM file; read again when it is replaced")
	f.StringVar(&o.tlsKey, "tls-key", "", "the certificate's private key, a PEM file")
	o.work.flags(cmd)
	o.fetch.flags(cmd)
	o.limits.flags(cmd)
	f.StringVar(&o.httpListen, "http-listen", "", "address to answer HTTP on, such as 127.0.0.1:7454 (default off)")
	f.StringVar(&o.adminListen, "admin-listen", "", adminHelp)
	f.StringArrayVar(&o.httpOrigins, "http-allow-origin", nil, "web origin whose pages may call over HTTP, such as https://crm.example (repeated; default none)")
	config.Exclude(f, "local", "database-url", "worker-database-url")
}

// serve opens the store and answers on lis, and over HTTP where there is a
// gateway, until ctx ends, or until the private Postgres does.
func serve(ctx context.Context, o serveOptions, lis net.Listener, http *gateway, log *slog.Logger) (err error) {
	tuneStart()
	ctx, cancel := context.WithCancelCause(ctx)
	defer cancel(nil)
	var security *tls.Config
	var credential credentials.TransportCredentials
	if o.tlsCert != "" {
		if security, err = serverTLS(o.tlsCert, o.tlsKey); err != nil {
			return err
		}
		credential = outside{credentials.NewTLS(security)}
	}
	if o.local && o.dataDir == "" {
		if o.dataDir, err = localpg.DefaultDir(); err != nil {
			return err
		}
	}
	limits := o.limits.limits(o.local)
	store, closeStore, err := openStore(ctx, &o, log, cancel, postgres.Connections(databaseConnections(limits)))
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, closeStore()) }()
	operator, err := o.operator(log)
	if err != nil {
		return err
	}
	guard, err := o.work.guard()
	if err != nil {
		return err
	}
	bell := &events.Bell{}
	server, err := newService(store, log, operator, credential, guard, bell, o.view, limits)
	if err != nil {
		return err
	}
	if err := errors.Join(o.view.watch("service", store), o.view.Ready(server.Ready)); err != nil {
		return err
	}
	go watchReadiness(ctx, store, server.SetReady, log)
	beside := beside(ctx, cancel, store, bell, o.work, guard, log)
	if http != nil {
		log.Info("listening for HTTP", "address", http.lis.Addr().String())
	}
	tuneServing()
	log.Info("listening", "address", lis.Addr().String())
	if http == nil {
		err = server.Serve(ctx, lis)
	} else {
		err = http.serve(ctx, server, lis, security)
	}
	cancel(nil)
	if cause := context.Cause(ctx); errors.Is(cause, errPostgresGone) {
		// Jobs cannot be finished without it, however long one waits; they are taken up once it is back.
		err = errors.Join(cause, err)
	} else {
		err = errors.Join(err, <-beside)
	}
	log.Info("stopped")
	return err
}

// operator is the hash of the operator's secret; zero where there is none.
func (o serveOptions) operator(log *slog.Logger) (hash [32]byte, err error) {
	var secret string
	switch {
	case o.operatorKey != "":
		secret, err = readSecret(o.operatorKey)
	case o.local:
		secret, err = localOperator(o.dataDir)
		log.Info("the operator's key makes companies", "file", localOperatorFile(o.dataDir))
	default:
		return hash, nil
	}
	return auth.Hash(secret), err
}

var errPostgresGone = errors.New("the private Postgres ended by itself; start the service again, and it recovers")

// openStore of a private Postgres also fills in what its workers need.
func openStore(ctx context.Context, o *serveOptions, log *slog.Logger, cancel context.CancelCauseFunc, options ...postgres.Option) (*postgres.Store, func() error, error) {
	if !o.local {
		store, err := openDatabase(ctx, o.databaseURL, append(options, o.view.traced())...)
		if err != nil {
			return nil, nil, err
		}
		return store, func() error { store.Close(); return nil }, nil
	}
	bin, err := o.fetch.bin(ctx, func(version string) { log.Info("fetching Postgres", "version", version) })
	if err != nil {
		return nil, nil, err
	}
	log.Info("starting the private Postgres", "folder", o.dataDir, "programs", bin)
	db, err := openLocal(ctx, o.dataDir, bin, append(options, o.view.traced())...)
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
	o.work.databaseURL = db.workerURL()
	if o.work.keyFile == "" {
		if o.work.keyFile, err = localWebhookKeys(o.dataDir); err != nil {
			return nil, nil, errors.Join(err, db.Close())
		}
	}
	return db.store, db.Close, nil
}
