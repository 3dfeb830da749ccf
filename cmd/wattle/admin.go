package main

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"net/http/pprof"
	"time"
)

const adminHelp = "loopback address of metrics (/metrics) and profiles (/debug/pprof/) for who runs the service, such as 127.0.0.1:7455 (default off)"

// adminListen listens for the operator. What is told there, such as what stands
// in memory, is for nobody else, so it is on loopback whatever else is secured.
func adminListen(ctx context.Context, address string) (net.Listener, error) {
	host, _, err := net.SplitHostPort(address)
	if err == nil && !loopback(host) {
		return nil, fmt.Errorf("--admin-listen %s: metrics say how much is done, and profiles what stands in memory, so they are told to this machine alone, such as at 127.0.0.1:7455", address)
	}
	return listen(ctx, "--admin-listen", address, false)
}

// serveAdmin answers metrics, and profiles as net/http/pprof has them, until the
// listener is closed.
func serveAdmin(lis net.Listener, metrics http.Handler, log *slog.Logger) {
	mux := http.NewServeMux()
	mux.Handle("/metrics", metrics)
	mux.HandleFunc("/debug/pprof/", pprof.Index)
	mux.HandleFunc("/debug/pprof/cmdline", pprof.Cmdline)
	mux.HandleFunc("/debug/pprof/profile", pprof.Profile)
	mux.HandleFunc("/debug/pprof/symbol", pprof.Symbol)
	mux.HandleFunc("/debug/pprof/trace", pprof.Trace)
	server := &http.Server{Handler: mux, ReadHeaderTimeout: 10 * time.Second, ErrorLog: slog.NewLogLogger(log.Handler(), slog.LevelWarn)}
	log.Info("listening for the operator", "address", lis.Addr().String())
	if err := server.Serve(lis); !errors.Is(err, net.ErrClosed) {
		log.Warn("the operator's listener ended", "error", err.Error())
	}
}
