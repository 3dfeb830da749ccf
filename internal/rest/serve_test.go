package rest_test

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net"
	"net/http"
	"strings"
	"testing"
	"time"

	"google.golang.org/protobuf/proto"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/rest"
)

// startServe runs Serve with a handler.
func startServe(t *testing.T, handler http.Handler, drain time.Duration) (base string, stop context.CancelFunc, ended <-chan error) {
	t.Helper()
	lis, err := (&net.ListenConfig{}).Listen(t.Context(), "tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	t.Cleanup(cancel)
	done := make(chan error, 1)
	go func() {
		done <- rest.Serve(ctx, lis, handler, rest.ServeConfig{Log: slog.New(slog.DiscardHandler), Drain: drain})
	}()
	return "http://" + lis.Addr().String(), cancel, done
}

// At the end open requests finish, and no new one is taken.
func TestServeDrains(t *testing.T) {
	inside, release := make(chan struct{}), make(chan struct{})
	base, stop, ended := startServe(t, http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) {
		close(inside)
		<-release
		_, _ = io.WriteString(w, "whole")
	}), time.Minute)
	answers := make(chan string, 1)
	go func() {
		request, _ := http.NewRequestWithContext(context.Background(), http.MethodGet, base, http.NoBody)
		response, err := http.DefaultClient.Do(request)
		if err != nil {
			answers <- err.Error()
			return
		}
		body, _ := io.ReadAll(response.Body)
		_ = response.Body.Close()
		answers <- string(body)
	}()
	<-inside
	stop()
	for refused := false; !refused; {
		conn, err := (&net.Dialer{}).DialContext(t.Context(), "tcp", strings.TrimPrefix(base, "http://"))
		if refused = err != nil; !refused {
			_ = conn.Close()
		}
	}
	select {
	case err := <-ended:
		t.Errorf("ended with a request open: %v", err)
	default:
	}
	close(release)
	if got := <-answers; got != "whole" {
		t.Errorf("the open request got %q", got)
	}
	if err := <-ended; err != nil {
		t.Error(err)
	}
}

// Who does not finish within the drain time is cut off.
func TestServeEndsInTime(t *testing.T) {
	inside := make(chan struct{})
	base, stop, ended := startServe(t, http.HandlerFunc(func(_ http.ResponseWriter, r *http.Request) {
		close(inside)
		<-r.Context().Done()
	}), 50*time.Millisecond)
	cut := make(chan error, 1)
	go func() {
		request, _ := http.NewRequestWithContext(context.Background(), http.MethodGet, base, http.NoBody)
		response, err := http.DefaultClient.Do(request)
		if err == nil {
			_ = response.Body.Close()
		}
		cut <- err
	}()
	<-inside
	stop()
	if err := <-ended; err != nil {
		t.Error(err)
	}
	if <-cut == nil {
		t.Error("the request was answered")
	}
}

// A listener that fails is told of.
func TestServeTellsWhy(t *testing.T) {
	lis, err := (&net.ListenConfig{}).Listen(t.Context(), "tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	_ = lis.Close()
	if err := rest.Serve(t.Context(), lis, http.NotFoundHandler(), rest.ServeConfig{Log: slog.New(slog.DiscardHandler)}); !errors.Is(err, net.ErrClosed) {
		t.Errorf("%v", err)
	}
}

// rawCall opens a connection and sends text.
func rawCall(t *testing.T, base, text string) net.Conn {
	t.Helper()
	conn, err := (&net.Dialer{}).DialContext(t.Context(), "tcp", strings.TrimPrefix(base, "http://"))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = conn.Close() })
	if _, err := io.WriteString(conn, text); err != nil {
		t.Fatal(err)
	}
	return conn
}

// A body that does not come is not waited for, not even where nobody asks for
// it; and a call that has its body may take longer than a body.
func TestSlowBody(t *testing.T) {
	e, base := startEcho(t, rest.Config{Patience: 100 * time.Millisecond})
	for path, says := range map[string]string{"/v1/layouts:plan": "did not come whole", "/nowhere": ""} {
		conn := rawCall(t, base, "POST "+path+" HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\nContent-Length: 100\r\n\r\n{")
		if err := conn.SetReadDeadline(time.Now().Add(10 * time.Second)); err != nil {
			t.Fatal(err)
		}
		all, err := io.ReadAll(conn) // to its end: the connection is closed
		if err != nil || !strings.Contains(string(all), says) {
			t.Errorf("%s: %v, %s", path, err, all)
		}
	}
	e.mu.Lock()
	e.hold = func() { time.Sleep(300 * time.Millisecond) }
	e.mu.Unlock()
	e.say(nil, &wattlev1.PlanLayoutResponse{})
	if response, body := ask(t, http.MethodPost, base+"/v1/layouts:plan", "{}"); response.StatusCode != http.StatusOK {
		t.Errorf("a slow call: %s %s", response.Status, body)
	}
	e.say(nil, &wattlev1.ListFamiliesResponse{})
	if response, body := ask(t, http.MethodGet, base+"/v1/families", ""); response.StatusCode != http.StatusOK {
		t.Errorf("a slow call without a body: %s %s", response.Status, body)
	}
}

// A caller that does not read is cut off, and its call ends; one that reads
// slowly, but goes on, gets all of a long stream.
func TestSlowReader(t *testing.T) {
	const patience = time.Second // a busy machine may not let the reader read for a while
	e, base := startEcho(t, rest.Config{Patience: patience})
	ended := make(chan error, 2)
	e.mu.Lock()
	e.ended = func(err error) { ended <- err }
	e.mu.Unlock()
	big := &wattlev1.StreamLayoutResponse{Part: &wattlev1.PlanLayoutResponse{Spec: &wattlev1.Spec{Name: strings.Repeat("x", 64<<10)}}}
	pieces := make([]proto.Message, 300) // 20 MB, more than the sockets between hold
	for i := range pieces {
		pieces[i] = big
	}
	const request = "POST /v1/layouts:stream HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\nContent-Length: 2\r\n\r\n{}"
	e.say(nil, pieces...)
	rawCall(t, base, request)
	select {
	case err := <-ended:
		if err == nil {
			t.Error("a call whose answer nobody read ended well")
		}
	case <-time.After(20 * time.Second):
		t.Fatal("the call of a caller that does not read goes on")
	}

	e.say(nil, pieces[:200]...)
	conn := rawCall(t, base, request)
	response, err := http.ReadResponse(bufio.NewReader(conn), nil)
	if err != nil {
		t.Fatal(err)
	}
	read, start := 0, time.Now()
	for buffer := make([]byte, 256<<10); ; {
		n, err := io.ReadFull(response.Body, buffer)
		read += n
		if err != nil {
			if !errors.Is(err, io.EOF) && !errors.Is(err, io.ErrUnexpectedEOF) {
				t.Errorf("after %d bytes: %v", read, err)
			}
			break
		}
		time.Sleep(30 * time.Millisecond)
	}
	_ = response.Body.Close()
	if err := <-ended; err != nil || read < 200*64<<10 {
		t.Errorf("%d bytes in %v, the call ended with %v", read, time.Since(start), err)
	}
	if time.Since(start) < patience {
		t.Error(fmt.Sprint("it was read in ", time.Since(start), ", which proves nothing"))
	}
}
