package telemetry

import (
	"context"
	"errors"
	"sync"
	"time"

	"go.opentelemetry.io/otel/attribute"
	"go.opentelemetry.io/otel/metric"

	"wattle/internal/postgres"
)

func poolNameOf(name string) attribute.KeyValue { return attribute.String(poolName, name) }

// Store is what is asked of a store at a scrape.
type Store interface {
	Backlog(ctx context.Context) ([]postgres.Backlog, error)
}

const (
	// asking is how long the database may take to answer a scrape.
	asking = 2 * time.Second
	// lately is how long its answer holds, so that several who scrape ask once.
	lately = 5 * time.Second
)

// Watch tells how much waits in a store, and whether its database answers: that
// a connection was had and a question answered within 2 s.
func (t *Telemetry) Watch(store Store) error {
	meter := t.Meters.Meter(scope)
	var failed error
	gauge := func(name, unit, what string) metric.Float64ObservableGauge {
		g, err := meter.Float64ObservableGauge(name, metric.WithUnit(unit), metric.WithDescription(what))
		failed = errors.Join(failed, err)
		return g
	}
	up := gauge("wattle.database.up", "", "1 where the database answered within 2 s, else 0")
	took := gauge("wattle.database.answer", "s", "how long the database took to answer that")
	type pair struct{ waiting, oldest metric.Float64ObservableGauge }
	gauges := map[string]pair{
		"jobs": {gauge("wattle.jobs.waiting", "", "jobs that could run now and do not, by queue; 10000 is that or more"),
			gauge("wattle.jobs.oldest", "s", "for how long the oldest of them could have run")},
		"events": {gauge("wattle.events.waiting", "", "events that have no position yet, so that no reader sees them"),
			gauge("wattle.events.oldest", "s", "age of the oldest of them")},
		"deliveries": {gauge("wattle.webhook.deliveries", "", "webhook deliveries that are waiting to be tried, or dead: given up within the last day and not asked for again"),
			gauge("wattle.webhook.deliveries.oldest", "s", "age of the oldest of them")},
		"imports": {gauge("wattle.imports.open", "", "price lists that are sent in parts and not committed"),
			gauge("wattle.imports.oldest", "s", "age of the oldest of them")},
	}
	if failed != nil {
		return failed
	}
	all := []metric.Observable{up, took}
	for _, g := range gauges {
		all = append(all, g.waiting, g.oldest)
	}
	ask := asker{store: store}
	_, err := meter.RegisterCallback(func(ctx context.Context, o metric.Observer) error {
		answer := ask.now(ctx)
		o.ObserveFloat64(took, answer.took.Seconds())
		if answer.up {
			o.ObserveFloat64(up, 1)
		} else { // what waits is not known, which is not that nothing does
			o.ObserveFloat64(up, 0)
		}
		for _, b := range answer.backlog {
			g, ok := gauges[b.What]
			if !ok {
				continue // a newer schema's
			}
			label := metric.WithAttributes(partOf(b)...)
			o.ObserveFloat64(g.waiting, float64(b.Waiting), label)
			o.ObserveFloat64(g.oldest, b.OldestSeconds, label)
		}
		return nil
	}, all...)
	return err
}

func partOf(b postgres.Backlog) []attribute.KeyValue {
	switch b.What {
	case "jobs":
		return []attribute.KeyValue{attribute.String("queue", b.Part)}
	case "deliveries":
		return []attribute.KeyValue{attribute.String("state", b.Part)}
	default:
		return nil
	}
}

// asker asks a store, once for all who want to know at about the same time.
type asker struct {
	store Store
	mu    sync.Mutex
	last  answer
}

type answer struct {
	at      time.Time
	took    time.Duration
	backlog []postgres.Backlog
	up      bool
}

func (a *asker) now(ctx context.Context) answer {
	a.mu.Lock()
	defer a.mu.Unlock()
	if a.last.at.IsZero() || time.Since(a.last.at) > lately {
		ctx, cancel := context.WithTimeout(ctx, asking)
		defer cancel()
		start := time.Now()
		backlog, err := a.store.Backlog(ctx)
		a.last = answer{time.Now(), time.Since(start), backlog, err == nil}
	}
	return a.last
}

// Ready tells whether the service says of itself that it can answer calls.
func (t *Telemetry) Ready(ready func() bool) error {
	_, err := t.Meters.Meter(scope).Int64ObservableGauge("wattle.ready",
		metric.WithDescription("1 where the service says that it can answer calls, else 0"),
		metric.WithInt64Callback(func(_ context.Context, o metric.Int64Observer) error {
			if ready() {
				o.Observe(1)
			} else {
				o.Observe(0)
			}
			return nil
		}))
	return err
}

// scope names this program's own instruments.
const scope = "wattle"
