package main

import (
	"context"
	"errors"
	"io"
	"maps"
	"net"
	"net/http"
	"sync"
	"time"
)

// receiver is where webhooks are sent to. It counts the ids it has taken.
type receiver struct {
	url    string
	server *http.Server
	mu     sync.Mutex
	ids    map[string]int
}

func receive(ctx context.Context) (*receiver, error) {
	lis, err := (&net.ListenConfig{}).Listen(ctx, "tcp", "127.0.0.1:0")
	if err != nil {
		return nil, err
	}
	r := &receiver{url: "http://" + lis.Addr().String() + "/hook", ids: map[string]int{}}
	r.server = &http.Server{Handler: http.HandlerFunc(r.take), ReadHeaderTimeout: 10 * time.Second}
	go func() { _ = r.server.Serve(lis) }() // ends when it is closed
	return r, nil
}

func (r *receiver) take(w http.ResponseWriter, req *http.Request) {
	if _, err := io.Copy(io.Discard, req.Body); err != nil {
		w.WriteHeader(http.StatusBadRequest)
		return
	}
	r.count(req.Header.Get("webhook-id"))
	time.Sleep(answerAfter)
	w.WriteHeader(http.StatusNoContent)
}

// answerAfter is long enough that a worker which is killed leaves deliveries that
// were made and not written down.
const answerAfter = 50 * time.Millisecond

func (r *receiver) count(id string) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.ids[id]++
}

// taken is how often each id came.
func (r *receiver) taken() map[string]int {
	r.mu.Lock()
	defer r.mu.Unlock()
	return maps.Clone(r.ids)
}

// Close ends the receiver.
func (r *receiver) Close() error {
	err := r.server.Close()
	if errors.Is(err, http.ErrServerClosed) {
		return nil
	}
	return err
}
