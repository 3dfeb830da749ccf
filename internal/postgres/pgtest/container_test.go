package pgtest_test

import (
	"encoding/json"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"github.com/moby/moby/client"

	"wattle/internal/postgres/pgtest"
)

// Every process that starts a server looks for what dead ones left, so two may
// remove the same container at once.
func TestALeftOverContainerMayBeRemovedByAnother(t *testing.T) {
	for _, tc := range []struct {
		name   string
		status int
		says   string
		fails  bool
	}{
		{"removed", http.StatusNoContent, "", false},
		{"gone already", http.StatusNotFound, "No such container: left", false},
		{"being removed", http.StatusConflict, "removal of container left is already in progress", false},
		{"cannot be killed", http.StatusInternalServerError, "could not kill container", true},
	} {
		t.Run(tc.name, func(t *testing.T) {
			asked := 0
			engine := fakeEngine(t, t.TempDir(), func(w http.ResponseWriter) {
				asked++
				w.WriteHeader(tc.status)
				if tc.says != "" {
					_ = json.NewEncoder(w).Encode(map[string]string{"message": tc.says})
				}
			})
			err := pgtest.RemoveStale(t.Context(), engine)
			if tc.fails && (err == nil || !strings.Contains(err.Error(), tc.says)) {
				t.Errorf("got %v; want an error that says %q", err, tc.says)
			}
			if !tc.fails && err != nil {
				t.Error(err)
			}
			if asked != 1 {
				t.Errorf("asked %d times for a removal, want once", asked)
			}
		})
	}
}

// fakeEngine lists one container, of a keeper that is not alive.
func fakeEngine(t *testing.T, keeperFolder string, remove func(http.ResponseWriter)) *client.Client {
	t.Helper()
	mux := http.NewServeMux()
	mux.HandleFunc("GET /{version}/containers/json", func(w http.ResponseWriter, _ *http.Request) {
		w.Header().Set("Content-Type", "application/json")
		_ = json.NewEncoder(w).Encode([]map[string]any{{"Id": "left", "Labels": map[string]string{pgtest.Label: keeperFolder}}})
	})
	mux.HandleFunc("DELETE /{version}/containers/left", func(w http.ResponseWriter, _ *http.Request) { remove(w) })
	server := httptest.NewServer(mux)
	t.Cleanup(server.Close)
	engine, err := client.New(client.WithHost("tcp://"+server.Listener.Addr().String()), client.WithAPIVersion(client.MaxAPIVersion))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = engine.Close() })
	return engine
}
