package rest_test

import (
	"context"
	"math"
	"net/http"
	"path"
	"regexp"
	"strings"
	"testing"

	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"
	"google.golang.org/protobuf/types/known/durationpb"
	"google.golang.org/protobuf/types/known/fieldmaskpb"
	"google.golang.org/protobuf/types/known/timestamppb"
	"pgregory.net/rapid"

	"wattle/internal/rest"
)

// Whatever a request holds, it arrives at the RPC whose rule it follows as it
// was, by each of its rules; and whatever the service answers, the caller reads
// the same.
func TestRequestsArriveAndAnswersCome(t *testing.T) {
	e, base := startEcho(t, rest.Config{})
	for _, m := range methods() {
		for _, rule := range rules(t) {
			if rule.RPC != string(m.FullName()) {
				continue
			}
			t.Run(string(m.Name())+" "+strings.ReplaceAll(rule.Path, "/", " "), func(t *testing.T) {
				rapid.Check(t, func(rt *rapid.T) {
					// An address holds text and lists of it, no trees.
					depth := 3
					if rule.Body == "" {
						depth = 0
					}
					request := anyOf(m.Input(), depth).Draw(rt, "request")
					for field, pattern := range rule.Fields() {
						setPathField(rt, request, field, pattern)
					}
					count := 1
					if m.IsStreamingServer() {
						count = rapid.IntRange(0, 3).Draw(rt, "pieces")
					}
					var answers []proto.Message
					for range count {
						answers = append(answers, anyOf(m.Output(), 3).Draw(rt, "answer"))
					}
					e.say(nil, answers...)
					asked, err := rule.Request(context.Background(), base, request)
					if err != nil {
						rt.Fatal(err)
					}
					response, body := do(rt, asked)
					if response.StatusCode != http.StatusOK {
						rt.Fatalf("%s %s: %s %s", asked.Method, asked.URL, response.Status, body)
					}
					if want := "/" + string(m.Parent().FullName()) + "/" + string(m.Name()); e.arrived().method != want || !proto.Equal(e.arrived().request, request) {
						rt.Fatalf("%s %s\narrived as %s %v\nwant        %s %v", asked.Method, asked.URL, e.arrived().method, e.arrived().request, want, request)
					}
					got := readAnswers(rt, m, body)
					if len(got) != len(answers) {
						rt.Fatalf("%d answers, want %d", len(got), len(answers))
					}
					for i := range got {
						if !proto.Equal(got[i], answers[i]) {
							rt.Fatalf("answer %d came as\n%v\nwant\n%v", i, got[i], answers[i])
						}
					}
				})
			})
		}
	}
}

// readAnswers reads a body as a caller does: a message, or of a stream one in
// each line.
func readAnswers(t fataler, m protoreflect.MethodDescriptor, body string) (answers []proto.Message) {
	t.Helper()
	read := func(text string) {
		answer := newMessage(m.Output())
		if err := protojson.Unmarshal([]byte(text), answer); err != nil {
			t.Fatal(err, text)
		}
		answers = append(answers, answer)
	}
	if !m.IsStreamingServer() {
		read(body)
		return answers
	}
	for line := range strings.Lines(body) {
		read(resultOf(t, line))
	}
	return answers
}

var result = regexp.MustCompile(`^\{"result":(.*)\}\n$`)

func resultOf(t fataler, line string) string {
	t.Helper()
	m := result.FindStringSubmatch(line)
	if m == nil {
		t.Fatal("no result in the line " + line)
	}
	return m[1]
}

// setPathField gives a field a name of the pattern.
func setPathField(t *rapid.T, message proto.Message, field, pattern string) {
	m := message.ProtoReflect()
	parts := strings.Split(field, ".")
	for _, name := range parts[:len(parts)-1] {
		m = m.Mutable(m.Descriptor().Fields().ByName(protoreflect.Name(name))).Message()
	}
	value := ""
	for part := range strings.SplitSeq(pattern, "/") {
		if part == "*" {
			part = rapid.StringMatching(`[a-z0-9][a-z0-9 ._@%-]{0,8}`).Draw(t, "name")
		}
		value = path.Join(value, part)
	}
	m.Set(m.Descriptor().Fields().ByName(protoreflect.Name(parts[len(parts)-1])), protoreflect.ValueOfString(value))
}

func anyOf(message protoreflect.MessageDescriptor, depth int) *rapid.Generator[proto.Message] {
	if message.Fields().Len() == 0 {
		return rapid.Just(newMessage(message))
	}
	return rapid.Custom(func(t *rapid.T) proto.Message {
		m := newMessage(message)
		fillAny(t, m.ProtoReflect(), depth)
		return m
	})
}

