// Openapi makes the OpenAPI 3 document that the gateway serves of the OpenAPI 2
// document that protoc-gen-openapiv2 makes (its generator for version 3 reads
// no rules from a file). It reads the one on standard input and writes the
// other to standard output. internal/tools/generate runs it.
package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"strings"

	"github.com/getkin/kin-openapi/openapi2"
	"github.com/getkin/kin-openapi/openapi2conv"
	"github.com/getkin/kin-openapi/openapi3"
)

func main() {
	if err := convert(os.Stdin, os.Stdout); err != nil {
		fmt.Fprintln(os.Stderr, "openapi:", err)
		os.Exit(1)
	}
}

func convert(r io.Reader, w io.Writer) error {
	given, err := io.ReadAll(r)
	if err != nil {
		return err
	}
	// Its singular of companies.
	given = bytes.ReplaceAll(given, []byte("{companie}"), []byte("{company}"))
	given = bytes.ReplaceAll(given, []byte(`"companie"`), []byte(`"company"`))
	var v2 openapi2.T
	if err := json.Unmarshal(given, &v2); err != nil {
		return err
	}
	doc, err := openapi2conv.ToV3(&v2)
	if err != nil {
		return err
	}
	doc.Info = &openapi3.Info{
		Title:   "Wattle",
		Version: "v1",
		Description: "The estimating service of a fence company over HTTP and JSON: the same calls as over gRPC, answered by the same service.\n\n" +
			"Bodies are JSON objects of Content-Type application/json; a name or parent that stands in the path may be left out of them. " +
			"Lengths are texts with their unit (`6 ft`, `2.4 m`), amounts are decimals as text, and so are 64-bit integers. " +
			"Errors are a google.rpc.Status whose details say what is wrong with which field, by JSON name. " +
			"`Grpc-Timeout` (such as `5S`) bounds a call; `X-Request-Id` names it, in the answer too.",
		License: &openapi3.License{Name: "Apache-2.0"},
	}
	if doc.Components == nil {
		doc.Components = &openapi3.Components{}
	}
	doc.Components.SecuritySchemes = openapi3.SecuritySchemes{"key": &openapi3.SecuritySchemeRef{
		Value: openapi3.NewSecurityScheme().WithType("http").WithScheme("bearer").WithDescription("An API key: `Authorization: Bearer KEY`."),
	}}
	doc.Security = openapi3.SecurityRequirements{openapi3.NewSecurityRequirement().Authenticate("key")}
	for _, item := range doc.Paths.Map() {
		for _, operation := range item.Operations() {
			finish(doc, operation)
		}
	}
	enc := json.NewEncoder(w)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	return enc.Encode(doc)
}

// finish says what the generator does not know of a call: that streams come as
// lines, and documents as files where that is asked for.
func finish(doc *openapi3.T, operation *openapi3.Operation) {
	for status, response := range operation.Responses.Map() {
		if status == "default" {
			response.Value.Description = new("An error.")
			continue
		}
		response.Value.Description = new("The answer.")
		for _, media := range response.Value.Content {
			if answer, ok := doc.Components.Schemas[strings.TrimPrefix(media.Schema.Ref, "#/components/schemas/")]; ok && refersTo(answer.Value.Properties["document"], "wattle.v1.Document") {
				operation.AddParameter(openapi3.NewQueryParameter("alt").WithSchema(openapi3.NewStringSchema().WithEnum("media")).
					WithDescription("With `media` the answer is the document itself, as a file of its own media type."))
			}
			if media.Schema.Value != nil && strings.HasPrefix(media.Schema.Value.Title, "Stream result of ") {
				response.Value.Description = new("The answer in pieces, a line each: either `result`, or at the end `error`.")
				response.Value.Content = openapi3.Content{"application/x-ndjson": media}
			}
		}
	}
}

// refersTo reports whether a field is a message; the generator wraps references
// of fields.
func refersTo(field *openapi3.SchemaRef, message string) bool {
	return field != nil && field.Value != nil && len(field.Value.AllOf) == 1 && field.Value.AllOf[0].Ref == "#/components/schemas/"+message
}
