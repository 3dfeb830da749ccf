package rpc

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"io"
	"log/slog"
	"net"
	"testing"

	"google.golang.org/grpc"
	"google.golang.org/grpc/credentials/insecure"
	"google.golang.org/grpc/test/bufconn"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/estimating"
)

// serveScenario serves the use cases in memory, with every interceptor.
func serveScenario(t *testing.T, use *estimating.Service) *grpc.ClientConn {
	t.Helper()
	server, err := NewServer(use, Config{Log: slog.New(slog.DiscardHandler)})
	if err != nil {
		t.Fatal(err)
	}
	lis := bufconn.Listen(1 << 20)
	ctx, cancel := context.WithCancel(context.Background())
	done := make(chan error, 1)
	go func() { done <- server.Serve(ctx, lis) }()
	conn, err := grpc.NewClient("passthrough:///scenario", grpc.WithTransportCredentials(insecure.NewCredentials()),
		grpc.WithContextDialer(func(ctx context.Context, _ string) (net.Conn, error) { return lis.DialContext(ctx) }))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		_ = conn.Close()
		cancel()
		if err := <-done; err != nil {
			t.Errorf("serve: %v", err)
		}
	})
	return conn
}

// importScenario sends a price list the way a client does: a header, the file
// in pieces, a trailer with its length and hash.
func importScenario(t *testing.T, client wattlev1.PriceBookServiceClient, parent string, csv []byte) *wattlev1.ImportPricesResponse {
	t.Helper()
	stream, err := client.ImportPrices(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	send := func(m *wattlev1.ImportPricesRequest) {
		if err := stream.Send(m); err != nil && !errors.Is(err, io.EOF) { // the answer says why it ended
			t.Fatal(err)
		}
	}
	sum := sha256.Sum256(csv)
	send(&wattlev1.ImportPricesRequest{Part: &wattlev1.ImportPricesRequest_Header_{Header: &wattlev1.ImportPricesRequest_Header{
		Parent: parent, RequestId: "import-" + hex.EncodeToString(sum[:4]), Mode: wattlev1.ImportPricesRequest_MODE_PATCH,
	}}})
	rows := bytes.Count(csv, []byte("\n")) - 1
	for part := csv; len(part) > 0; part = part[min(len(part), 700):] {
		send(&wattlev1.ImportPricesRequest{Part: &wattlev1.ImportPricesRequest_CsvChunk{CsvChunk: part[:min(len(part), 700)]}})
	}
	send(&wattlev1.ImportPricesRequest{Part: &wattlev1.ImportPricesRequest_Trailer_{Trailer: &wattlev1.ImportPricesRequest_Trailer{
		RowCount: int64(rows), Sha256: hex.EncodeToString(sum[:]),
	}}})
	answer, err := stream.CloseAndRecv()
	if err != nil {
		t.Fatal(err)
	}
	return answer
}
