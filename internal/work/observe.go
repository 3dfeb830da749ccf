package work

import (
	"context"
	"errors"
	"log/slog"
	"runtime/debug"

	"github.com/riverqueue/river"
	"github.com/riverqueue/river/rivertype"
	"go.opentelemetry.io/otel/trace"

	"wattle/internal/correlate"
	"wattle/internal/fault"
)

// observe names a job in whatever is said while it is worked on. It is the
// innermost middleware, within the span of the job.
type observe struct {
	river.MiddlewareDefaults
	log *slog.Logger
}

var _ rivertype.WorkerMiddleware = &observe{}

// Work implements rivertype.WorkerMiddleware.
func (o *observe) Work(ctx context.Context, job *rivertype.JobRow, next func(context.Context) error) error {
	ctx = correlate.WithJob(correlate.WithNoteOf(ctx, job.Metadata), job.ID, job.Kind)
	defer func() {
		if p := recover(); p != nil {
			o.log.LogAttrs(ctx, slog.LevelError, "job panicked", slog.Int("attempt", job.Attempt), slog.Any("panic", p), slog.String("trace", string(debug.Stack())))
			panic(p) // the queue makes a failed job of it
		}
	}()
	if err := next(ctx); err != nil {
		return &failure{err, trace.SpanContextFromContext(ctx)}
	}
	return nil
}

// failure is why a job failed, with the span it failed in: the queue says later,
// and outside of it, whether that is a failure to be logged.
type failure struct {
	cause error
	span  trace.SpanContext
}

// Error is what is kept with the job, in its span and in the log. Of what the
// database said there is the code alone: its words may hold what stood in a row.
func (f *failure) Error() string {
	said, ok := errors.AsType[interface {
		error
		SQLState() string
	}](f.cause)
	if !ok {
		return f.cause.Error()
	}
	text := "the database said SQLSTATE " + said.SQLState()
	if e, ok := errors.AsType[*fault.Error](f.cause); ok {
		text = e.Reason + ": " + text
	}
	return text
}

// Unwrap is for errors.Is and errors.As.
func (f *failure) Unwrap() error { return f.cause }

// failures logs a job that failed, in our own words: the queue's would have its
// arguments and a stack.
type failures struct{ log *slog.Logger }

// HandleError implements river.ErrorHandler.
func (f failures) HandleError(ctx context.Context, job *rivertype.JobRow, err error) *river.ErrorHandlerResult {
	if at, ok := errors.AsType[*failure](err); ok {
		ctx = trace.ContextWithSpanContext(ctx, at.span)
	}
	ctx = correlate.WithJob(correlate.WithNoteOf(ctx, job.Metadata), job.ID, job.Kind)
	f.log.LogAttrs(ctx, slog.LevelWarn, "job failed", slog.Int("attempt", job.Attempt), slog.String("error", err.Error()))
	return nil
}

// HandlePanic implements river.ErrorHandler: observe has logged it.
func (failures) HandlePanic(context.Context, *rivertype.JobRow, any, string) *river.ErrorHandlerResult {
	return nil
}
