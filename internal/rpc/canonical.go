package rpc

import (
	"crypto/sha256"
	"slices"
	"strconv"
	"strings"

	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"
)

// requestHash is SHA-256 over a request's canonical text, the named top-level
// fields left out. It tells whether two calls ask for the same, years and
// releases apart, so it is over a text of our own: neither protobuf's bytes nor
// its JSON are promised to stay the same.
//
// The canonical text is {name:value,...} with the set fields of a message by
// name, [value,...] for a list, {key:value,...} by key for a map; strings and
// bytes are quoted as Go does, integers and enums are decimal, doubles the
// shortest decimal that reads back the same. A field that has its default value
// and no presence is as if absent; unknown fields are left out.
func requestHash(m proto.Message, without ...string) [sha256.Size]byte {
	return sha256.Sum256(canonical(m, without...))
}

func canonical(m proto.Message, without ...string) []byte {
	return appendMessage(nil, m.ProtoReflect(), without)
}

func appendMessage(b []byte, m protoreflect.Message, without []string) []byte {
	type set struct {
		field protoreflect.FieldDescriptor
		value protoreflect.Value
	}
	var fields []set
	m.Range(func(field protoreflect.FieldDescriptor, value protoreflect.Value) bool {
		if !slices.Contains(without, string(field.Name())) {
			fields = append(fields, set{field, value})
		}
		return true
	})
	slices.SortFunc(fields, func(a, b set) int {
		return strings.Compare(string(a.field.Name()), string(b.field.Name()))
	})
	b = append(b, '{')
	for i, f := range fields {
		if i > 0 {
			b = append(b, ',')
		}
		b = append(b, f.field.Name()...)
		b = append(b, ':')
		b = appendField(b, f.field, f.value)
	}
	return append(b, '}')
}

func appendField(b []byte, field protoreflect.FieldDescriptor, value protoreflect.Value) []byte {
	switch {
	case field.IsMap():
		return appendMap(b, value.Map())
	case field.IsList():
		b = append(b, '[')
		for i, list := 0, value.List(); i < list.Len(); i++ {
			if i > 0 {
				b = append(b, ',')
			}
			b = appendValue(b, list.Get(i))
		}
		return append(b, ']')
	}
	return appendValue(b, value)
}

func appendMap(b []byte, m protoreflect.Map) []byte {
	var keys []protoreflect.MapKey
	m.Range(func(key protoreflect.MapKey, _ protoreflect.Value) bool {
		keys = append(keys, key)
		return true
	})
	slices.SortFunc(keys, func(a, b protoreflect.MapKey) int { return strings.Compare(a.String(), b.String()) })
	b = append(b, '{')
	for i, key := range keys {
		if i > 0 {
			b = append(b, ',')
		}
		b = strconv.AppendQuote(b, key.String())
		b = append(b, ':')
		b = appendValue(b, m.Get(key))
	}
	return append(b, '}')
}

func appendValue(b []byte, value protoreflect.Value) []byte {
	switch v := value.Interface().(type) {
	case protoreflect.Message:
		return appendMessage(b, v, nil)
	case string:
		return strconv.AppendQuote(b, v)
	case []byte:
		return strconv.AppendQuote(b, string(v))
	case protoreflect.EnumNumber:
		return strconv.AppendInt(b, int64(v), 10)
	case float64:
		return strconv.AppendFloat(b, v, 'g', -1, 64)
	default: // bool and integers
		return append(b, value.String()...)
	}
}
