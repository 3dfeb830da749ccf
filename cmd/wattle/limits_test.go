package main

import (
	"bytes"
	"context"
	"crypto/tls"
	"crypto/x509"
	"errors"
	"io"
	"log/slog"
	"net"
	"os"
	"strings"
	"testing"
	"time"

	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/credentials"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/types/known/durationpb"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/estimating"
	"wattle/internal/rpc"
)

func TestLimitFlags(t *testing.T) {
	for flag, says := range map[string]string{
		"--key-rate=-1": "--key-rate: expected 0 or more", "--key-rate=NaN": "--key-rate: expected 0 or more", "--key-burst=0": "--key-burst: expected 1 or more",
		"--address-burst=-3": "--address-burst: expected 1 or more", "--max-calls=-1": "--max-calls: expected 0 or more", "--max-wait=-1s": "--max-wait: expected 0 or more",
		"--max-connections=-1": "--max-connections: expected 0 or more", "--memory-limit=-1": "--memory-limit: expected 0 or more", "--max-bulk=-1": "--max-bulk: expected",
	} {
		if _, said := wattle(t, exitWrongUse, "serve", "--local", "--listen", "127.0.0.1:0", flag); !strings.Contains(said, says) {
			t.Errorf("%s: %s", flag, said)
		}
	}
	o := limitOptions{keys: rpc.Rate{PerSecond: 7, Burst: 8}, calls: 3, patience: time.Second}
	l := o.limits(true)
	if l.Work != 3 || l.Calls != 48 || l.Watchers != 192 || l.Bulk != 4 || l.Keys.Burst != 8 || l.Patience != time.Second || l.Memory <= 0 || databaseConnections(l) != 9 {
		t.Errorf("%+v, %d connections", l, databaseConnections(l))
	}
}

