package rpc

import (
	"math/rand/v2"
	"strings"
	"testing"

	"google.golang.org/grpc/mem"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"
	"google.golang.org/protobuf/reflect/protoregistry"
)

// Whatever message of the API is written, protobuf reads it as the same one, and
// would have taken as many bytes.
func TestEveryMessageIsWrittenAsProtobufDoes(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	messages := 0
	protoregistry.GlobalTypes.RangeMessages(func(kind protoreflect.MessageType) bool {
		name := string(kind.Descriptor().FullName())
		if !strings.HasPrefix(name, "wattle.v1.") || kind.Descriptor().IsMapEntry() {
			return true
		}
		messages++
		for depth := range 4 {
			m := kind.New()
			fillAnyhow(r, m, depth)
			want := m.Interface()
			if _, ours := want.(written); !ours {
				t.Errorf("%s is left to protobuf", name)
				return true
			}
			pieces, err := newCodec().Marshal(want)
			if err != nil {
				t.Fatal(name, err)
			}
			text := pieces.MaterializeToBuffer(mem.NopBufferPool{})
			got := kind.New().Interface()
			if err := proto.Unmarshal(text.ReadOnlyData(), got); err != nil || !proto.Equal(got, want) {
				t.Fatalf("%s: %v\n%v\nwas written as\n%v", name, err, want, got)
			}
			if size := proto.Size(want); text.Len() != size {
				t.Errorf("%s takes %d bytes, and %d of protobuf's own", name, text.Len(), size)
			}
			text.Free()
			pieces.Free()
		}
		return true
	})
	if messages < 200 {
		t.Errorf("%d messages were found", messages)
	}
}

// fillAnyhow gives most fields of m a value; messages in it down to a depth.
func fillAnyhow(r *rand.Rand, m protoreflect.Message, depth int) {
	fields := m.Descriptor().Fields()
	for i := range fields.Len() {
		f := fields.Get(i)
		if r.IntN(4) == 0 || depth == 0 && (f.Message() != nil || f.IsMap()) {
			continue
		}
		switch {
		case f.IsMap():
			entries := m.Mutable(f).Map()
			for range r.IntN(3) {
				key := oneOf(r, f.MapKey(), nil, 0).MapKey()
				entries.Set(key, oneOf(r, f.MapValue(), entries.NewValue, depth-1))
			}
		case f.IsList():
			list := m.Mutable(f).List()
			for range r.IntN(3) {
				list.Append(oneOf(r, f, list.NewElement, depth-1))
			}
		default:
			m.Set(f, oneOf(r, f, func() protoreflect.Value { return m.NewField(f) }, depth-1))
		}
	}
}

// oneOf is a value of a field's kind, now and then zero.
func oneOf(r *rand.Rand, f protoreflect.FieldDescriptor, empty func() protoreflect.Value, depth int) protoreflect.Value {
	n := int64(r.Uint64()) >> r.IntN(64) // of any size, and of either sign
	switch f.Kind() {
	case protoreflect.MessageKind, protoreflect.GroupKind:
		v := empty()
		fillAnyhow(r, v.Message(), depth)
		return v
	case protoreflect.EnumKind:
		return protoreflect.ValueOfEnum(protoreflect.EnumNumber(int32(n)))
	case protoreflect.BoolKind:
		return protoreflect.ValueOfBool(n%2 == 0)
	case protoreflect.StringKind:
		return protoreflect.ValueOfString(strings.Repeat("6 ft ½ in ", int(n&3)))
	case protoreflect.BytesKind:
		return protoreflect.ValueOfBytes([]byte{byte(n), 0, 255}[:n&3])
	case protoreflect.DoubleKind:
		return protoreflect.ValueOfFloat64(float64(n) / 3)
	case protoreflect.FloatKind:
		return protoreflect.ValueOfFloat32(float32(n) / 3)
	case protoreflect.Int32Kind, protoreflect.Sint32Kind, protoreflect.Sfixed32Kind:
		return protoreflect.ValueOfInt32(int32(n))
	case protoreflect.Uint32Kind, protoreflect.Fixed32Kind:
		return protoreflect.ValueOfUint32(uint32(n))
	case protoreflect.Uint64Kind, protoreflect.Fixed64Kind:
		return protoreflect.ValueOfUint64(uint64(n))
	default:
		return protoreflect.ValueOfInt64(n)
	}
}
