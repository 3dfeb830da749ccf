package rest

import (
	"cmp"
	"context"
	"crypto/tls"
	"errors"
	"log/slog"
	"net"
	"net/http"
	"time"
)

// ServeConfig is how Serve answers.
type ServeConfig struct {
	Log *slog.Logger // what the HTTP server says by itself
	// TLS secures connections; nil leaves them as they are.
	TLS *tls.Config
	// Drain is how long Serve waits for open requests when it ends.
	Drain time.Duration
	// Opening is how long TLS and a request's header may take to come.
	Opening time.Duration // 10 s
}

// Serve answers on lis until ctx ends. Then no new request is taken, and open
// ones get the drain time to finish. The service has to outlast it.
func Serve(ctx context.Context, lis net.Listener, handler http.Handler, config ServeConfig) error {
	server := &http.Server{
		Handler:   handler,
		TLSConfig: config.TLS,
		// Bodies and answers have their own times, see Config.Patience: one for all of a
		// request would end long streams.
		ReadHeaderTimeout: cmp.Or(config.Opening, 10*time.Second),
		IdleTimeout:       2 * time.Minute,
		MaxHeaderBytes:    16 << 10,
		HTTP2:             &http.HTTP2Config{MaxConcurrentStreams: 100},
		ErrorLog:          slog.NewLogLogger(config.Log.Handler(), slog.LevelWarn),
	}
	ended := make(chan struct{})
	drained := make(chan error, 1)
	go func() {
		select {
		case <-ctx.Done():
		case <-ended:
		}
		enough, cancel := context.WithTimeout(context.WithoutCancel(ctx), config.Drain)
		defer cancel()
		err := server.Shutdown(enough)
		if errors.Is(err, context.DeadlineExceeded) {
			err = server.Close() // whoever is left was given the time
		}
		drained <- err
	}()
	var err error
	if config.TLS != nil {
		err = server.ServeTLS(lis, "", "")
	} else {
		err = server.Serve(lis)
	}
	close(ended)
	if errors.Is(err, http.ErrServerClosed) {
		err = nil
	}
	return errors.Join(err, <-drained)
}
