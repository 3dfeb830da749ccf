package main

import (
	"io"
	"net/http"
	"net/http/httptest"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	collector "go.opentelemetry.io/proto/otlp/collector/trace/v1"
	common "go.opentelemetry.io/proto/otlp/common/v1"
	trace "go.opentelemetry.io/proto/otlp/trace/v1"
	"google.golang.org/protobuf/proto"
)

// spans is what a collector of traces was sent, by OTLP over HTTP.
type spans struct {
	url string
	mu  sync.Mutex
	all []*trace.Span
}

func collect(t *testing.T) *spans {
	t.Helper()
	s := &spans{}
	server := httptest.NewServer(http.HandlerFunc(func(_ http.ResponseWriter, r *http.Request) {
		body, err := io.ReadAll(r.Body)
		sent := &collector.ExportTraceServiceRequest{}
		if err == nil {
			err = proto.Unmarshal(body, sent)
		}
		if err != nil || r.URL.Path != "/v1/traces" {
			t.Errorf("%s: %v", r.URL.Path, err)
			return
		}
		s.mu.Lock()
		defer s.mu.Unlock()
		for _, of := range sent.GetResourceSpans() {
			for _, scope := range of.GetScopeSpans() {
				s.all = append(s.all, scope.GetSpans()...)
			}
		}
	}))
	t.Cleanup(server.Close)
	s.url = server.URL
	return s
}

// wait is every span that came, once enough holds of them.
func (s *spans) wait(t *testing.T, enough func([]*trace.Span) bool) []*trace.Span {
	t.Helper()
	for end := time.Now().Add(60 * time.Second); ; time.Sleep(20 * time.Millisecond) {
		s.mu.Lock()
		all := slices.Clone(s.all)
		s.mu.Unlock()
		if enough(all) {
			return all
		}
		if time.Now().After(end) {
			t.Fatalf("the spans do not come; there are\n%s", tree(all))
		}
	}
}

// attr is a span's attribute, as text.
func attr(s *trace.Span, name string) string {
	for _, kv := range s.GetAttributes() {
		if kv.GetKey() == name {
			return textOf(kv.GetValue())
		}
	}
	return ""
}

func textOf(v *common.AnyValue) string {
	if text, ok := v.GetValue().(*common.AnyValue_StringValue); ok {
		return text.StringValue
	}
	return v.String()
}

// tree is spans as a person reads them, each under the one it is part of.
func tree(all []*trace.Span) string {
	var out strings.Builder
	var under func(parent []byte, indent string)
	under = func(parent []byte, indent string) {
		for _, s := range all {
			known := slices.ContainsFunc(all, func(o *trace.Span) bool { return string(o.GetSpanId()) == string(s.GetParentSpanId()) })
			if string(s.GetParentSpanId()) != string(parent) && (parent != nil || known) {
				continue
			}
			took := time.Duration(s.GetEndTimeUnixNano() - s.GetStartTimeUnixNano())
			out.WriteString(indent + s.GetName() + " (" + s.GetKind().String() + ", " + took.Round(10*time.Microsecond).String() + ")\n")
			under(s.GetSpanId(), indent+"  ")
		}
	}
	under(nil, "")
	return out.String()
}
