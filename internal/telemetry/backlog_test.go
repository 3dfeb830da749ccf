package telemetry

import (
	"context"
	"errors"
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"strings"
	"sync/atomic"
	"testing"

	"go.opentelemetry.io/otel/attribute"
	"go.opentelemetry.io/otel/metric"

	"wattle/internal/postgres"
)

// waiting is a store of which only the backlog is asked.
type waiting struct {
	asked atomic.Int64
	fails atomic.Bool
}

func (w *waiting) Backlog(ctx context.Context) ([]postgres.Backlog, error) {
	w.asked.Add(1)
	if _, bounded := ctx.Deadline(); !bounded || w.fails.Load() {
		return nil, errors.New("no answer")
	}
	return []postgres.Backlog{{What: "jobs", Part: "events", Waiting: 3, OldestSeconds: 7.5}, {What: "of a newer schema", Waiting: 1}}, nil
}

func scrape(t *testing.T, tel *Telemetry) string {
	t.Helper()
	answer := httptest.NewRecorder()
	tel.Handler().ServeHTTP(answer, httptest.NewRequestWithContext(t.Context(), http.MethodGet, "/metrics", nil))
	text, err := io.ReadAll(answer.Body)
	if err != nil || answer.Code != http.StatusOK {
		t.Fatalf("%d, %v: %s", answer.Code, err, text)
	}
	return string(text)
}

func measured(t *testing.T) *Telemetry {
	t.Helper()
	tel, err := New(t.Context(), Config{Service: "test", Metrics: true, Log: slog.New(slog.DiscardHandler)})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := tel.Close(); err != nil {
			t.Error(err)
		}
	})
	return tel
}

// The database is asked once for scrapes that come at about the same time, within
// a time; where it does not answer, what waits is not told as nothing.
func TestWatch(t *testing.T) {
	for _, fails := range []bool{false, true} {
		tel, store := measured(t), &waiting{}
		store.fails.Store(fails)
		if err := errors.Join(tel.Watch(store), tel.Ready(func() bool { return !fails })); err != nil {
			t.Fatal(err)
		}
		text := scrape(t, tel)
		scrape(t, tel)
		if n := store.asked.Load(); n != 1 {
			t.Errorf("asked %d times", n)
		}
		has := func(line string) bool { return strings.Contains(text, "\n"+line+"\n") }
		up, waits := has("wattle_database_up 1") && has("wattle_ready 1"), has(`wattle_jobs_waiting{queue="events"} 3`) && has(`wattle_jobs_oldest_seconds{queue="events"} 7.5`)
		down := has("wattle_database_up 0") && has("wattle_ready 0")
		if up == fails || waits == fails || down != fails || fails && strings.Contains(text, "wattle_jobs") {
			t.Errorf("where the store fails %t:\n%s", fails, text)
		}
	}
}

// A library's metric that nobody chose is not told, and of one that is chosen
// only the labels that are.
func TestChosen(t *testing.T) {
	tel := measured(t)
	meter := tel.Meters.Meter("library")
	all := metric.WithAttributes(attribute.String("kind", "event"), attribute.String("server.address", "a header of the caller's"))
	for _, name := range []string{"river.work_count", "river.insert_count", "wattle.things"} {
		c, err := meter.Int64Counter(name)
		if err != nil {
			t.Fatal(err)
		}
		c.Add(t.Context(), 1, all)
	}
	text := scrape(t, tel)
	if !strings.Contains(text, "\nriver_work_count_total{kind=\"event\"} 1\n") || strings.Contains(text, "river_insert") ||
		!strings.Contains(text, "\nwattle_things_total{kind=\"event\"") || !strings.Contains(text, "\nprocess_resident_memory_bytes ") {
		t.Errorf("%s", text)
	}
}
