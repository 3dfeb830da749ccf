package telemetry

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"strings"
	"time"

	"github.com/exaring/otelpgx"
	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
	"github.com/jackc/pgx/v5/pgxpool"

	"wattle/internal/correlate"
)

// slow is how long a statement takes that is worth a line of log.
const slow = time.Second

// Statements is a tracer of what is sent to the database: spans below the
// call's or the job's, how long it took as metrics, and a line of log, with the
// call's request id, for what was slow or failed. Of a statement there is its
// text, which is constant in this program, and of an error its code and the
// constraint: never a value.
func (t *Telemetry) Statements() pgx.QueryTracer {
	return &statements{
		Tracer: otelpgx.NewTracer(
			otelpgx.WithTracerProvider(t.Traces), otelpgx.WithMeterProvider(t.Meters),
			otelpgx.WithSpanNameFunc(statementName), otelpgx.WithDisableConnectionDetailsInAttributes()),
		log: correlate.Logger(t.log), slow: slow,
	}
}

// statements is the library's tracer, which would tell errors whole.
type statements struct {
	*otelpgx.Tracer
	log  *slog.Logger
	slow time.Duration
}

var (
	_ pgx.QueryTracer       = (*statements)(nil)
	_ pgx.BatchTracer       = (*statements)(nil)
	_ pgx.CopyFromTracer    = (*statements)(nil)
	_ pgx.PrepareTracer     = (*statements)(nil)
	_ pgx.ConnectTracer     = (*statements)(nil)
	_ pgxpool.AcquireTracer = (*statements)(nil)
)

// sent is a statement on its way.
type sent struct {
	text  string
	start time.Time
}

type sentKey struct{}

func sends(ctx context.Context, text string) context.Context {
	return context.WithValue(ctx, sentKey{}, sent{text, time.Now()})
}

// TraceQueryStart implements pgx.QueryTracer.
func (s *statements) TraceQueryStart(ctx context.Context, conn *pgx.Conn, data pgx.TraceQueryStartData) context.Context {
	return s.Tracer.TraceQueryStart(sends(ctx, data.SQL), conn, data)
}

// TraceQueryEnd implements pgx.QueryTracer.
func (s *statements) TraceQueryEnd(ctx context.Context, conn *pgx.Conn, data pgx.TraceQueryEndData) {
	s.look(ctx, data.Err)
	data.Err = withoutValues(data.Err)
	s.Tracer.TraceQueryEnd(ctx, conn, data)
}

// TraceBatchStart implements pgx.BatchTracer.
func (s *statements) TraceBatchStart(ctx context.Context, conn *pgx.Conn, data pgx.TraceBatchStartData) context.Context {
	return s.Tracer.TraceBatchStart(sends(ctx, "a batch"), conn, data)
}

// TraceBatchQuery implements pgx.BatchTracer.
func (s *statements) TraceBatchQuery(ctx context.Context, conn *pgx.Conn, data pgx.TraceBatchQueryData) {
	data.Err = withoutValues(data.Err)
	s.Tracer.TraceBatchQuery(ctx, conn, data)
}

// TraceBatchEnd implements pgx.BatchTracer.
func (s *statements) TraceBatchEnd(ctx context.Context, conn *pgx.Conn, data pgx.TraceBatchEndData) {
	s.look(ctx, data.Err)
	data.Err = withoutValues(data.Err)
	s.Tracer.TraceBatchEnd(ctx, conn, data)
}

// TraceCopyFromStart implements pgx.CopyFromTracer.
func (s *statements) TraceCopyFromStart(ctx context.Context, conn *pgx.Conn, data pgx.TraceCopyFromStartData) context.Context {
	return s.Tracer.TraceCopyFromStart(sends(ctx, "copy "+data.TableName.Sanitize()), conn, data)
}

// TraceCopyFromEnd implements pgx.CopyFromTracer.
func (s *statements) TraceCopyFromEnd(ctx context.Context, conn *pgx.Conn, data pgx.TraceCopyFromEndData) {
	s.look(ctx, data.Err)
	data.Err = withoutValues(data.Err)
	s.Tracer.TraceCopyFromEnd(ctx, conn, data)
}

// TracePrepareEnd implements pgx.PrepareTracer.
func (s *statements) TracePrepareEnd(ctx context.Context, conn *pgx.Conn, data pgx.TracePrepareEndData) {
	data.Err = withoutValues(data.Err)
	s.Tracer.TracePrepareEnd(ctx, conn, data)
}

