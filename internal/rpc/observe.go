package rpc

import (
	"context"
	"crypto/rand"
	"errors"
	"log/slog"
	"strconv"
	"strings"
	"sync/atomic"
	"time"

	middleware "github.com/grpc-ecosystem/go-grpc-middleware/v2"
	"go.opentelemetry.io/otel/attribute"
	"go.opentelemetry.io/otel/trace"
	"golang.org/x/time/rate"
	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/metadata"
	"google.golang.org/grpc/peer"
	"google.golang.org/grpc/status"

	"wattle/internal/auth"
	"wattle/internal/correlate"
	"wattle/internal/fault"
)

// requestIDKey is the metadata under which a caller may name its request, and
// the header under which every answer names it back.
const requestIDKey = "x-request-id"

// requestIDAttribute is the same on the call's span, so that either leads to the
// other.
const requestIDAttribute = attribute.Key("wattle.request_id")

// pushbackKey is the trailer that says when a call may be tried again
// [gRFC A6].
const pushbackKey = "grpc-retry-pushback-ms"

// observer is the outermost interceptor: it names the request, turns errors
// into statuses, counts, and writes one line of log per call. (The middleware
// library's logger prints an error whole; ours keeps what the caller wrote out
// of the log.)
type observer struct {
	log     *slog.Logger
	meter   meter
	refused *sample // of the calls that were sent away
}

// sample lets some of many lines into the log, and counts those it leaves out.
type sample struct {
	rate    *rate.Limiter
	leftOut atomic.Int64
}

// mostRefusalsLogged is how many calls a second are logged of those that were
// sent away: who floods the service should not flood its log.
const mostRefusalsLogged = 10

func newObserver(log *slog.Logger, m meter) observer {
	return observer{log, m, &sample{rate: rate.NewLimiter(mostRefusalsLogged, mostRefusalsLogged)}}
}

// take reports whether the next line is in the sample, and how many were not
// since the last one that was.
func (s *sample) take() (leftOut int64, in bool) {
	if !s.rate.Allow() {
		s.leftOut.Add(1)
		return 0, false
	}
	return s.leftOut.Swap(0), true
}

func (o observer) unary(ctx context.Context, req any, info *grpc.UnaryServerInfo, next grpc.UnaryHandler) (any, error) {
	start := time.Now()
	ctx = nameCall(ctx)
	answer, err := next(ctx, req)
	return answer, o.finish(ctx, info.FullMethod, start, unmeasured(answer), err)
}

func (o observer) stream(srv any, s grpc.ServerStream, info *grpc.StreamServerInfo, next grpc.StreamHandler) error {
	start := time.Now()
	ctx := nameCall(s.Context())
	_ = s.SendHeader(nil) // at once: a stream may be long, and what breaks it breaks next too
	wrapped := &observedStream{WrappedServerStream: middleware.WrapServerStream(s)}
	wrapped.WrappedContext = ctx
	if srv == nil { // of no service: this server does not have the method
		return o.finish(ctx, clip(info.FullMethod, mostMethodBytes), start, nil, errUnknownMethod)
	}
	err := next(srv, wrapped)
	return o.finish(ctx, info.FullMethod, start, wrapped.answer(), err)
}

// nameCall is ctx for a call with its request id, which its answer will have as
// metadata, and its span has too. A call keeps its first name.
func nameCall(ctx context.Context) context.Context {
	if correlate.Request(ctx) != "" {
		return ctx
	}
	id := requestID(ctx)
	if a, ok := ctx.Value(arrivalKey{}).(*arrival); ok {
		a.observed = true
	}
	_ = grpc.SetHeader(ctx, metadata.Pairs(requestIDKey, id)) // fails only where it was answered, or no stream is, as in a test of next
	trace.SpanFromContext(ctx).SetAttributes(requestIDAttribute.String(id))
	return withNote(correlate.WithRequest(ctx, id))
}

