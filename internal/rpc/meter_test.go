package rpc

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"testing"

	"go.opentelemetry.io/otel/attribute"
	"go.opentelemetry.io/otel/sdk/metric"
	"go.opentelemetry.io/otel/sdk/metric/metricdata"
	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"

	wattlev1 "wattle/api/wattle/v1"
)

// scraped is what a server counts, as lines of text.
type scraped struct {
	reader   *metric.ManualReader
	provider *metric.MeterProvider
}

func newScraped() scraped {
	reader := metric.NewManualReader()
	return scraped{reader, metric.NewMeterProvider(metric.WithReader(reader))}
}

// text has a line NAME{LABELS} COUNT for each series, in order.
func (s scraped) text(t *testing.T) string {
	t.Helper()
	var all metricdata.ResourceMetrics
	if err := s.reader.Collect(context.Background(), &all); err != nil {
		t.Fatal(err)
	}
	var lines []string
	add := func(name string, labels attribute.Set, count any) {
		var text []string
		for _, kv := range labels.ToSlice() {
			text = append(text, string(kv.Key)+"="+kv.Value.String())
		}
		lines = append(lines, fmt.Sprintf("%s{%s} %v\n", name, strings.Join(text, ","), count))
	}
	for _, scope := range all.ScopeMetrics {
		for _, m := range scope.Metrics {
			switch data := m.Data.(type) {
			case metricdata.Sum[int64]:
				for _, p := range data.DataPoints {
					add(m.Name, p.Attributes, p.Value)
				}
			case metricdata.Histogram[float64]:
				for _, p := range data.DataPoints {
					add(m.Name, p.Attributes, p.Count)
				}
			default:
				t.Errorf("%s is a %T", m.Name, data)
			}
		}
	}
	slices.Sort(lines)
	return strings.Join(lines, "")
}

// What became of quotes, price lists and replays is counted, and who asked is
// no label.
func TestOutcomesAreCounted(t *testing.T) {
	meters := newScraped()
	o := openOffice(t, Config{Telemetry: Telemetry{Meters: meters.provider}})
	before := meters.text(t)
	for _, zero := range []string{"wattle.replays{identical=false} 0\n", "wattle.quotes{outcome=failed} 0\n", "wattle.call.errors{code=INTERNAL,reason=INTERNAL} 0\n"} {
		if !strings.Contains(before, zero) {
			t.Errorf("no %q before any call:\n%s", zero, before)
		}
	}
	_, err := o.quotes.CreateQuote(t.Context(), job("no-prices"))
	wants(t, err, codes.FailedPrecondition, reasonOf(err))
	missing := reasonOf(err)
	if _, err := o.importList(t, "dry", market("2026-03-01", "18.40"), func(h *wattlev1.ImportPricesRequest_Header) { h.DryRun = true }); err != nil {
		t.Fatal(err)
	}
	imported, err := o.importList(t, "list", market("2026-03-01", "18.40"))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := o.importList(t, "bad", "item;price\n"); err == nil {
		t.Error("a list that cannot be read is imported")
	}
	quote := o.create(t, job("crm-1"))
	if _, err := o.quotes.ReplayQuote(t.Context(), &wattlev1.ReplayQuoteRequest{Name: quote.GetName()}); err != nil {
		t.Fatal(err)
	}
	got := meters.text(t)
	for _, want := range []string{
		"wattle.quotes{outcome=made} 1\n", "wattle.quotes{outcome=refused} 1\n", "wattle.quotes{outcome=failed} 0\n",
		"wattle.call.errors{code=FAILED_PRECONDITION,reason=" + missing + "} 1\n",
		"wattle.imports{outcome=checked} 1\n", "wattle.imports{outcome=made} 1\n", "wattle.imports{outcome=refused} 1\n",
		fmt.Sprintf("wattle.imports.changes{} %d\n", imported.GetCounts().GetAdded()),
		"wattle.replays{identical=true} 1\n", "wattle.replays{identical=false} 0\n",
	} {
		if !strings.Contains(got, want) {
			t.Errorf("no %q in\n%s", want, got)
		}
	}
	if strings.Contains(got, "harrow") || strings.Contains(got, "crm-") {
		t.Errorf("a label says who:\n%s", got)
	}
}

// However many methods a caller makes up, there is one name for them.
func TestUnknownMethodsAreOneLabel(t *testing.T) {
	meters := newScraped()
	o := openOffice(t, Config{Telemetry: Telemetry{Meters: meters.provider}})
	for i := range 50 {
		var answer []byte
		_ = o.conn.Invoke(t.Context(), fmt.Sprintf("/made.up.S%d/M%d", i, i), []byte{}, &answer, grpc.ForceCodec(bytesCodec{})) // refused
	}
	if got := meters.text(t); strings.Contains(got, "made.up") || !strings.Contains(got, "rpc.method=_OTHER") {
		t.Errorf("%s", got)
	}
}