// TraceConnectEnd implements pgx.ConnectTracer.
func (s *statements) TraceConnectEnd(ctx context.Context, data pgx.TraceConnectEndData) {
	data.Err = withoutValues(data.Err)
	s.Tracer.TraceConnectEnd(ctx, data)
}

// TraceAcquireEnd implements pgxpool.AcquireTracer.
func (s *statements) TraceAcquireEnd(ctx context.Context, pool *pgxpool.Pool, data pgxpool.TraceAcquireEndData) {
	data.Err = withoutValues(data.Err)
	s.Tracer.TraceAcquireEnd(ctx, pool, data)
}

// look logs a statement that was slow or failed.
func (s *statements) look(ctx context.Context, err error) {
	begun, ok := ctx.Value(sentKey{}).(sent)
	if !ok {
		return
	}
	took := time.Since(begun.start)
	failed := err != nil && !errors.Is(err, pgx.ErrNoRows)
	level := slog.LevelInfo
	switch {
	case failed:
		level = levelOf(err)
		if took >= s.slow { // such as one that was cancelled for it
			level = max(level, slog.LevelInfo)
		}
	case took < s.slow:
		return
	}
	if !s.log.Enabled(ctx, level) {
		return
	}
	attrs := []slog.Attr{
		slog.String("statement", shorten(begun.text)),
		slog.Float64("took_ms", float64(took.Microseconds())/1000),
	}
	if !failed {
		s.log.LogAttrs(ctx, level, "slow statement", attrs...)
		return
	}
	attrs = append(attrs, slog.String("error", withoutValues(err).Error()))
	s.log.LogAttrs(ctx, level, "failed statement", attrs...)
}

// levelOf marks what an operator should look at. A row that is there already, a
// lost race and a caller who went away are part of the work, and the call's own
// line says how it ended.
func levelOf(err error) slog.Level {
	if errors.Is(err, context.Canceled) || errors.Is(err, context.DeadlineExceeded) {
		return slog.LevelDebug
	}
	if e, ok := errors.AsType[*pgconn.PgError](err); ok {
		switch class(e) {
		case "23", "40": // integrity constraint, transaction rollback
			return slog.LevelDebug
		}
		if e.Code == "57014" { // query_canceled
			return slog.LevelDebug
		}
	}
	return slog.LevelWarn
}

// class is the first two characters of an error's code [PostgreSQL, appendix A].
func class(e *pgconn.PgError) string { return e.Code[:min(2, len(e.Code))] }

// withoutValues is what may be told of an error of the driver's. Postgres's
// messages on data, on constraints and from PL/pgSQL can hold what stood in a
// row or a parameter; the driver's own hold what it could not encode.
func withoutValues(err error) error {
	switch {
	case err == nil, errors.Is(err, pgx.ErrNoRows):
		return err
	case errors.Is(err, context.Canceled):
		return context.Canceled
	case errors.Is(err, context.DeadlineExceeded):
		return context.DeadlineExceeded
	}
	if e, ok := errors.AsType[*pgconn.PgError](err); ok {
		message := e.Message
		switch class(e) {
		case "22", "23", "P0":
			message = e.ConstraintName
		}
		return &pgconn.PgError{Severity: e.Severity, Code: e.Code, Message: message}
	}
	return fmt.Errorf("%T", err) //nolint:err113 // the type is all that may be said
}

// mostStatement is how much of a statement is logged, in bytes.
const mostStatement = 160

// shorten is a statement on one line.
func shorten(text string) string {
	text = strings.Join(strings.Fields(text), " ")
	if len(text) > mostStatement {
		text = text[:mostStatement-3] + "..."
	}
	return text
}

// statementName is what a span of a statement is called: the queue's by their
// own names, ours by their first word.
func statementName(text string) string {
	text = strings.TrimSpace(text)
	if rest, ok := strings.CutPrefix(text, "-- name: "); ok {
		name, _, _ := strings.Cut(rest, " ")
		return name
	}
	word, _, _ := strings.Cut(text, " ")
	return strings.ToUpper(strings.TrimSpace(word))
}

// Pool tells of the connections of a pool; name says whose it is.
func (t *Telemetry) Pool(name string, stats otelpgx.PoolStats) error {
	return otelpgx.RecordStats(stats, otelpgx.WithStatsMeterProvider(t.Meters), otelpgx.WithStatsAttributes(poolNameOf(name)))
}
