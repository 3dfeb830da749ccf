package telemetry

import (
	"slices"
	"strings"

	"go.opentelemetry.io/otel/attribute"
	"go.opentelemetry.io/otel/sdk/metric"
)

// kept are the metrics of the libraries that are told, and of each the labels
// that are: each has few values, whatever callers send. What has no row here is
// dropped.
var kept = map[string][]attribute.Key{
	"rpc.server.call.duration":     {"rpc.method", "rpc.response.status_code"},
	"http.server.request.duration": {"http.request.method", "http.route", "http.response.status_code"},

	"db.client.operation.duration": {"pgx.operation.type"},
	"db.client.operation.errors":   {"pgx.operation.type"},

	"pgxpool.acquires":                {poolName},
	"pgxpool.acquire_duration":        {poolName},
	"pgxpool.acquired_connections":    {poolName},
	"pgxpool.canceled_acquires":       {poolName},
	"pgxpool.empty_acquire":           {poolName},
	"pgxpool.empty_acquire_wait_time": {poolName},
	"pgxpool.idle_connections":        {poolName},
	"pgxpool.max_connections":         {poolName},
	"pgxpool.new_connections":         {poolName},

	"river.work_count":              {"kind", "queue", "status"},
	"river.work_duration_histogram": {"kind", "queue", "status"},
}

// seconds are the bounds of histograms whose own do not suit: a call takes from
// a few milliseconds to the ten minutes of a long import, a job up to two.
var seconds = map[string][]float64{
	"rpc.server.call.duration":      {0.0025, 0.005, 0.01, 0.02, 0.03, 0.05, 0.1, 0.25, 0.5, 1, 2.5, 10, 60},
	"river.work_duration_histogram": {0.005, 0.01, 0.05, 0.1, 0.5, 1, 2.5, 10, 30, 60, 120},
}

const poolName = "db.client.connection.pool.name"

// ours begins the names of our own metrics, whose labels we choose where they
// are counted.
const ours = "wattle."

// chosen implements metric.View.
func chosen(i metric.Instrument) (metric.Stream, bool) {
	s := metric.Stream{Name: i.Name, Description: i.Description, Unit: i.Unit}
	if strings.HasPrefix(i.Name, ours) {
		return s, true
	}
	labels, ok := kept[i.Name]
	if !ok {
		s.Aggregation = metric.AggregationDrop{}
		return s, true
	}
	if bounds := seconds[i.Name]; bounds != nil {
		s.Aggregation = metric.AggregationExplicitBucketHistogram{Boundaries: bounds}
	}
	s.AttributeFilter = func(kv attribute.KeyValue) bool { return slices.Contains(labels, kv.Key) }
	return s, true
}
