package rest_test

import (
	"bytes"
	"compress/gzip"
	"context"
	"fmt"
	"io"
	"log/slog"
	"net"
	"net/http"
	"strings"
	"testing"
	"time"

	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/grpc/test/bufconn"
	"google.golang.org/protobuf/types/known/durationpb"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/rest"
	"wattle/internal/rpc"
)

// onTCP serves the API's handler as `wattle serve` does, on an echo of the
// service.
func onTCP(t *testing.T, config rest.Config) (e *echo, base string) {
	t.Helper()
	e = &echo{}
	service := grpc.NewServer(grpc.UnknownServiceHandler(e.handle))
	inside := bufconn.Listen(1 << 20)
	served := make(chan error, 1)
	go func() { served <- service.Serve(inside) }()
	config.Log = slog.New(slog.DiscardHandler)
	handler, err := rest.New(dial(t, inside), config)
	if err != nil {
		t.Fatal(err)
	}
	lis, err := (&net.ListenConfig{}).Listen(t.Context(), "tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(context.Background())
	ended := make(chan error, 1)
	go func() {
		ended <- rest.Serve(ctx, lis, handler, rest.ServeConfig{Log: config.Log, Drain: time.Second, Opening: 300 * time.Millisecond})
	}()
	t.Cleanup(func() {
		stop()
		if err := <-ended; err != nil {
			t.Error(err)
		}
		service.Stop()
		<-served
	})
	return e, "http://" + lis.Addr().String()
}

// Requests that are none are refused or cut off, each on its own, and the next
// good one is answered.
func TestBadRequests(t *testing.T) {
	e, base := onTCP(t, rest.Config{Patience: 500 * time.Millisecond})
	var bomb bytes.Buffer
	z := gzip.NewWriter(&bomb)
	_, _ = z.Write(make([]byte, 8<<20)) // into memory
	_ = z.Close()
	const head = "POST /v1/layouts:plan HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\n"
	for _, c := range []struct {
		name, sent string
		want       string // the status, or nothing where the connection is closed without one
	}{
		{"noise", strings.Repeat("\x00\xff\x13\x37", 1024) + "\r\n\r\n", "400"},
		{"no HTTP version", "GET /v1/families\r\n\r\n", "400"},
		{"HTTP/2 in the clear", "PRI * HTTP/2.0\r\n\r\nSM\r\n\r\n", ""},
		{"a header of a megabyte", "GET /v1/families HTTP/1.1\r\nHost: x\r\nX-Large: " + strings.Repeat("v", 1<<20) + "\r\n\r\n", "431"},
		{"ten thousand headers", "GET /v1/families HTTP/1.1\r\nHost: x\r\n" + strings.Repeat("X-Many: v\r\n", 10_000) + "\r\n", "431"},
		{"an address of a megabyte", "GET /v1/" + strings.Repeat("a", 1<<20) + " HTTP/1.1\r\nHost: x\r\n\r\n", "431"},
		{"a header that does not end", "GET /v1/families HTTP/1.1\r\nHost: x\r\nX-Slow: ", ""},
		{"two lengths", head + "Content-Length: 2\r\nContent-Length: 3\r\n\r\n{}", "400"},
		{"a length that is none", head + "Content-Length: -2\r\n\r\n{}", "400"},
		{"chunks of garbage", head + "Transfer-Encoding: chunked\r\n\r\nzz\r\nnot a chunk\r\n", "400"},
		{"a chunk without an end", head + "Transfer-Encoding: chunked\r\n\r\nff\r\n{", "400"},
		{"a chunk of more than there is memory", head + "Transfer-Encoding: chunked\r\n\r\nffffffffffffffff\r\n{", "400"},
		{"an unknown way to transfer", head + "Transfer-Encoding: middling\r\n\r\n{}", "501"},
		{"a bomb", head + fmt.Sprintf("Content-Encoding: gzip\r\nContent-Length: %d\r\n\r\n", bomb.Len()) + bomb.String(), "415"},
		{"a body over the limit", head + "Content-Length: 99999999\r\n\r\n{", "413"},
		{"a gRPC call", "POST /wattle.v1.LayoutService/PlanLayout HTTP/1.1\r\nHost: x\r\nContent-Type: application/grpc\r\nContent-Length: 5\r\n\r\n\x00\x00\x00\x00\x00", "404"},
	} {
		conn, err := (&net.Dialer{}).DialContext(t.Context(), "tcp", strings.TrimPrefix(base, "http://"))
		if err != nil {
			t.Fatal(err)
		}
		_ = conn.SetDeadline(time.Now().Add(20 * time.Second))
		go func() { _, _ = io.WriteString(conn, c.sent) }() // cut off before its end, perhaps
		answer := make([]byte, 1<<10)
		n, err := io.ReadAtLeast(conn, answer, len("HTTP/1.1 400"))
		got := string(answer[:n])
		if c.want != "" && (err != nil || !strings.HasPrefix(got, "HTTP/1.1 "+c.want)) || c.want == "" && strings.HasPrefix(got, "HTTP/1.1 2") {
			t.Errorf("%s: want %s, got %.80q, %v", c.name, c.want, got, err)
		}
		_ = conn.Close()
		e.say(nil, &wattlev1.ListFamiliesResponse{})
		if response, _ := ask(t, http.MethodGet, base+"/v1/families", ""); response.StatusCode != http.StatusOK {
			t.Errorf("after %s: %s", c.name, response.Status)
		}
	}
}

// Bodies that come slowly have half of the places for one address, and leave
// calls without a body alone.
func TestManySlowBodies(t *testing.T) {
	e, base := onTCP(t, rest.Config{Calls: 4, Patience: 2 * time.Second})
	const head = "POST /v1/layouts:plan HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\nContent-Length: 100\r\n\r\n{"
	for range 2 {
		rawCall(t, base, head)
	}
	for i := 0; ; i++ {
		response, body := ask(t, http.MethodPost, base+"/v1/layouts:plan", "{}")
		if response.StatusCode != http.StatusServiceUnavailable {
			if i > 100 {
				t.Fatalf("a third body of one address: %s %s", response.Status, body)
			}
			time.Sleep(10 * time.Millisecond) // until the two have arrived
			continue
		}
		if st := failed(t, response, body); detail[*errdetails.ErrorInfo](st).GetReason() != "TOO_MANY_CALLS" || response.Header.Get("Retry-After") != "1" {
			t.Errorf("a third body of one address: %v, %v", st, response.Header)
		}
		break
	}
	e.say(nil, &wattlev1.ListFamiliesResponse{})
	if response, _ := ask(t, http.MethodGet, base+"/v1/families", ""); response.StatusCode != http.StatusOK {
		t.Errorf("a call without a body: %s", response.Status)
	}
}

// A refusal that says when to come back is 429 or 503 with Retry-After, in whole
// seconds, rounded up.
func TestRetryAfter(t *testing.T) {
	e, base := startEcho(t, rest.Config{})
	for _, c := range []struct {
		code  codes.Code
		delay time.Duration
		want  int
		after string
	}{
		{codes.ResourceExhausted, 10 * time.Millisecond, http.StatusTooManyRequests, "1"},
		{codes.ResourceExhausted, 1001 * time.Millisecond, http.StatusTooManyRequests, "2"},
		{codes.Unavailable, 3 * time.Second, http.StatusServiceUnavailable, "3"},
	} {
		st, err := status.New(c.code, "later").WithDetails(&errdetails.ErrorInfo{Reason: "RATE_LIMITED", Domain: "wattle"}, &errdetails.RetryInfo{RetryDelay: durationpb.New(c.delay)})
		if err != nil {
			t.Fatal(err)
		}
		e.say(st.Err())
		response, body := ask(t, http.MethodGet, base+"/v1/families", "")
		if response.StatusCode != c.want || response.Header.Get("Retry-After") != c.after || !strings.Contains(body, "RetryInfo") {
			t.Errorf("%v in %v: %s, Retry-After %q, %s", c.code, c.delay, response.Status, response.Header.Get("Retry-After"), body)
		}
	}
	e.say(status.Error(codes.ResourceExhausted, "too large"))
	if response, _ := ask(t, http.MethodGet, base+"/v1/families", ""); response.Header.Get("Retry-After") != "" {
		t.Error("Retry-After without a time to come back")
	}
}

// Who guesses keys over HTTP is stopped by the address he comes from, whatever
// he says of it; who has a key is not.
func TestGuessersOverHTTP(t *testing.T) {
	o := openOffice(t, rpc.Limits{Addresses: rpc.Rate{PerSecond: 1e-6, Burst: 3}})
	const path = "/v1/companies/harrow/quotes"
	if response, body := o.ask(t, http.MethodGet, path, ""); response.StatusCode != http.StatusOK {
		t.Fatalf("%s %s", response.Status, body)
	}
	for i, want := range []int{http.StatusUnauthorized, http.StatusUnauthorized, http.StatusTooManyRequests, http.StatusTooManyRequests} {
		response, body := ask(t, http.MethodGet, o.base+path, "", "Authorization", fmt.Sprint("Bearer guess-", i), "X-Forwarded-For", fmt.Sprint("192.0.2.", i))
		if response.StatusCode != want || (response.Header.Get("Retry-After") != "") != (want == http.StatusTooManyRequests) {
			t.Errorf("guess %d: %s, Retry-After %q, %s", i, response.Status, response.Header.Get("Retry-After"), body)
		}
	}
	if response, body := o.ask(t, http.MethodGet, path, ""); response.StatusCode != http.StatusOK {
		t.Errorf("who has a key: %s %s", response.Status, body)
	}
}
