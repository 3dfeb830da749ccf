package rpc

import (
	"io"
	"net/http"
	"net/http/httptest"
	"testing"

	statuspb "google.golang.org/genproto/googleapis/rpc/status"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/reflect/protoreflect"
	"google.golang.org/protobuf/types/dynamicpb"

	"wattle/internal/rest"
	"wattle/internal/rest/resttest"
)

// caller makes calls of any method with one key, messages written as JSON, and
// gives the error of the answer.
type caller func(t *testing.T, m protoreflect.MethodDescriptor, messages ...string) error

// way is how calls reach the server: what may be done is the same by each.
type way struct {
	name string
	// takes reports whether it has the method.
	takes func(protoreflect.MethodDescriptor) bool
	// as calls with a key; an empty secret sends none.
	as func(t *testing.T, b *branches, secret string) caller
}

var everyWay = []way{
	{"gRPC", func(protoreflect.MethodDescriptor) bool { return true }, func(t *testing.T, b *branches, secret string) caller {
		conn := b.as(t, secret)
		return func(t *testing.T, m protoreflect.MethodDescriptor, messages ...string) error {
			t.Helper()
			return call(t, conn, m, messages...)
		}
	}},
	{"HTTP", func(m protoreflect.MethodDescriptor) bool { return !m.IsStreamingClient() }, func(t *testing.T, b *branches, secret string) caller {
		handler, err := rest.New(b.as(t, ""), rest.Config{Log: discard})
		if err != nil {
			t.Fatal(err)
		}
		gateway := httptest.NewServer(handler)
		t.Cleanup(gateway.Close)
		return func(t *testing.T, m protoreflect.MethodDescriptor, messages ...string) error {
			t.Helper()
			return callHTTP(t, gateway.URL, secret, m, messages[0])
		}
	}},
}

// callHTTP is call over HTTP, by the method's rule.
func callHTTP(t *testing.T, base, secret string, m protoreflect.MethodDescriptor, message string) error {
	t.Helper()
	in := dynamicpb.NewMessage(m.Input())
	if err := protojson.Unmarshal([]byte(message), in); err != nil {
		t.Fatalf("%s: %v", path(m), err)
	}
	if err := resttest.Name(m.FullName(), in); err != nil {
		t.Fatal(err)
	}
	request, err := resttest.Request(t.Context(), base, m.FullName(), in)
	if err != nil {
		t.Fatal(err)
	}
	if secret != "" {
		request.Header.Set("Authorization", "Bearer "+secret)
	}
	response, err := http.DefaultClient.Do(request)
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = response.Body.Close() }()
	body, err := io.ReadAll(response.Body)
	if err != nil {
		t.Fatal(err)
	}
	if response.StatusCode == http.StatusOK {
		return nil
	}
	told := &statuspb.Status{}
	if err := protojson.Unmarshal(body, told); err != nil {
		t.Fatalf("%s: %s, no status: %s", path(m), response.Status, body)
	}
	return status.ErrorProto(told)
}
