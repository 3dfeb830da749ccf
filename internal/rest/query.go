package rest

import (
	"context"
	"fmt"
	"maps"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/grpc-ecosystem/grpc-gateway/v2/runtime"
	"github.com/grpc-ecosystem/grpc-gateway/v2/utilities"
	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc/codes"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"
)

// fill puts what the query says into a request that has its path and its body
// already. Everything that cannot be is in one error: the gateway's own way
// passes over names that it does not know, and stops at the first bad value. It
// gives the request's fields.
func fill(ctx context.Context, message any, givesDocument bool) (protoreflect.MessageDescriptor, error) {
	request, ok := message.(proto.Message)
	if !ok {
		return nil, fmt.Errorf("%T is no protobuf message", message)
	}
	fields, a := request.ProtoReflect().Descriptor(), askedOf(ctx)
	var bad []*errdetails.BadRequest_FieldViolation
	wrong := func(field, description string) {
		bad = append(bad, &errdetails.BadRequest_FieldViolation{Field: clip(field), Description: clip(description)})
	}
	if a.file && !givesDocument {
		wrong("alt", "media is for calls that give a document; this one gives none")
	}
	given := map[protoreflect.FieldNumber]bool{}
	request.ProtoReflect().Range(func(field protoreflect.FieldDescriptor, _ protoreflect.Value) bool {
		given[field.Number()] = true
		return true
	})
	filled := map[string]bool{}
	for _, key := range slices.Sorted(maps.Keys(a.query)) {
		values := a.query[key]
		path := fieldsOf(fields, key)
		if len(path) == 0 {
			wrong(key, "this call has no such field")
			continue
		}
		field, name := path[len(path)-1], nameOf(path)
		if field.Message() != nil && field.Message().FullName() == "google.protobuf.FieldMask" {
			for i := range values {
				values[i] = protoNames(values[i])
			}
		}
		switch {
		case a.method == http.MethodPost:
			wrong(key, "expected in the body: a POST takes nothing from its query")
		case given[path[0].Number()]:
			wrong(key, "the address or the body says it already")
		case filled[name] || len(values) > 1 && !field.IsList():
			wrong(key, "expected once")
		case !utf8.ValidString(strings.Join(values, "")), (&runtime.DefaultQueryParser{}).Parse(request, url.Values{name: values}, utilities.NewDoubleArray(nil)) != nil:
			wrong(key, expected(field)+", found "+strconv.Quote(strings.Join(values, ", ")))
		}
		filled[name] = true
	}
	if len(bad) == 0 {
		return fields, nil
	}
	what := "the query is invalid: " + bad[0].GetField() + ": " + bad[0].GetDescription()
	return nil, withDetails(ownError(codes.InvalidArgument, "INVALID_REQUEST", what), &errdetails.BadRequest{FieldViolations: bad}).Err()
}

// fieldsOf are the fields that a key of a query leads through, by either form
// of their names; none where there is no such field, or none that a query can
// hold.
func fieldsOf(message protoreflect.MessageDescriptor, key string) (path []protoreflect.FieldDescriptor) {
	for part := range strings.SplitSeq(key, ".") {
		if message == nil {
			return nil
		}
		field := message.Fields().ByJSONName(part)
		if field == nil {
			field = message.Fields().ByName(protoreflect.Name(part))
		}
		if field == nil || field.IsMap() {
			return nil
		}
		path = append(path, field)
		if message = field.Message(); field.IsList() {
			message = nil
		}
	}
	return path
}

func nameOf(path []protoreflect.FieldDescriptor) string {
	names := make([]string, len(path))
	for i, field := range path {
		names[i] = string(field.Name())
	}
	return strings.Join(names, ".")
}

// protoNames is a field mask by the names of the .proto: in JSON it is by those
// of JSON, which the gateway leaves as they are.
func protoNames(mask string) string {
	var out strings.Builder
	for _, r := range mask {
		if 'A' <= r && r <= 'Z' {
			out.WriteByte('_')
			r += 'a' - 'A'
		}
		out.WriteRune(r)
	}
	return out.String()
}

// expected says what a field's text should have been.
func expected(field protoreflect.FieldDescriptor) string {
	switch field.Kind() {
	case protoreflect.BoolKind:
		return "expected true or false"
	case protoreflect.EnumKind:
		var names []string
		for i := range field.Enum().Values().Len() {
			names = append(names, string(field.Enum().Values().Get(i).Name()))
		}
		return "expected one of " + strings.Join(names, ", ")
	case protoreflect.BytesKind:
		return "expected bytes in base64"
	case protoreflect.MessageKind, protoreflect.GroupKind:
		return "expected a value of " + string(field.Message().FullName())
	case protoreflect.StringKind:
		return "expected text in UTF-8"
	case protoreflect.FloatKind, protoreflect.DoubleKind:
		return "expected a number"
	default:
		return "expected a whole number"
	}
}
