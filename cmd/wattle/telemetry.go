package main

import (
	"context"
	"log/slog"
	"net"
	"runtime/debug"

	"wattle/internal/postgres"
	"wattle/internal/rest"
	"wattle/internal/rpc"
	"wattle/internal/telemetry"
)

// operatorView is what a running service or worker tells who runs it: metrics
// and profiles on a listener of its own, and traces where the environment sends
// them.
type operatorView struct {
	*telemetry.Telemetry
	lis net.Listener
	log *slog.Logger
}

// openOperatorView begins to tell. An empty address tells no metrics and no
// profiles.
func openOperatorView(ctx context.Context, service, address string, log *slog.Logger) (v operatorView, err error) {
	v = operatorView{log: log}
	if address != "" {
		if v.lis, err = adminListen(ctx, address); err != nil {
			return v, err
		}
	}
	v.Telemetry, err = telemetry.New(ctx, telemetry.Config{Service: service, Version: version(), Metrics: address != "", Log: log})
	if err != nil {
		v.Close()
		return v, err
	}
	if v.lis != nil {
		go serveAdmin(v.lis, v.Handler(), log)
	}
	return v, nil
}

// Close sends the last spans, as far as that is quick, and ends the listener.
func (v operatorView) Close() {
	if v.Telemetry != nil {
		if err := v.Telemetry.Close(); err != nil {
			v.log.Warn("the last of the telemetry is lost", "error", err.Error())
		}
	}
	if v.lis != nil {
		_ = v.lis.Close() // nothing is pending
	}
}

// traced has a store tell of its statements.
func (v operatorView) traced() postgres.Option { return postgres.Traced(v.Statements()) }

// watch tells of a store's connections and of what waits in it. Of a service
// and the workers beside it, one watches what waits.
func (v operatorView) watch(name string, store *postgres.Store) error {
	if err := v.Pool(name, store.PoolStats()); err != nil {
		return err
	}
	return v.Watch(store)
}

func (v operatorView) rpc() rpc.Telemetry { return rpc.Telemetry{Traces: v.Traces, Meters: v.Meters} }

func (v operatorView) rest() rest.Telemetry {
	return rest.Telemetry{Traces: v.Traces, Meters: v.Meters}
}

// noView tells nothing.
func noView() operatorView { return operatorView{Telemetry: telemetry.Off()} }

// version is what was built: a release's number, or the commit.
func version() string {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return ""
	}
	for _, s := range info.Settings {
		if s.Key == "vcs.revision" && info.Main.Version == "(devel)" {
			return s.Value
		}
	}
	return info.Main.Version
}
