package main

import (
	"io"
	"log/slog"
	"net/http"
	"strings"
	"testing"
)

// Metrics and profiles are there, on this machine alone, and nothing else is.
func TestAdmin(t *testing.T) {
	t.Parallel()
	for _, address := range []string{"0.0.0.0:0", ":0", "[::]:0", "192.0.2.7:0", "example.invalid:0", "7455"} {
		if _, err := adminListen(t.Context(), address); err == nil || !strings.Contains(err.Error(), "--admin-listen") {
			t.Errorf("%s: %v", address, err)
		}
	}
	lis, err := adminListen(t.Context(), "localhost:0")
	if err != nil {
		t.Fatal(err)
	}
	ended := make(chan struct{})
	go func() {
		serveAdmin(lis, http.RedirectHandler("/", http.StatusTeapot), slog.New(slog.DiscardHandler))
		close(ended)
	}()
	for path, want := range map[string]int{"/metrics": http.StatusTeapot, "/debug/pprof/goroutine?debug=1": http.StatusOK, "/debug/pprof/heap": http.StatusOK, "/": http.StatusNotFound} {
		req, err := http.NewRequestWithContext(t.Context(), http.MethodGet, "http://"+lis.Addr().String()+path, nil)
		if err != nil {
			t.Fatal(err)
		}
		answer, err := http.DefaultClient.Do(req)
		if err != nil {
			t.Fatal(err)
		}
		body, err := io.ReadAll(answer.Body)
		_ = answer.Body.Close()
		if err != nil || answer.StatusCode != want || len(body) == 0 {
			t.Errorf("%s: %v, %v", path, answer.Status, err)
		}
	}
	_ = lis.Close()
	<-ended
}
