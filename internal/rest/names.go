package rest

import (
	"errors"
	"io"
	"strings"
	"sync"

	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/protoadapt"
	"google.golang.org/protobuf/reflect/protoreflect"
	"google.golang.org/protobuf/types/known/anypb"

	wattlev1 "wattle/api/wattle/v1"
)

// inJSONNames is a call's error with the paths of its field violations by JSON
// names, which are the names the caller wrote.
func inJSONNames(err error, request protoreflect.MessageDescriptor) error {
	if err == nil || errors.Is(err, io.EOF) {
		return err
	}
	told := status.Convert(err).Proto()
	for i, detail := range told.GetDetails() {
		bad := &errdetails.BadRequest{}
		if !detail.MessageIs(bad) || detail.UnmarshalTo(bad) != nil {
			continue
		}
		for j, v := range bad.GetFieldViolations() {
			path := jsonPath(request, v.GetField())
			if j == 0 { // the message tells it as well
				told.Message = strings.Replace(told.GetMessage(), ": "+v.GetField()+": ", ": "+path+": ", 1)
			}
			v.Field = path
		}
		if renamed, err := anypb.New(bad); err == nil { // it was one a moment ago
			told.Details[i] = renamed
		}
	}
	return status.FromProto(told).Err()
}

// violationsInJSONNames does the same for the violations that a good answer
// tells, as that of an option that cannot be built.
func violationsInJSONNames(answer protoreflect.Message, request protoreflect.MessageDescriptor) {
	if v, ok := answer.Interface().(*wattlev1.Violation); ok {
		v.Field = jsonPath(request, v.GetField())
		return
	}
	if !hasViolations(answer.Descriptor()) {
		return
	}
	answer.Range(func(field protoreflect.FieldDescriptor, value protoreflect.Value) bool {
		switch {
		case field.Message() == nil || field.IsMap():
		case field.IsList():
			for i := range value.List().Len() {
				violationsInJSONNames(value.List().Get(i).Message(), request)
			}
		default:
			violationsInJSONNames(value.Message(), request)
		}
		return true
	})
}

// telling keeps what hasViolations found, by message.
var telling sync.Map

// hasViolations reports whether a message can hold a Violation at any depth, so
// that large answers without any are not searched.
func hasViolations(message protoreflect.MessageDescriptor) bool {
	if known, ok := telling.Load(message.FullName()); ok {
		return known == true
	}
	found := reaches(message, (&wattlev1.Violation{}).ProtoReflect().Descriptor().FullName(), map[protoreflect.FullName]bool{})
	telling.Store(message.FullName(), found)
	return found
}

func reaches(message protoreflect.MessageDescriptor, wanted protoreflect.FullName, seen map[protoreflect.FullName]bool) bool {
	if message.FullName() == wanted {
		return true
	}
	if seen[message.FullName()] {
		return false
	}
	seen[message.FullName()] = true
	for i := range message.Fields().Len() {
		if field := message.Fields().Get(i); field.Message() != nil && reaches(field.Message(), wanted, seen) {
			return true
		}
	}
	return false
}

// jsonPath is a field path such as site.runs[0].ground_points, read from a
// message on, by JSON names. From a part on that names no field it stays as it
// is: a path may go on within a text, or name an item.
func jsonPath(message protoreflect.MessageDescriptor, path string) string {
	var out strings.Builder
	for rest := path; ; {
		end := strings.IndexAny(rest, ".[")
		if end < 0 {
			end = len(rest)
		}
		var field protoreflect.FieldDescriptor
		if message != nil {
			field = message.Fields().ByName(protoreflect.Name(rest[:end]))
		}
		if field == nil {
			out.WriteString(rest)
			return out.String()
		}
		out.WriteString(field.JSONName())
		rest, message = rest[end:], field.Message()
		if field.IsMap() {
			message = field.MapValue().Message()
		}
		if strings.HasPrefix(rest, "[") {
			end := subscript(rest)
			out.WriteString(rest[:end])
			rest = rest[end:]
		}
		if !strings.HasPrefix(rest, ".") {
			out.WriteString(rest)
			return out.String()
		}
		out.WriteByte('.')
		rest = rest[1:]
	}
}

// subscript is how long the subscript at the start of s is: [0], or [ and a
// quoted key that may hold brackets.
func subscript(s string) int {
	quoted := false
	for i := 1; i < len(s); i++ {
		switch {
		case quoted && s[i] == '\\':
			i++
		case s[i] == '"':
			quoted = !quoted
		case s[i] == ']' && !quoted:
			return i + 1
		}
	}
	return len(s)
}

func withDetails(st *status.Status, details ...proto.Message) *status.Status {
	old := make([]protoadapt.MessageV1, len(details))
	for i, d := range details {
		old[i] = protoadapt.MessageV1Of(d)
	}
	full, err := st.WithDetails(old...)
	if err != nil { // only for a detail that cannot be marshalled
		return st
	}
	return full
}
