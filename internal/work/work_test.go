package work_test

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"log/slog"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/jackc/pgx/v5/pgconn"
	"github.com/riverqueue/river"
	"github.com/riverqueue/river/rivertype"
	"go.opentelemetry.io/otel/trace"

	"wattle/internal/auth"
	"wattle/internal/correlate"
	"wattle/internal/estimating"
	"wattle/internal/fault"
	"wattle/internal/jobs"
	"wattle/internal/postgres"
	"wattle/internal/postgres/storetest"
	"wattle/internal/work"
)

// logBuffer is a log that a test may read while jobs are worked on.
type logBuffer struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (l *logBuffer) Write(p []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.b.Write(p)
}

// line is the first line with a message, once there is one.
func (l *logBuffer) line(t *testing.T, message string) map[string]any {
	t.Helper()
	for end := time.Now().Add(60 * time.Second); time.Now().Before(end); time.Sleep(10 * time.Millisecond) {
		l.mu.Lock()
		text := l.b.String()
		l.mu.Unlock()
		for one := range strings.Lines(text) {
			var line map[string]any
			if json.Unmarshal([]byte(one), &line) == nil && line["msg"] == message {
				return line
			}
		}
	}
	t.Fatalf("no line %q", message)
	return nil
}

// failing works on deliveries by failing: the first time with what a database says,
// the second by a panic.
type failing struct {
	river.WorkerDefaults[jobs.Delivery]
	log *slog.Logger
}

func (f failing) Work(ctx context.Context, job *river.Job[jobs.Delivery]) error {
	f.log.InfoContext(ctx, "at work")
	if job.Attempt > 1 {
		panic("a defect")
	}
	return fault.Wrap(&pgconn.PgError{Code: "22P02", Message: "no number: Quillfeather"}, fault.Internal, "INTERNAL", "unexplained")
}

func (failing) NextRetry(*river.Job[jobs.Delivery]) time.Time { return time.Now() }

// spanned is a middleware that has a span for each job, as tracing does.
type spanned struct {
	river.MiddlewareDefaults
	span trace.SpanContext
}

func (s *spanned) Work(ctx context.Context, _ *rivertype.JobRow, next func(context.Context) error) error {
	return next(trace.ContextWithSpanContext(ctx, s.span))
}

// What is logged while a job is worked on, and that it failed, is found by the
// job, by its trace and by the request that left it behind; of what the database
// said there is the code alone.
func TestJobsAreNamedInTheLog(t *testing.T) {
	t.Parallel()
	store, db := storetest.NewWithDB(t)
	ctx := correlate.WithRequest(estimating.WithCaller(t.Context(), auth.ForCompany("harrow")), "crm-1")
	storetest.FirstKey(t, store, "harrow")
	hook := estimating.Webhook{Company: "harrow", ID: "w", Office: "main", URL: "https://crm.example.com/hook"}
	if _, _, err := store.CreateWebhook(ctx, estimating.RequestKey{Company: "harrow"}, hook, []byte("sealed")); err != nil {
		t.Fatal(err)
	}
	if _, err := store.PingWebhook(ctx, estimating.RequestKey{Company: "harrow"}, "w"); err != nil {
		t.Fatal(err)
	}
	worker, err := postgres.Open(t.Context(), db.WorkerURL())
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(worker.Close)
	log := &logBuffer{}
	logger := correlate.Logger(slog.New(slog.NewJSONHandler(log, nil)))
	workers := river.NewWorkers()
	river.AddWorker(workers, failing{log: logger})
	span := trace.NewSpanContext(trace.SpanContextConfig{TraceID: trace.TraceID{1}, SpanID: trace.SpanID{2}})
	running, stop := context.WithCancel(t.Context())
	ended := make(chan error, 1)
	go func() {
		ended <- work.Run(running, worker.Queue(), work.Config{Workers: workers, Log: logger, Middleware: []rivertype.Middleware{&spanned{span: span}}})
	}()
	for _, message := range []string{"at work", "job failed", "job panicked"} {
		line := log.line(t, message)
		if line["job"] == nil || line["job_kind"] != "webhook_delivery" || line["request_id"] != "crm-1" || line["trace_id"] != span.TraceID().String() || line["span_id"] != span.SpanID().String() {
			t.Errorf("%s: %v", message, line)
		}
		if message == "job failed" && line["error"] != "INTERNAL: the database said SQLSTATE 22P02" {
			t.Errorf("the error is %v", line["error"])
		}
	}
	stop()
	if err := <-ended; err != nil && !errors.Is(err, context.Canceled) {
		t.Error(err)
	}
}
