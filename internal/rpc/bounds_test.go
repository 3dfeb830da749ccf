package rpc

import (
	"regexp/syntax"
	"strings"
	"testing"

	"buf.build/gen/go/bufbuild/protovalidate/protocolbuffers/go/buf/validate"
	"buf.build/go/protovalidate"
	"google.golang.org/protobuf/reflect/protoreflect"
)

// boundedElsewhere are fields of requests whose .proto has no limit, by the
// start of their name, and what bounds them instead, beside the size of a message.
var boundedElsewhere = map[string]string{
	"wattle.v1.PriceRow.":              "a list's rows are refused by line, with everything wrong in it, by internal/book; and a million of them come in a list",
	"google.protobuf.FieldMask.paths":  "a path is one that the method knows, or is refused (readMask)",
	"google.protobuf.FieldMask.paths[": "as above",
}

// Every text and every list that a request may hold has a limit that callers see
// in the .proto.
func TestEveryFieldIsBounded(t *testing.T) {
	used, seen, fields := map[string]bool{}, map[protoreflect.FullName]bool{}, 0
	var walk func(m protoreflect.MessageDescriptor)
	walk = func(m protoreflect.MessageDescriptor) {
		if m == nil || seen[m.FullName()] {
			return
		}
		seen[m.FullName()] = true
		for i := range m.Fields().Len() {
			f := m.Fields().Get(i)
			rules, err := protovalidate.ResolveFieldRules(f)
			if err != nil {
				t.Fatal(err)
			}
			fields++
			for _, part := range unbounded(f, rules) {
				if e := exception(string(f.FullName()) + part); e == "" {
					t.Errorf("%s%s has no limit", f.FullName(), part)
				} else {
					used[e] = true
				}
			}
			if f.IsMap() {
				f = f.MapValue()
			}
			walk(f.Message())
		}
	}
	for _, m := range requestDescriptors() {
		walk(m)
	}
	if fields < 500 {
		t.Errorf("looked at %d fields", fields)
	}
	for e := range boundedElsewhere {
		if !used[e] {
			t.Errorf("the exception %s is for nothing", e)
		}
	}
}

func exception(field string) (longest string) {
	for e := range boundedElsewhere {
		if strings.HasPrefix(field, e) && len(e) > len(longest) {
			longest = e
		}
	}
	return longest
}

// unbounded are the parts of a field that may be as large as they like: "" is
// the field itself.
func unbounded(f protoreflect.FieldDescriptor, r *validate.FieldRules) (parts []string) {
	switch {
	case f.IsMap():
		if !r.GetMap().HasMaxPairs() {
			parts = append(parts, "")
		}
		if !bounded(f.MapKey(), r.GetMap().GetKeys()) {
			parts = append(parts, "[key]")
		}
		if !bounded(f.MapValue(), r.GetMap().GetValues()) {
			parts = append(parts, "[value]")
		}
	case f.IsList():
		if !r.GetRepeated().HasMaxItems() {
			parts = append(parts, "")
		}
		if !bounded(f, r.GetRepeated().GetItems()) {
			parts = append(parts, "[item]")
		}
	case !bounded(f, r):
		parts = append(parts, "")
	}
	return parts
}

// bounded reports whether one value has a limit.
func bounded(f protoreflect.FieldDescriptor, r *validate.FieldRules) bool {
	switch f.Kind() {
	case protoreflect.StringKind:
		s := r.GetString()
		return s.HasMaxLen() || s.HasMaxBytes() || s.HasLen() || s.HasLenBytes() || len(s.GetIn()) > 0 || s.HasConst() || s.HasPattern() && endless(s.GetPattern()) == nil
	case protoreflect.BytesKind:
		return r.GetBytes().HasMaxLen()
	default:
		return true
	}
}

// endless is what of a pattern matches a text of any length; nil for none.
func endless(pattern string) *syntax.Regexp {
	re, err := syntax.Parse(pattern, syntax.Perl)
	if err != nil || re.Op != syntax.OpConcat || re.Sub[0].Op != syntax.OpBeginText || re.Sub[len(re.Sub)-1].Op != syntax.OpEndText {
		return &syntax.Regexp{Op: syntax.OpNoMatch}
	}
	return repeats(re)
}

func repeats(re *syntax.Regexp) *syntax.Regexp {
	if re.Op == syntax.OpStar || re.Op == syntax.OpPlus || re.Op == syntax.OpRepeat && re.Max < 0 {
		return re
	}
	for _, part := range re.Sub {
		if found := repeats(part); found != nil {
			return found
		}
	}
	return nil
}

func TestEndless(t *testing.T) {
	for pattern, want := range map[string]bool{
		"^[a-z]{1,3}$": false, "^(a|b{2})?$": false, "^[a-z]+$": true, "^a(b*)c$": true, "[a-z]{3}": true, "^a{2,}$": true,
	} {
		if got := endless(pattern) != nil; got != want {
			t.Errorf("%s: %v", pattern, got)
		}
	}
}