// fillAny fills a message with anything, messages inside it to a depth.
func fillAny(t *rapid.T, m protoreflect.Message, depth int) {
	for i := range m.Descriptor().Fields().Len() {
		f := m.Descriptor().Fields().Get(i)
		if f.ContainingOneof() != nil && m.WhichOneof(f.ContainingOneof()) != nil || f.Message() != nil && depth == 0 || !rapid.Bool().Draw(t, "has "+string(f.Name())) {
			continue
		}
		switch {
		case f.IsMap():
			fillMap(t, m, f, depth)
		case f.IsList():
			list := m.Mutable(f).List()
			for range rapid.IntRange(0, 2).Draw(t, "length") {
				list.Append(anyValue(t, f, list.NewElement(), depth))
			}
		default:
			m.Set(f, anyValue(t, f, m.NewField(f), depth))
		}
	}
}

func fillMap(t *rapid.T, m protoreflect.Message, f protoreflect.FieldDescriptor, depth int) {
	for range rapid.IntRange(0, 2).Draw(t, "size") {
		key := anyValue(t, f.MapKey(), protoreflect.Value{}, 0).MapKey()
		m.Mutable(f).Map().Set(key, anyValue(t, f.MapValue(), m.Mutable(f).Map().NewValue(), depth))
	}
}

func anyValue(t *rapid.T, f protoreflect.FieldDescriptor, empty protoreflect.Value, depth int) protoreflect.Value {
	switch f.Kind() {
	case protoreflect.BoolKind:
		return protoreflect.ValueOfBool(rapid.Bool().Draw(t, "bool"))
	case protoreflect.EnumKind:
		values := f.Enum().Values()
		return protoreflect.ValueOfEnum(values.Get(rapid.IntRange(0, values.Len()-1).Draw(t, "enum")).Number())
	case protoreflect.Int32Kind, protoreflect.Sint32Kind, protoreflect.Sfixed32Kind:
		return protoreflect.ValueOfInt32(rapid.Int32().Draw(t, "int32"))
	case protoreflect.Int64Kind, protoreflect.Sint64Kind, protoreflect.Sfixed64Kind:
		return protoreflect.ValueOfInt64(rapid.Int64().Draw(t, "int64"))
	case protoreflect.Uint32Kind, protoreflect.Fixed32Kind:
		return protoreflect.ValueOfUint32(rapid.Uint32().Draw(t, "uint32"))
	case protoreflect.Uint64Kind, protoreflect.Fixed64Kind:
		return protoreflect.ValueOfUint64(rapid.Uint64().Draw(t, "uint64"))
	case protoreflect.FloatKind:
		return protoreflect.ValueOfFloat32(rapid.Float32().Draw(t, "float"))
	case protoreflect.DoubleKind:
		return protoreflect.ValueOfFloat64(rapid.Float64().Draw(t, "double"))
	case protoreflect.StringKind:
		return protoreflect.ValueOfString(rapid.String().Draw(t, "text"))
	case protoreflect.BytesKind:
		return protoreflect.ValueOfBytes(rapid.SliceOfN(rapid.Byte(), 0, 8).Draw(t, "bytes"))
	default:
		return anyMessage(t, f, empty, depth)
	}
}

// anyMessage knows the messages that JSON has forms of their own for.
func anyMessage(t *rapid.T, f protoreflect.FieldDescriptor, empty protoreflect.Value, depth int) protoreflect.Value {
	seconds := rapid.Int64Range(-math.MaxInt32, math.MaxInt32)
	switch f.Message().FullName() {
	case "google.protobuf.Timestamp":
		return protoreflect.ValueOfMessage((&timestamppb.Timestamp{Seconds: seconds.Draw(t, "seconds")}).ProtoReflect())
	case "google.protobuf.Duration":
		return protoreflect.ValueOfMessage((&durationpb.Duration{Seconds: seconds.Draw(t, "seconds")}).ProtoReflect())
	case "google.protobuf.FieldMask":
		paths := rapid.SliceOfN(rapid.StringMatching(`[a-z]{1,5}(_[a-z]{1,5})?`), 1, 3).Draw(t, "paths")
		return protoreflect.ValueOfMessage((&fieldmaskpb.FieldMask{Paths: paths}).ProtoReflect())
	}
	fillAny(t, empty.Message(), depth-1)
	return empty
}
