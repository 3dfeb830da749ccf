package rest_test

import (
	"net/http"
	"strings"
	"testing"

	"google.golang.org/protobuf/reflect/protoreflect"
	"google.golang.org/protobuf/reflect/protoregistry"

	_ "wattle/api/wattle/v1"
	"wattle/internal/rest/resttest"
)

// methods are all of the API's RPCs, from its descriptors.
func methods() (all []protoreflect.MethodDescriptor) {
	protoregistry.GlobalFiles.RangeFilesByPackage("wattle.v1", func(file protoreflect.FileDescriptor) bool {
		for i := range file.Services().Len() {
			for j := range file.Services().Get(i).Methods().Len() {
				all = append(all, file.Services().Get(i).Methods().Get(j))
			}
		}
		return true
	})
	return all
}

func rules(t testing.TB) []resttest.Rule {
	t.Helper()
	all, err := resttest.Rules()
	if err != nil {
		t.Fatal(err)
	}
	return all
}

// Every RPC has a rule, but those to which a client streams: HTTP has nothing
// for them. That a rule's route is really served is TestRequestsArrive's.
func TestEveryRPCHasARule(t *testing.T) {
	ruled := map[string]bool{}
	for _, r := range rules(t) {
		ruled[r.RPC] = true
	}
	known := map[string]bool{}
	for _, m := range methods() {
		name := string(m.FullName())
		known[name] = true
		switch {
		case m.IsStreamingClient() && ruled[name]:
			t.Errorf("%s takes a stream, and has a rule", name)
		case !m.IsStreamingClient() && !ruled[name]:
			t.Errorf("%s has no rule: write one in api/wattle/v1/http.yaml, then run internal/tools/generate", name)
		}
	}
	if len(known) < 20 {
		t.Errorf("only %d RPCs were found", len(known))
	}
	for name := range ruled {
		if !known[name] {
			t.Errorf("api/wattle/v1/http.yaml has a rule for %s, which is no RPC", name)
		}
	}
}

// The form of the rules, on which reading a request rests: a GET and a DELETE
// have no body, a POST has nothing but its body and its path. What a path holds
// is a resource's name, or the name its collection stands under.
func TestRulesAreOfOneForm(t *testing.T) {
	seen := map[string]string{}
	for _, r := range rules(t) {
		switch {
		case r.Method == http.MethodPost && r.Body != "*":
			t.Errorf("%s: a POST has the whole request as its body, not %q", r.RPC, r.Body)
		case r.Method == http.MethodPatch && r.Fields()[r.Body+".name"] == "":
			t.Errorf("%s: a PATCH has the resource as its body, named by the path", r.RPC)
		case (r.Method == http.MethodGet || r.Method == http.MethodDelete) && r.Body != "":
			t.Errorf("%s: a %s has no body", r.RPC, r.Method)
		}
		if !strings.HasPrefix(r.Path, "/v1/") {
			t.Errorf("%s: %s is not of version 1", r.RPC, r.Path)
		}
		route := r.Method + " " + r.Path
		if other, twice := seen[route]; twice {
			t.Errorf("%s and %s have the same route, %s", r.RPC, other, route)
		}
		seen[route] = r.RPC
	}
}
