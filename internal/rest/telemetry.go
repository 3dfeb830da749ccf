package rest

import (
	"net/http"

	"github.com/grpc-ecosystem/grpc-gateway/v2/runtime"
	"go.opentelemetry.io/contrib/instrumentation/net/http/otelhttp"
	"go.opentelemetry.io/otel/attribute"
	"go.opentelemetry.io/otel/metric"
	nometer "go.opentelemetry.io/otel/metric/noop"
	"go.opentelemetry.io/otel/propagation"
	"go.opentelemetry.io/otel/trace"
	notracer "go.opentelemetry.io/otel/trace/noop"
)

// Telemetry is where the gateway tells what it does; nowhere by default.
type Telemetry struct {
	Traces trace.TracerProvider
	Meters metric.MeterProvider
}

const (
	routeAttribute     = attribute.Key("http.route")
	requestIDAttribute = attribute.Key("wattle.request_id") // as the service has it on the call's span
)

// traced begins a span for each request, or goes on in the caller's trace (W3C
// Trace Context), and measures it. Probes have neither.
func (t Telemetry) traced(next http.Handler) http.Handler {
	if t.Traces == nil {
		t.Traces = notracer.NewTracerProvider()
	}
	if t.Meters == nil {
		t.Meters = nometer.NewMeterProvider()
	}
	return otelhttp.NewHandler(next, "http",
		otelhttp.WithTracerProvider(t.Traces), otelhttp.WithMeterProvider(t.Meters),
		otelhttp.WithPropagators(propagation.TraceContext{}),
		// A path names companies and quotes, so it is no name of a kind of request.
		otelhttp.WithSpanNameFormatter(func(string, *http.Request) string { return "HTTP" }),
		otelhttp.WithFilter(func(r *http.Request) bool { return r.URL.Path != "/healthz" && r.URL.Path != "/readyz" }))
}

// routed names the span of a request by its route, once that is known.
func routed(next runtime.HandlerFunc) runtime.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request, path map[string]string) {
		if pattern, ok := runtime.HTTPPattern(r.Context()); ok {
			route := routeAttribute.String(pattern.String())
			if labels, ok := otelhttp.LabelerFromContext(r.Context()); ok {
				labels.Add(route)
			}
			span := trace.SpanFromContext(r.Context())
			span.SetName(r.Method + " " + pattern.String())
			span.SetAttributes(route)
		}
		next(w, r, path)
	}
}
