// Package telemetry makes what a process tells its operator about itself:
// metrics to be scraped, and traces to be sent where the environment says. It
// holds OpenTelemetry's SDK; who has something to tell (internal/rpc,
// internal/rest, internal/work) knows its API alone, and the use cases and the
// pure packages nothing.
//
// Nothing of a person and no value of a statement is in a metric or a span, and
// no company, key or quote is a metric's label.
package telemetry

import (
	"context"
	"errors"
	"log/slog"
	"net/http"
	"time"

	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/collectors"
	"github.com/prometheus/client_golang/prometheus/promhttp"
	"go.opentelemetry.io/otel"
	exporter "go.opentelemetry.io/otel/exporters/prometheus"
	"go.opentelemetry.io/otel/metric"
	nometer "go.opentelemetry.io/otel/metric/noop"
	sdkmetric "go.opentelemetry.io/otel/sdk/metric"
	"go.opentelemetry.io/otel/sdk/metric/exemplar"
	"go.opentelemetry.io/otel/sdk/resource"
	sdktrace "go.opentelemetry.io/otel/sdk/trace"
	"go.opentelemetry.io/otel/trace"
	notracer "go.opentelemetry.io/otel/trace/noop"
)

// Config says what is told.
type Config struct {
	// Service names the program in traces, where OTEL_SERVICE_NAME does not.
	Service string
	Version string
	// Metrics are kept for Handler; without them there are none.
	Metrics bool
	Log     *slog.Logger
}

// Telemetry is what a process tells. Its providers do nothing where nothing is
// asked for, and then cost next to nothing.
type Telemetry struct {
	Traces  trace.TracerProvider
	Meters  metric.MeterProvider
	log     *slog.Logger
	handler http.Handler
	flush   []func(context.Context) error
	tracing bool
}

// Off tells nothing.
func Off() *Telemetry {
	return &Telemetry{Traces: notracer.NewTracerProvider(), Meters: nometer.NewMeterProvider(), log: slog.New(slog.DiscardHandler), handler: http.NotFoundHandler()}
}

// New begins to tell. Traces go by OTLP over HTTP to where the standard
// OTEL_EXPORTER_OTLP_ENDPOINT, or OTEL_EXPORTER_OTLP_TRACES_ENDPOINT, says, and
// without either nowhere; the other OTEL_ variables of the SDK hold too
// (OTEL_TRACES_SAMPLER, OTEL_BSP_*, OTEL_RESOURCE_ATTRIBUTES). An address that
// nobody answers at hurts nothing but what is sent there; one that cannot be
// read is an error.
func New(ctx context.Context, config Config) (*Telemetry, error) {
	t := Off()
	t.log = config.Log
	otel.SetErrorHandler(newQuiet(config.Log, time.Minute))
	who, err := identity(ctx, config)
	if err != nil {
		return nil, err
	}
	if err := t.trace(ctx, who); err != nil {
		return nil, err
	}
	if config.Metrics {
		if err := t.measure(who); err != nil {
			return nil, errors.Join(err, t.Close())
		}
	}
	return t, nil
}

// identity is who tells. The environment's word comes last, so it holds.
func identity(ctx context.Context, config Config) (*resource.Resource, error) {
	return resource.New(ctx,
		resource.WithAttributes(serviceName.String(config.Service), serviceVersion.String(config.Version)),
		resource.WithFromEnv())
}

func (t *Telemetry) trace(ctx context.Context, who *resource.Resource) error {
	wanted, err := tracesWanted()
	if err != nil || !wanted {
		return err
	}
	out, err := newTraceExporter(ctx)
	if err != nil {
		return err
	}
	// Spans wait in a queue of a fixed length, and one that finds it full is dropped.
	provider := sdktrace.NewTracerProvider(sdktrace.WithResource(who), sdktrace.WithBatcher(out))
	t.Traces, t.tracing = provider, true
	t.flush = append(t.flush, provider.Shutdown)
	return nil
}

func (t *Telemetry) measure(who *resource.Resource) error {
	registry := prometheus.NewRegistry()
	registry.MustRegister(collectors.NewGoCollector(), collectors.NewProcessCollector(collectors.ProcessCollectorOpts{}))
	reader, err := exporter.New(exporter.WithRegisterer(registry), exporter.WithoutScopeInfo())
	if err != nil {
		return err
	}
	provider := sdkmetric.NewMeterProvider(sdkmetric.WithReader(reader), sdkmetric.WithResource(who),
		sdkmetric.WithView(chosen), sdkmetric.WithExemplarFilter(exemplar.AlwaysOffFilter))
	t.Meters = provider
	t.flush = append(t.flush, provider.Shutdown)
	t.handler = promhttp.HandlerFor(registry, promhttp.HandlerOpts{MaxRequestsInFlight: 4, ErrorLog: slog.NewLogLogger(t.log.Handler(), slog.LevelWarn)})
	return nil
}

// Handler answers a scrape in Prometheus's text format.
func (t *Telemetry) Handler() http.Handler { return t.handler }

// closing is how long the last spans have to be sent.
const closing = 2 * time.Second

// Close sends what is left, as far as that is quick.
func (t *Telemetry) Close() error {
	ctx, cancel := context.WithTimeout(context.Background(), closing)
	defer cancel()
	var err error
	for _, flush := range t.flush {
		err = errors.Join(err, flush(ctx))
	}
	return err
}
