package main

import (
	"context"
	"fmt"
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"sync"
	"syscall"
	"testing"
	"time"

	standard "github.com/standard-webhooks/standard-webhooks/libraries/go"

	"wattle/internal/estimating"
	"wattle/internal/postgres/storetest"
	"wattle/internal/webhook"
)

// receiver is a webhook's other end. It notes the ids it sees, and does
// something at one of them before it answers.
type receiver struct {
	mu    sync.Mutex
	seen  map[string]int
	calls int
}

func (r *receiver) note(id string) int {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.seen[id]++
	r.calls++
	return r.calls
}

func (r *receiver) times(id string) int {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.seen[id]
}

// TestKillBetweenSendAndMark: a worker is killed after a receiver has the
// message and before that is noted. The next one sends the same event again, and
// none is left out.
func TestKillBetweenSendAndMark(t *testing.T) {
	t.Parallel()
	store, db := storetest.NewWithDB(t)
	storetest.FirstKey(t, store, "harrow")
	ctx := storetest.Context("harrow")
	keyFile := filepath.Join(t.TempDir(), "webhook.keys")
	line := webhook.NewKey()
	if err := os.WriteFile(keyFile, []byte(line+"\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	keys, err := webhook.ParseKeyring(line)
	if err != nil {
		t.Fatal(err)
	}
	secret, sealed, err := keys.NewSecret("harrow", "crm")
	if err != nil {
		t.Fatal(err)
	}
	verifier, err := standard.NewWebhook(secret)
	if err != nil {
		t.Fatal(err)
	}

	killed := make(chan string, 1)
	first := make(chan *exec.Cmd, 1)
	var log processLog
	r := &receiver{seen: map[string]int{}}
	server := httptest.NewServer(http.HandlerFunc(func(_ http.ResponseWriter, req *http.Request) {
		body, err := io.ReadAll(req.Body)
		if err != nil {
			return // the worker died with its message half sent
		}
		if err := verifier.Verify(body, req.Header); err != nil {
			t.Error(err)
		}
		id := req.Header.Get("webhook-id")
		if r.note(id) == 1 {
			cmd := <-first
			if err := cmd.Process.Kill(); err != nil {
				t.Error(err)
			}
			_ = cmd.Wait()
			killed <- id
		}
	}))
	defer server.Close()

	hook := estimating.Webhook{Company: "harrow", ID: "crm", Office: "main", URL: server.URL}
	if _, _, err := store.CreateWebhook(ctx, estimating.RequestKey{Company: "harrow"}, hook, sealed); err != nil {
		t.Fatal(err)
	}
	var events []string
	for i := range 12 {
		e, err := store.PingWebhook(ctx, estimating.RequestKey{Company: "harrow", RequestID: fmt.Sprint(i)}, "crm")
		if err != nil {
			t.Fatal(err)
		}
		events = append(events, e.ID)
	}
	worker := func() *exec.Cmd {
		cmd := exec.CommandContext(t.Context(), "wattle", "work", "--worker-database-url", db.WorkerURL(), "--webhook-key-file", keyFile,
			"--webhook-allow-http", "--webhook-allow-private", "--workers", "1", "--job-timeout", "2s", "--rescue-after", "3s")
		cmd.Stderr = &log
		return cmd
	}
	one := worker()
	if err := one.Start(); err != nil {
		t.Fatal(err)
	}
	first <- one
	var repeated string
	select {
	case repeated = <-killed:
	case <-time.After(time.Minute):
		t.Fatalf("no message came:\n%s", &log)
	}
	second := worker()
	if err := second.Start(); err != nil {
		t.Fatal(err)
	}
	deadline := time.Now().Add(2 * time.Minute)
	for {
		list, err := store.ListDeliveries(ctx, estimating.DeliveryFilter{Company: "harrow", Webhook: "crm", State: estimating.DeliveryDelivered, Limit: 100})
		if err != nil {
			t.Fatal(err)
		}
		done := len(list)
		if done == len(events) {
			break
		}
		if time.Now().After(deadline) {
			t.Fatalf("%d of %d are delivered:\n%s", done, len(events), &log)
		}
		time.Sleep(200 * time.Millisecond)
	}
	if n := r.times(repeated); n < 2 {
		t.Errorf("the event of the kill came %d times", n)
	}
	for _, id := range events {
		if r.times(id) == 0 {
			t.Errorf("event %s never came", id)
		}
	}
	if err := second.Process.Signal(syscall.SIGTERM); err != nil {
		t.Fatal(err)
	}
	if err := second.Wait(); err != nil {
		t.Errorf("asked to stop, the worker ended with %v:\n%s", err, &log)
	}
}

// A service that is told to stop right after its start ends well.
func TestStoppedWhileItStarts(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	o := workerOptions{databaseURL: "postgres://wattle_worker@127.0.0.1:1/wattle", count: 1, view: noView()}
	if err := o.run(ctx, webhook.Guard{}, slog.New(slog.DiscardHandler)); err != nil {
		t.Error(err)
	}
	if err := o.run(t.Context(), webhook.Guard{}, slog.New(slog.DiscardHandler)); err == nil {
		t.Error("a database that does not answer is no failure")
	}
}
