package main

import (
	"context"
	"crypto/tls"
	"errors"
	"log/slog"
	"net"
	"net/http"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/grpc/credentials"
	"google.golang.org/grpc/credentials/insecure"
	"google.golang.org/grpc/test/bufconn"

	"wattle/internal/rest"
	"wattle/internal/rpc"
)

// gateway answers HTTP for a server, which it calls through memory.
type gateway struct {
	lis     net.Listener      // where HTTP comes in
	inside  *bufconn.Listener // where its calls reach the server
	conn    *grpc.ClientConn
	handler http.Handler
	log     *slog.Logger
}

// gatewayDrain is how long open requests have to finish when the gateway ends.
const gatewayDrain = 20 * time.Second

func newGateway(ctx context.Context, o serveOptions, log *slog.Logger) (*gateway, error) {
	inside := bufconn.Listen(1 << 20)
	conn, err := grpc.NewClient("passthrough:///in-process",
		grpc.WithContextDialer(func(ctx context.Context, _ string) (net.Conn, error) { return inside.DialContext(ctx) }),
		grpc.WithTransportCredentials(insecure.NewCredentials()), o.view.rpc().WithinTrace())
	if err != nil {
		return nil, err
	}
	handler, err := rest.New(conn, rest.Config{Log: log, Origins: o.httpOrigins, Telemetry: o.view.rest()})
	if err != nil {
		return nil, errors.Join(err, conn.Close())
	}
	lis, err := listen(ctx, "--http-listen", o.httpListen, o.tlsCert != "")
	if err != nil {
		return nil, errors.Join(err, conn.Close())
	}
	return &gateway{limited(lis, o.limits.connections, log), inside, conn, handler, log}, nil
}

// Close gives back what a gateway that never served holds, and after it served
// does no harm.
func (g *gateway) Close() {
	_ = g.lis.Close()
	_ = g.conn.Close()
}

// serve answers gRPC on lis and HTTP until ctx ends, HTTP by TLS where there is
// a configuration of it. At the end HTTP drains first, since its open requests
// are calls of the server.
func (g *gateway) serve(ctx context.Context, server *rpc.Server, lis net.Listener, security *tls.Config) error {
	outlasting, stop := context.WithCancel(context.WithoutCancel(ctx))
	defer stop()
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	notReady := context.AfterFunc(ctx, func() { server.SetReady(false) })
	defer notReady()
	served := make(chan error, 1)
	go func() {
		served <- server.Serve(outlasting, lis, g.inside)
		cancel()
	}()
	err := rest.Serve(ctx, g.lis, g.handler, rest.ServeConfig{Log: g.log, TLS: security, Drain: gatewayDrain})
	stop()
	return errors.Join(err, <-served)
}

// outside secures connections from other processes. Those of the gateway come
// through memory, where nobody listens.
type outside struct {
	credentials.TransportCredentials
}

// ServerHandshake is made with every connection that comes in.
func (o outside) ServerHandshake(conn net.Conn) (net.Conn, credentials.AuthInfo, error) {
	if conn.RemoteAddr().Network() == "bufconn" {
		return insecure.NewCredentials().ServerHandshake(conn)
	}
	return o.TransportCredentials.ServerHandshake(conn)
}

// Clone is part of the interface.
func (o outside) Clone() credentials.TransportCredentials {
	return outside{o.TransportCredentials.Clone()}
}
