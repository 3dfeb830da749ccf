package rpc

import (
	"context"
	"strings"

	"go.opentelemetry.io/contrib/instrumentation/google.golang.org/grpc/otelgrpc"
	"go.opentelemetry.io/otel/metric"
	nometer "go.opentelemetry.io/otel/metric/noop"
	"go.opentelemetry.io/otel/propagation"
	"go.opentelemetry.io/otel/trace"
	notracer "go.opentelemetry.io/otel/trace/noop"
	"google.golang.org/grpc"
	"google.golang.org/grpc/stats"
	"google.golang.org/grpc/status"
)

// Telemetry is where a server tells what it does; nowhere by default.
type Telemetry struct {
	Traces trace.TracerProvider
	Meters metric.MeterProvider
}

func (t Telemetry) withDefaults() Telemetry {
	if t.Traces == nil {
		t.Traces = notracer.NewTracerProvider()
	}
	if t.Meters == nil {
		t.Meters = nometer.NewMeterProvider()
	}
	return t
}

// options take the caller's trace along (W3C Trace Context), and not its
// baggage, which nobody here reads.
func (t Telemetry) options() []otelgrpc.Option {
	return []otelgrpc.Option{otelgrpc.WithTracerProvider(t.Traces), otelgrpc.WithMeterProvider(t.Meters), otelgrpc.WithPropagators(propagation.TraceContext{})}
}

// WithinTrace is a dial option for a connection to a server in this process: a
// call goes on in the trace that it is made in. It is counted by the server
// alone.
func (t Telemetry) WithinTrace() grpc.DialOption {
	t = t.withDefaults()
	t.Meters = nometer.NewMeterProvider()
	return grpc.WithStatsHandler(codesAlone{otelgrpc.NewClientHandler(t.options()...)})
}

// codesAlone tells how calls end without their messages, which may say what the
// caller wrote: the request id leads to the log.
type codesAlone struct{ stats.Handler }

// HandleRPC implements stats.Handler.
func (c codesAlone) HandleRPC(ctx context.Context, event stats.RPCStats) {
	if end, ok := event.(*stats.End); ok && end.Error != nil {
		silent := *end
		silent.Error = status.New(status.Code(end.Error), "").Err()
		event = &silent
	}
	c.Handler.HandleRPC(ctx, event)
}

// unknownMethod stands in spans and metrics for every method that this server
// does not have, since a caller may name any number of them.
const unknownMethod = "/_OTHER"

// rpcStats are OpenTelemetry's spans and metrics of calls, by the names of
// methods that there are. Probes, such as health checks, have neither.
//
// It also sees the calls that gRPC answers before any interceptor: what is
// packed in a way that this server does not know. Their answers have no request
// id, but they are logged and counted.
type rpcStats struct {
	stats.Handler
	known   func(method string) bool
	observe observer
}

// arrival is a call that came in.
type arrival struct {
	method   string
	observed bool
}

type arrivalKey struct{}

// TagRPC implements stats.Handler.
func (s rpcStats) TagRPC(ctx context.Context, info *stats.RPCTagInfo) context.Context {
	ctx = context.WithValue(ctx, arrivalKey{}, &arrival{method: info.FullMethodName})
	if !s.known(info.FullMethodName) {
		named := *info
		named.FullMethodName = unknownMethod
		info = &named
	}
	return s.Handler.TagRPC(ctx, info)
}

// HandleRPC implements stats.Handler.
func (s rpcStats) HandleRPC(ctx context.Context, event stats.RPCStats) {
	if end, ok := event.(*stats.End); ok && end.Error != nil {
		if a, ok := ctx.Value(arrivalKey{}).(*arrival); ok && !a.observed {
			_ = s.observe.finish(nameCall(ctx), clip(a.method, mostMethodBytes), end.BeginTime, nil, end.Error) // it is answered already
		}
	}
	s.Handler.HandleRPC(ctx, event)
}

// stats is the server's; known says whether it has a method.
func (t Telemetry) stats(known func(method string) bool, observe observer) grpc.ServerOption {
	options := append(t.options(), otelgrpc.WithFilter(func(info *stats.RPCTagInfo) bool { return !strings.HasPrefix(info.FullMethodName, openMethods) }))
	return grpc.StatsHandler(rpcStats{codesAlone{otelgrpc.NewServerHandler(options...)}, known, observe})
}
