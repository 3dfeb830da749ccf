package rest_test

import (
	"encoding/json"
	"net/http"
	"sort"
	"strings"
	"testing"

	"github.com/getkin/kin-openapi/openapi3"
	"google.golang.org/protobuf/reflect/protoreflect"
	"google.golang.org/protobuf/reflect/protoregistry"

	"wattle/internal/rest"
	"wattle/internal/rest/resttest"
)

// served is the OpenAPI document as the gateway serves it.
func served(t *testing.T, base string) *openapi3.T {
	t.Helper()
	response, body := ask(t, http.MethodGet, base+"/openapi.json", "")
	if response.StatusCode != http.StatusOK || response.Header.Get("Content-Type") != "application/json" {
		t.Fatalf("%s %s", response.Status, response.Header.Get("Content-Type"))
	}
	doc, err := openapi3.NewLoader().LoadFromData([]byte(body))
	if err != nil {
		t.Fatal(err)
	}
	return doc
}

func TestOpenAPIIsValid(t *testing.T) {
	_, base := startEcho(t, rest.Config{})
	doc := served(t, base)
	if err := doc.Validate(t.Context()); err != nil {
		t.Error(err)
	}
	if doc.Info.Title != "Wattle" || !strings.HasPrefix(doc.OpenAPI, "3.") {
		t.Errorf("%s, OpenAPI %s", doc.Info.Title, doc.OpenAPI)
	}
	if key := doc.Components.SecuritySchemes["key"]; len(doc.Security) != 1 || key.Value.Type != "http" || key.Value.Scheme != "bearer" {
		t.Errorf("security: %v", doc.Security)
	}
}

// The document has each rule as an operation and nothing besides, with what its
// RPC's comment says, and every field of the API with what its comment says.
func TestOpenAPIHasEveryRule(t *testing.T) {
	_, base := startEcho(t, rest.Config{})
	doc := served(t, base)
	var want, got []string
	for _, r := range rules(t) {
		parts := strings.Split(r.RPC, ".")
		want = append(want, r.Method+" "+shape(r)+" "+parts[len(parts)-2]+"_"+parts[len(parts)-1])
	}
	for path, item := range doc.Paths.Map() {
		for method, operation := range item.Operations() {
			got = append(got, method+" "+blank(path)+" "+strings.TrimRight(operation.OperationID, "0123456789"))
			if operation.Summary == "" || len(operation.Tags) != 1 {
				t.Errorf("%s says nothing, or is of no service", operation.OperationID)
			}
			if operation.Responses.Default() == nil {
				t.Errorf("%s has no errors", operation.OperationID)
			}
		}
	}
	sort.Strings(want)
	sort.Strings(got)
	if strings.Join(got, "\n") != strings.Join(want, "\n") {
		t.Errorf("the document has\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
	fields := 0
	for name, schema := range doc.Components.Schemas {
		found, err := protoregistry.GlobalFiles.FindDescriptorByName(protoreflect.FullName(name))
		message, ok := found.(protoreflect.MessageDescriptor)
		if err != nil || !ok || !strings.HasPrefix(name, "wattle.") {
			continue
		}
		for field, says := range schema.Value.Properties {
			fields++
			if message.Fields().ByJSONName(field) == nil {
				t.Errorf("%s has no field %s", name, field)
			}
			if says.Value == nil || says.Value.Description == "" {
				t.Errorf("%s.%s says nothing", name, field)
			}
		}
	}
	if fields < 300 {
		t.Errorf("only %d fields were found", fields)
	}
}

// shape is a rule's path with nothing in its parameters, as blank makes it.
func shape(r resttest.Rule) string {
	path := r.Path
	for field, pattern := range r.Fields() {
		path = strings.Replace(path, "{"+field+"="+pattern+"}", strings.ReplaceAll(pattern, "*", "{}"), 1)
		path = strings.Replace(path, "{"+field+"}", "{}", 1)
	}
	return path
}

func blank(path string) string {
	var out strings.Builder
	for part := range strings.SplitSeq(path, "{") {
		if _, after, ok := strings.Cut(part, "}"); ok {
			out.WriteString("{}" + after)
		} else {
			out.WriteString(part)
		}
	}
	return out.String()
}

// follows fails unless an answer is what the document says its route answers.
func follows(t *testing.T, doc *openapi3.T, route, body string) {
	t.Helper()
	method, path, _ := strings.Cut(route, " ")
	item := doc.Paths.Find(path)
	if item == nil {
		t.Fatalf("the document has no %s", path)
	}
	answer := item.GetOperation(method).Responses.Status(http.StatusOK).Value.Content.Get("application/json")
	var value any
	if err := json.Unmarshal([]byte(body), &value); err != nil {
		t.Fatal(err)
	}
	if err := answer.Schema.Value.VisitJSON(value, openapi3.MultiErrors()); err != nil {
		t.Errorf("%s: %v", route, err)
	}
}
