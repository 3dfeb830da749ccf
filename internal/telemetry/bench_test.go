package telemetry

import (
	"context"
	"log/slog"
	"testing"

	"github.com/jackc/pgx/v5"
	"go.opentelemetry.io/otel/sdk/trace"
	"go.opentelemetry.io/otel/sdk/trace/tracetest"

	"wattle/internal/postgres/storetest"
)

// BenchmarkStatement is what telling costs a statement: one that does nothing, in
// the span of a call. A quote takes some 20.
func BenchmarkStatement(b *testing.B) {
	_, db := storetest.NewWithDB(b)
	off := Off()
	metrics, err := New(context.Background(), Config{Service: "bench", Metrics: true, Log: slog.New(slog.DiscardHandler)})
	if err != nil {
		b.Fatal(err)
	}
	// Sent to nobody, in batches as to a collector.
	traces := Off()
	traces.Meters = metrics.Meters
	traces.Traces = trace.NewTracerProvider(trace.WithBatcher(tracetest.NewNoopExporter()))
	for _, c := range []struct {
		name   string
		tel    *Telemetry
		tracer pgx.QueryTracer
	}{
		{"untold", off, nil}, {"off", off, off.Statements()}, {"metrics", metrics, metrics.Statements()}, {"metrics-and-traces", traces, traces.Statements()},
	} {
		b.Run(c.name, func(b *testing.B) {
			config, err := pgx.ParseConfig(db.ServiceURL())
			if err != nil {
				b.Fatal(err)
			}
			config.Tracer = c.tracer
			ctx, span := c.tel.Traces.Tracer("bench").Start(context.Background(), "call")
			defer span.End()
			conn, err := pgx.ConnectConfig(ctx, config)
			if err != nil {
				b.Fatal(err)
			}
			defer func() { _ = conn.Close(ctx) }() // nothing is pending
			b.ReportAllocs()
			for b.Loop() {
				if _, err := conn.Exec(ctx, `select $1::int`, 1); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