// finish logs and counts a call and gives the error that the caller sees.
func (o observer) finish(ctx context.Context, method string, start time.Time, answer any, err error) error {
	var st *status.Status
	if err != nil {
		st = statusOf(err, correlate.Request(ctx))
	}
	o.meter.ended(ctx, method, answer, st)
	level := levelOf(st.Code(), method)
	logged, leftOut := o.log.Enabled(ctx, level), int64(0)
	if l, ok := errors.AsType[later](err); ok {
		// What clients' libraries know of when to come back; fails only where no stream is.
		_ = grpc.SetTrailer(ctx, metadata.Pairs(pushbackKey, strconv.FormatInt(l.after.Milliseconds()+1, 10)))
		if logged {
			leftOut, logged = o.refused.take()
		}
	}
	if logged {
		now := time.Now()
		// A record of its own, since a logger's would have the place in the source,
		// which is this one, and takes longer to find than the line to write.
		line := slog.NewRecord(now, level, "call", 0)
		line.AddAttrs(slog.String("method", method), slog.String("code", st.Code().String()),
			slog.Float64("took_ms", float64(now.Sub(start).Microseconds())/1000))
		if c, ok := noted(ctx); ok {
			line.AddAttrs(slog.String("company", c.Company), slog.String("key", c.Principal))
		}
		if p, ok := peer.FromContext(ctx); ok {
			line.AddAttrs(slog.String("peer", p.Addr.String()))
			// Whom the gateway, which calls from within this process, calls for.
			if from := metadata.ValueFromIncomingContext(ctx, "x-forwarded-for"); p.Addr.Network() == inMemory && len(from) == 1 {
				line.AddAttrs(slog.String("forwarded_for", clip(from[0], mostForwardedBytes)))
			}
		}
		if err != nil {
			line.AddAttrs(errorAttrs(err)...)
		}
		if leftOut > 0 {
			line.AddAttrs(slog.Int64("refused_and_not_logged", leftOut))
		}
		_ = o.log.Handler().Handle(ctx, line) // as loggers do
	}
	return st.Err()
}

// callNote is who made a call, told from the gate to the log outside it.
type callNote struct {
	caller auth.Caller
	known  bool
}

type noteKey struct{}

func withNote(ctx context.Context) context.Context {
	return context.WithValue(ctx, noteKey{}, &callNote{})
}

func note(ctx context.Context, c auth.Caller) {
	if n, ok := ctx.Value(noteKey{}).(*callNote); ok {
		*n = callNote{c, true}
	}
}

func noted(ctx context.Context) (auth.Caller, bool) {
	n, ok := ctx.Value(noteKey{}).(*callNote)
	if !ok {
		return auth.Caller{}, false
	}
	return n.caller, n.known
}

// levelOf marks what an operator should look at; probes are below the rest.
func levelOf(code codes.Code, method string) slog.Level {
	switch {
	case code == codes.Internal, code == codes.Unknown, code == codes.DataLoss:
		return slog.LevelError
	case code == codes.Unavailable, code == codes.DeadlineExceeded, code == codes.ResourceExhausted, code == codes.Unimplemented:
		return slog.LevelWarn
	case strings.HasPrefix(method, "/grpc."):
		return slog.LevelDebug
	}
	return slog.LevelInfo
}

// mostForwardedBytes is how much is logged of who is behind the gateway.
const mostForwardedBytes = 200

// mostMethodBytes is how much is logged of the name of a method that there is
// not.
const mostMethodBytes = 200

// mostLoggedFields is how many field paths of an invalid request are logged.
const mostLoggedFields = 20

// errorAttrs are an error's reason, its cause, and the fields that were wrong,
// but not what stood in them.
func errorAttrs(err error) []slog.Attr {
	e := faultOf(err)
	if e == nil {
		return []slog.Attr{slog.String("reason", reasonIn(status.Convert(err))), slog.String("error", err.Error())}
	}
	attrs := []slog.Attr{slog.String("reason", e.Reason)}
	if cause := errors.Unwrap(e); cause != nil {
		attrs = append(attrs, slog.String("cause", cause.Error()))
	} else if e.Kind == fault.Internal {
		attrs = append(attrs, slog.String("error", e.Message))
	}
	if n := len(e.Violations); n > 0 {
		fields := make([]string, min(n, mostLoggedFields))
		for i := range fields {
			fields[i] = e.Violations[i].Field
		}
		attrs = append(attrs, slog.Int("violations", n), slog.Any("fields", fields))
	}
	return attrs
}

// requestID is the caller's own id where it is one plain word, else a new one.
func requestID(ctx context.Context) string {
	if ids := metadata.ValueFromIncomingContext(ctx, requestIDKey); len(ids) == 1 && plainWord(ids[0]) {
		return ids[0]
	}
	return rand.Text()
}

func plainWord(s string) bool {
	for _, r := range s {
		if r <= ' ' || r > '~' {
			return false
		}
	}
	return s != "" && len(s) <= 128
}
