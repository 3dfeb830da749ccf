package correlate

import (
	"context"
	"encoding/json"

	"go.opentelemetry.io/otel/propagation"
	"go.opentelemetry.io/otel/trace"
)

// note is what a job keeps of the work that left it behind, beside its
// arguments: the request's id, and the trace by the names of W3C Trace Context,
// where the queue's own tracing looks for it.
type note struct {
	RequestID   string `json:"request_id,omitempty"`
	Traceparent string `json:"traceparent,omitempty"`
	Tracestate  string `json:"tracestate,omitempty"`
}

// Metadata is the note for a job that this work leaves behind, as JSON; nil
// where there is nothing to note.
func Metadata(ctx context.Context) []byte {
	n := note{RequestID: Request(ctx)}
	if trace.SpanContextFromContext(ctx).IsValid() {
		carrier := propagation.MapCarrier{}
		propagation.TraceContext{}.Inject(ctx, carrier)
		n.Traceparent, n.Tracestate = carrier["traceparent"], carrier["tracestate"]
	}
	if n == (note{}) {
		return nil
	}
	text, err := json.Marshal(n)
	if err != nil { // three strings can always be written
		return nil
	}
	return text
}

// WithNoteOf is ctx with the request id that a job's note has. The trace is not
// taken over: a job may run days later, so its trace is its own and points to
// the one that made it.
func WithNoteOf(ctx context.Context, metadata []byte) context.Context {
	var n note
	if json.Unmarshal(metadata, &n) != nil || n.RequestID == "" {
		return ctx
	}
	return WithRequest(ctx, n.RequestID)
}
