package rest_test

import (
	"bytes"
	"context"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"go.opentelemetry.io/otel/sdk/trace"
	"go.opentelemetry.io/otel/sdk/trace/tracetest"
	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"

	"wattle/internal/rest"
)

// broken is a connection on which nothing goes well.
type broken struct{ grpc.ClientConnInterface }

func (broken) Invoke(context.Context, string, any, any, ...grpc.CallOption) error { panic("a defect") }

// A panic in the gateway is an error like others, with its request id, and the
// log says where; the gateway goes on.
func TestPanicIsAnError(t *testing.T) {
	var log bytes.Buffer
	recorded := tracetest.NewSpanRecorder()
	handler, err := rest.New(broken{}, rest.Config{
		Log:       slog.New(slog.NewJSONHandler(&log, nil)),
		Telemetry: rest.Telemetry{Traces: trace.NewTracerProvider(trace.WithSpanProcessor(recorded))},
	})
	if err != nil {
		t.Fatal(err)
	}
	server := httptest.NewServer(handler)
	for range 2 {
		response, body := ask(t, http.MethodGet, server.URL+"/v1/families", "", "X-Request-Id", "crm-9")
		if st := failed(t, response, body); st.Code() != codes.Internal || response.StatusCode != http.StatusInternalServerError || response.Header.Get("X-Request-Id") != "crm-9" {
			t.Errorf("%s %v", response.Status, st)
		}
		if strings.Contains(body, "defect") {
			t.Errorf("the caller is told %s", body)
		}
	}
	server.Close() // waits for what is under way
	spans := recorded.Ended()
	if len(spans) != 2 || spans[0].Name() != "GET /v1/families" {
		t.Fatalf("spans %v", spans)
	}
	for _, want := range []string{`"a defect"`, "telemetry_test.go", `"request_id":"crm-9"`, `"trace_id":"` + spans[0].SpanContext().TraceID().String() + `"`, `"status":500`} {
		if !strings.Contains(log.String(), want) {
			t.Errorf("no %s in the log: %s", want, &log)
		}
	}
}

// A span is named by its route, never by its address; probes have none.
func TestSpansAreNamedByRoute(t *testing.T) {
	recorded := tracetest.NewSpanRecorder()
	handler, err := rest.New(broken{}, rest.Config{Log: slog.New(slog.DiscardHandler), Telemetry: rest.Telemetry{Traces: trace.NewTracerProvider(trace.WithSpanProcessor(recorded))}})
	if err != nil {
		t.Fatal(err)
	}
	server := httptest.NewServer(handler)
	for _, address := range []string{"/v1/companies/harrow/quotes/q1", "/v1/nobody/knows", "/healthz", "/readyz"} {
		ask(t, http.MethodGet, server.URL+address, "")
	}
	server.Close() // waits for what is under way
	var names []string
	for _, s := range recorded.Ended() {
		names = append(names, s.Name())
	}
	if got := strings.Join(names, ", "); got != "GET /v1/{name=companies/*/quotes/*}, HTTP" {
		t.Errorf("%s", got)
	}
}
