package correlate

import (
	"bytes"
	"context"
	"encoding/json"
	"log/slog"
	"testing"

	"go.opentelemetry.io/otel/propagation"
	"go.opentelemetry.io/otel/trace"
)

const (
	traceID = "4bf92f3577b34da6a3ce929d0e0e4736"
	spanID  = "00f067aa0ba902b7"
)

// traced is ctx within the example span of W3C Trace Context.
func traced(ctx context.Context) context.Context {
	return propagation.TraceContext{}.Extract(ctx, propagation.MapCarrier{"traceparent": "00-" + traceID + "-" + spanID + "-01"})
}

// line is what a logger writes of one word said within ctx.
func line(t *testing.T, ctx context.Context, twice bool) map[string]any { //nolint:revive // the context is what is tested
	t.Helper()
	var out bytes.Buffer
	log := Logger(slog.New(slog.NewJSONHandler(&out, nil)))
	if twice {
		log = Logger(log)
	}
	log.With("a", 1).InfoContext(ctx, "word")
	if bytes.Count(out.Bytes(), []byte("trace_id")) > 1 {
		t.Errorf("said twice: %s", &out)
	}
	var fields map[string]any
	if err := json.Unmarshal(out.Bytes(), &fields); err != nil {
		t.Fatal(err)
	}
	delete(fields, "time")
	return fields
}

func TestLogger(t *testing.T) {
	t.Parallel()
	all := WithJob(WithRequest(traced(t.Context()), "crm-1"), 17, "event")
	for _, c := range []struct {
		name string
		ctx  context.Context
		want string
	}{
		{"nothing", t.Context(), `{"a":1,"level":"INFO","msg":"word"}`},
		{"a call without a trace", WithRequest(t.Context(), "crm-1"), `{"a":1,"level":"INFO","msg":"word","request_id":"crm-1"}`},
		{"all", all, `{"a":1,"job":17,"job_kind":"event","level":"INFO","msg":"word","request_id":"crm-1","span_id":"` + spanID + `","trace_id":"` + traceID + `"}`},
	} {
		for _, twice := range []bool{false, true} {
			got, err := json.Marshal(line(t, c.ctx, twice))
			if err != nil || string(got) != c.want {
				t.Errorf("%s: %s, %v; want %s", c.name, got, err, c.want)
			}
		}
	}
}

// A job that a call leaves behind is found by the call's names.
func TestMetadata(t *testing.T) {
	t.Parallel()
	if note := Metadata(t.Context()); note != nil {
		t.Errorf("of nothing: %s", note)
	}
	note := Metadata(WithRequest(traced(t.Context()), "crm-1"))
	if want := `{"request_id":"crm-1","traceparent":"00-` + traceID + `-` + spanID + `-01"}`; string(note) != want {
		t.Errorf("%s, want %s", note, want)
	}
	ctx := WithNoteOf(t.Context(), note)
	if Request(ctx) != "crm-1" || trace.SpanContextFromContext(ctx).IsValid() {
		t.Errorf("request %q, %v", Request(ctx), trace.SpanContextFromContext(ctx))
	}
	for _, other := range []string{"", "{}", "null", `{"request_id":7}`, "[]", "{"} {
		if ctx := WithNoteOf(t.Context(), []byte(other)); Request(ctx) != "" {
			t.Errorf("%s: %q", other, Request(ctx))
		}
	}
}
