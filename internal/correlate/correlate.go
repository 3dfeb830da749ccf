// Package correlate gives one piece of work one name wherever it is spoken of: a
// call's request id, a job's id, and the trace of either, in every line of log
// and in the jobs that a call leaves behind.
package correlate

import (
	"context"
	"log/slog"

	"go.opentelemetry.io/otel/trace"
)

// work is what a context is the context of. A job knows the request that made
// it.
type work struct {
	request string
	job     int64
	kind    string
}

type workKey struct{}

func workOf(ctx context.Context) work {
	w, _ := ctx.Value(workKey{}).(work)
	return w
}

// WithRequest is ctx for the work on a call, by its request id.
func WithRequest(ctx context.Context, id string) context.Context {
	w := workOf(ctx)
	w.request = id
	return context.WithValue(ctx, workKey{}, w)
}

// WithJob is ctx for the work on a job.
func WithJob(ctx context.Context, id int64, kind string) context.Context {
	w := workOf(ctx)
	w.job, w.kind = id, kind
	return context.WithValue(ctx, workKey{}, w)
}

// Request is the id of the request that is worked on, or that made the job that
// is; empty where there is none.
func Request(ctx context.Context) string { return workOf(ctx).request }

// Logger adds to each line that is logged with a context what the context is
// of: request_id, job and job_kind, trace_id and span_id, those that there are.
// A logger that does so already stays as it is.
func Logger(log *slog.Logger) *slog.Logger {
	if _, is := log.Handler().(handler); is {
		return log
	}
	return slog.New(handler{log.Handler()})
}

type handler struct{ slog.Handler }

// Handle implements slog.Handler.
func (h handler) Handle(ctx context.Context, r slog.Record) error {
	w := workOf(ctx)
	if w.request != "" {
		r.AddAttrs(slog.String("request_id", w.request))
	}
	if w.job != 0 {
		r.AddAttrs(slog.Int64("job", w.job), slog.String("job_kind", w.kind))
	}
	if span := trace.SpanContextFromContext(ctx); span.IsValid() {
		r.AddAttrs(slog.String("trace_id", span.TraceID().String()), slog.String("span_id", span.SpanID().String()))
	}
	return h.Handler.Handle(ctx, r)
}

// WithAttrs implements slog.Handler.
func (h handler) WithAttrs(attrs []slog.Attr) slog.Handler {
	return handler{h.Handler.WithAttrs(attrs)}
}

// WithGroup implements slog.Handler.
func (h handler) WithGroup(name string) slog.Handler { return handler{h.Handler.WithGroup(name)} }