// One connection more than there may be is closed at once; when another leaves
// there is room again.
func TestConnectionsAreLimited(t *testing.T) {
	lis, err := (&net.ListenConfig{}).Listen(t.Context(), "tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	var log bytes.Buffer
	bounded := limited(lis, 2, slog.New(slog.NewTextHandler(&log, nil)))
	ended := make(chan struct{})
	go func() {
		defer close(ended)
		for {
			conn, err := bounded.Accept()
			if err != nil {
				return
			}
			go func() {
				_, _ = io.Copy(conn, conn) // until the caller leaves
				_ = conn.Close()
				_ = conn.Close() // makes room once
			}()
		}
	}()
	served := func() (net.Conn, bool) {
		conn, err := (&net.Dialer{}).DialContext(t.Context(), "tcp", lis.Addr().String())
		if err != nil {
			t.Fatal(err)
		}
		_ = conn.SetDeadline(time.Now().Add(20 * time.Second))
		_, _ = conn.Write([]byte("x")) // the answer tells
		_, err = io.ReadFull(conn, make([]byte, 1))
		if wait, ok := errors.AsType[net.Error](err); ok && wait.Timeout() {
			t.Error("neither served nor refused")
		}
		return conn, err == nil
	}
	first, ok1 := served()
	second, ok2 := served()
	third, ok3 := served()
	if !ok1 || !ok2 || ok3 {
		t.Errorf("served %v, %v, %v", ok1, ok2, ok3)
	}
	_ = first.Close()
	for range 500 {
		conn, ok := served()
		_ = conn.Close()
		if ok {
			break
		}
		time.Sleep(10 * time.Millisecond)
	}
	again, ok := served()
	for i := 0; !ok && i < 500; i++ { // the one before may not have gone yet
		time.Sleep(10 * time.Millisecond)
		_ = again.Close()
		again, ok = served()
	}
	if !ok {
		t.Error("there is no room after one has left")
	}
	for _, conn := range []net.Conn{second, third, again} {
		_ = conn.Close()
	}
	_ = bounded.Close()
	<-ended
	if !strings.Contains(log.String(), "as many as may be") {
		t.Errorf("the log says %q", log.String())
	}
}

// refusing answers calls by refusals until it is told enough.
type refusing struct {
	wattlev1.UnimplementedCatalogServiceServer
	left  int
	delay time.Duration
}

func (r *refusing) ListFamilies(context.Context, *wattlev1.ListFamiliesRequest) (*wattlev1.ListFamiliesResponse, error) {
	if r.left == 0 {
		return &wattlev1.ListFamiliesResponse{}, nil
	}
	r.left--
	st, err := status.New(codes.Unavailable, "try again").WithDetails(&errdetails.RetryInfo{RetryDelay: durationpb.New(r.delay)})
	if err != nil {
		return nil, err
	}
	return nil, st.Err()
}

// A command that is sent away comes back when it was told to, within its time.
func TestCommandsComeBack(t *testing.T) {
	lis, err := (&net.ListenConfig{}).Listen(t.Context(), "tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	service := &refusing{left: 3, delay: 10 * time.Millisecond}
	server := grpc.NewServer()
	wattlev1.RegisterCatalogServiceServer(server, service)
	served := make(chan error, 1)
	go func() { served <- server.Serve(lis) }()
	conn, err := dial(lis.Addr().String(), "")
	if err != nil {
		t.Fatal(err)
	}
	layouts := wattlev1.NewCatalogServiceClient(conn)
	if _, err := layouts.ListFamilies(t.Context(), &wattlev1.ListFamiliesRequest{}); err != nil || service.left != 0 {
		t.Errorf("%v, with %d refusals left", err, service.left)
	}
	service.left, service.delay = 1, time.Hour
	ctx, cancel := context.WithTimeout(t.Context(), 10*time.Second)
	defer cancel()
	if _, err := layouts.ListFamilies(ctx, &wattlev1.ListFamiliesRequest{}); status.Code(err) != codes.Unavailable {
		t.Errorf("told to come back after its time: %v", err)
	}
	_ = conn.Close()
	server.Stop()
	if err := <-served; err != nil {
		t.Error(err)
	}
}

// A secured port takes TLS 1.2 and newer, with HTTP/2 agreed on, and nothing else; and
// one in the clear takes no TLS.
func TestWrongTLS(t *testing.T) {
	cert, key := certificate(t, t.TempDir(), 1)
	security, err := serverTLS(cert, key)
	if err != nil {
		t.Fatal(err)
	}
	secured, clear := onPort(t, outside{credentials.NewTLS(security)}), onPort(t, nil)
	text, err := os.ReadFile(cert)
	if err != nil {
		t.Fatal(err)
	}
	trusted := x509.NewCertPool()
	trusted.AppendCertsFromPEM(text)
	later := func() time.Time { return time.Now().Add(48 * time.Hour) }
	for _, c := range []struct {
		name    string
		address string
		config  *tls.Config
	}{
		{"TLS 1.0", secured, &tls.Config{RootCAs: trusted, MinVersion: tls.VersionTLS10, MaxVersion: tls.VersionTLS10, NextProtos: []string{"h2"}}},
		{"TLS 1.1", secured, &tls.Config{RootCAs: trusted, MinVersion: tls.VersionTLS11, MaxVersion: tls.VersionTLS11, NextProtos: []string{"h2"}}},
		{"another protocol", secured, &tls.Config{RootCAs: trusted, NextProtos: []string{"spdy/3"}}},
		{"HTTP/1.1, as of a browser", secured, &tls.Config{RootCAs: trusted, NextProtos: []string{"http/1.1"}}},
		{"no protocol", secured, &tls.Config{RootCAs: trusted}},
		{"a certificate that is over", secured, &tls.Config{RootCAs: trusted, NextProtos: []string{"h2"}, Time: later}},
		{"nobody trusted", secured, &tls.Config{RootCAs: x509.NewCertPool(), NextProtos: []string{"h2"}}},
		{"TLS to a port in the clear", clear, &tls.Config{RootCAs: trusted, NextProtos: []string{"h2"}}},
	} {
		ctx, cancel := context.WithTimeout(t.Context(), 15*time.Second)
		conn, err := (&tls.Dialer{Config: c.config}).DialContext(ctx, "tcp", c.address)
		cancel()
		if err == nil { // one who agreed on nothing is cut off next
			_ = conn.SetDeadline(time.Now().Add(15 * time.Second))
			var n int
			n, err = conn.Read(make([]byte, 1))
			_ = conn.Close()
			if n > 0 {
				t.Errorf("%s: it is served", c.name)
			}
		}
		if wait, ok := errors.AsType[net.Error](err); ok && wait.Timeout() {
			t.Errorf("%s: no answer", c.name)
		}
	}
	plain, err := (&net.Dialer{}).DialContext(t.Context(), "tcp", secured)
	if err != nil {
		t.Fatal(err)
	}
	_ = plain.SetDeadline(time.Now().Add(15 * time.Second))
	_, _ = io.WriteString(plain, "PRI * HTTP/2.0\r\n\r\nSM\r\n\r\n")
	said, err := io.ReadAll(plain)
	if wait, ok := errors.AsType[net.Error](err); ok && wait.Timeout() || strings.Contains(string(said), "HTTP") {
		t.Errorf("in the clear to a secured port: %q, %v", said, err)
	}
	_ = plain.Close()
	for _, c := range []struct {
		address string
		creds   credentials.TransportCredentials
	}{{secured, credentials.NewTLS(&tls.Config{RootCAs: trusted, MinVersion: tls.VersionTLS12, MaxVersion: tls.VersionTLS12})}, {secured, credentials.NewTLS(&tls.Config{RootCAs: trusted})}} {
		conn, err := grpc.NewClient(c.address, grpc.WithTransportCredentials(c.creds))
		if err != nil {
			t.Fatal(err)
		}
		if _, err := wattlev1.NewCatalogServiceClient(conn).ListFamilies(t.Context(), &wattlev1.ListFamiliesRequest{}); err != nil {
			t.Errorf("a good call: %v", err)
		}
		_ = conn.Close()
	}
}

// onPort serves without a store.
func onPort(t *testing.T, security credentials.TransportCredentials) string {
	t.Helper()
	server, err := rpc.NewServer(&estimating.Service{}, rpc.Config{
		Log: slog.New(slog.DiscardHandler), Access: rpc.Access{Nobody: true}, Security: security, Drain: time.Second, Limits: rpc.DefaultLimits(2),
	})
	if err != nil {
		t.Fatal(err)
	}
	lis, err := (&net.ListenConfig{}).Listen(t.Context(), "tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	ended := make(chan error, 1)
	go func() { ended <- server.Serve(ctx, lis) }()
	t.Cleanup(func() {
		cancel()
		if err := <-ended; err != nil {
			t.Error(err)
		}
	})
	return lis.Addr().String()
}
