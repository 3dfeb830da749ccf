package telemetry

import (
	"cmp"
	"context"
	"fmt"
	"log/slog"
	"net/url"
	"os"
	"strings"
	"sync"
	"time"

	"go.opentelemetry.io/otel/attribute"
	"go.opentelemetry.io/otel/exporters/otlp/otlptrace/otlptracehttp"
	sdktrace "go.opentelemetry.io/otel/sdk/trace"
)

const (
	serviceName    = attribute.Key("service.name")
	serviceVersion = attribute.Key("service.version")
)

// tracesWanted reads the standard variables that say whether traces are sent,
// by the OpenTelemetry specification, but off where no address is named: nobody
// who runs one program wants it to look for a collector.
func tracesWanted() (bool, error) {
	if strings.EqualFold(os.Getenv("OTEL_SDK_DISABLED"), "true") {
		return false, nil
	}
	switch exporter := os.Getenv("OTEL_TRACES_EXPORTER"); exporter {
	case "", "otlp":
	case "none":
		return false, nil
	default:
		return false, fmt.Errorf("OTEL_TRACES_EXPORTER: expected otlp or none, found %q", exporter)
	}
	var named bool
	for _, name := range []string{"OTEL_EXPORTER_OTLP_TRACES_ENDPOINT", "OTEL_EXPORTER_OTLP_ENDPOINT"} {
		address := os.Getenv(name)
		if address == "" {
			continue
		}
		named = true
		if u, err := url.Parse(address); err != nil || u.Scheme != "http" && u.Scheme != "https" || u.Host == "" {
			return false, fmt.Errorf("%s: expected an address such as http://127.0.0.1:4318", name) // it may hold a password
		}
	}
	if !named {
		return false, nil
	}
	protocol := cmp.Or(os.Getenv("OTEL_EXPORTER_OTLP_TRACES_PROTOCOL"), os.Getenv("OTEL_EXPORTER_OTLP_PROTOCOL"), "http/protobuf")
	if protocol != "http/protobuf" {
		return false, fmt.Errorf("OTEL_EXPORTER_OTLP_PROTOCOL: expected http/protobuf, the only one spoken here, found %q", protocol)
	}
	return true, nil
}

// sending is how long one batch may take; OTEL_EXPORTER_OTLP_TIMEOUT says
// otherwise.
const sending = 10 * time.Second

func newTraceExporter(ctx context.Context) (sdktrace.SpanExporter, error) {
	return otlptracehttp.New(ctx, otlptracehttp.WithTimeout(sending))
}

// quiet logs what the SDK complains of, such as a collector that does not
// answer, once in a while and no oftener.
type quiet struct {
	log   *slog.Logger
	every time.Duration

	mu   sync.Mutex
	last time.Time
	kept int
}

func newQuiet(log *slog.Logger, every time.Duration) *quiet { return &quiet{log: log, every: every} }

// Handle implements otel.ErrorHandler.
func (q *quiet) Handle(err error) {
	q.mu.Lock()
	defer q.mu.Unlock()
	if !q.last.IsZero() && time.Since(q.last) < q.every {
		q.kept++
		return
	}
	q.log.Warn("telemetry is not told whole", "error", err.Error(), "not_logged", q.kept)
	q.last, q.kept = time.Now(), 0
}
