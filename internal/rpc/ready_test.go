package rpc

import (
	"context"
	"net"
	"strings"
	"testing"

	"google.golang.org/grpc"
	"google.golang.org/grpc/credentials/insecure"
	healthv1 "google.golang.org/grpc/health/grpc_health_v1"
	"google.golang.org/grpc/test/bufconn"

	"wattle/internal/estimating"
)

// Readiness is told of the whole server and of each service alike, from the start
// and again after it was lost; of others nothing is said.
func TestReadiness(t *testing.T) {
	server, err := NewServer(&estimating.Service{}, Config{Access: Access{Nobody: true}})
	if err != nil {
		t.Fatal(err)
	}
	lis := bufconn.Listen(1 << 20)
	go func() { _ = server.Serve(t.Context(), lis) }()
	conn, err := grpc.NewClient("passthrough:///wattle", grpc.WithTransportCredentials(insecure.NewCredentials()),
		grpc.WithContextDialer(func(ctx context.Context, _ string) (net.Conn, error) { return lis.DialContext(ctx) }))
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = conn.Close() }()
	names := []string{""}
	for name := range server.grpc.GetServiceInfo() {
		if strings.HasPrefix(name, "wattle.") {
			names = append(names, name)
		}
	}
	if len(names) < 10 {
		t.Fatalf("only %q", names)
	}
	says := func(want healthv1.HealthCheckResponse_ServingStatus) {
		t.Helper()
		for _, name := range names {
			answer, err := healthv1.NewHealthClient(conn).Check(t.Context(), &healthv1.HealthCheckRequest{Service: name})
			if err != nil || answer.GetStatus() != want {
				t.Errorf("%q: %v, %v, want %v", name, answer, err, want)
			}
		}
	}
	says(healthv1.HealthCheckResponse_SERVING)
	server.SetReady(false)
	says(healthv1.HealthCheckResponse_NOT_SERVING)
	server.SetReady(true)
	says(healthv1.HealthCheckResponse_SERVING)
}
