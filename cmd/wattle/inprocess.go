package main

import (
	"context"
	"log/slog"
	"net"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/grpc/credentials/insecure"
	"google.golang.org/grpc/test/bufconn"

	"wattle/internal/estimating"
	"wattle/internal/rpc"
)

// inProcess runs f with a connection to a service without a store inside this
// process, so that a command without a server answers as a server would.
func inProcess(ctx context.Context, f func(*grpc.ClientConn) error) error {
	server, err := rpc.NewServer(&estimating.Service{Now: time.Now}, rpc.Config{
		Log: slog.New(slog.DiscardHandler), MaxRequest: maxJobBytes, MaxAnswer: maxJobBytes,
		Access: rpc.Access{Nobody: true},
	})
	if err != nil {
		return err
	}
	lis := bufconn.Listen(1 << 20)
	ctx, stop := context.WithCancel(ctx)
	served := make(chan error, 1)
	go func() { served <- server.Serve(ctx, lis) }()
	conn, err := grpc.NewClient("passthrough:///in-process",
		grpc.WithContextDialer(func(ctx context.Context, _ string) (net.Conn, error) { return lis.DialContext(ctx) }),
		grpc.WithTransportCredentials(insecure.NewCredentials()),
		grpc.WithDefaultCallOptions(grpc.MaxCallRecvMsgSize(maxJobBytes), grpc.MaxCallSendMsgSize(maxJobBytes)))
	if err == nil {
		err = f(conn)
		_ = conn.Close() // nothing is pending
	}
	stop()
	if serving := <-served; err == nil {
		err = serving
	}
	return err
}
