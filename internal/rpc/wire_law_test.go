package rpc

import (
	"reflect"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/govalues/decimal"
	"google.golang.org/protobuf/proto"

	"wattle/internal/check"
	"wattle/internal/cutting"
	"wattle/internal/layout"
	"wattle/internal/site"
	"wattle/internal/spec"
	"wattle/internal/takeoff"
)

// What is counted and found out is told on the wire: whichever field of it is
// another, the answer is another. A new field that answers lack fails here.
func TestEveryFieldIsAnswered(t *testing.T) {
	l := &layout.Layout{Openings: make([]layout.Opening, 3), Posts: []layout.Post{{ID: "a"}, {ID: "b"}, {ID: "c"}}}
	for i := range l.Openings {
		l.Openings[i].Gate = strconv.Itoa(i)
	}
	s := site.Site{Runs: []site.Run{{ID: "a"}, {ID: "b"}, {ID: "c"}}}
	answered(t, func(x takeoff.Takeoff) proto.Message { return takeoffToProto(new(lengths), &x, l) },
		"Cuts[0].Plan.Nodes") // how a plan was found, not what it is
	answered(t, func(x check.Result) proto.Message { return checksToProto([]check.Result{x})[0] })
	answered(t, func(x layout.Opening) proto.Message {
		return aroundToProto(new(lengths), &layout.Layout{Posts: l.Posts, Openings: []layout.Opening{x}}, s)
	}, "Roller.Hole") // an existing post has none
	answered(t, func(x layout.Post) proto.Message { return slabsOf(1, new(workspace)).post(new(lengths), &x, s) }, "Hole")
	answered(t, func(x layout.Hole) proto.Message {
		return slabsOf(1, new(workspace)).post(new(lengths), &layout.Post{Hole: x}, s)
	})
	answered(t, func(x site.Conditions) proto.Message { return conditionsToProto(x) })
	answered(t, func(x site.Gate) proto.Message { return gateToProto(x) })
}

// answered fills an x and changes each of its fields by itself.
func answered[T any](t *testing.T, toProto func(T) proto.Message, but ...string) {
	t.Helper()
	var x T
	var fields []fieldOf
	fillOne(reflect.ValueOf(&x).Elem(), "", &fields)
	before := proto.Clone(toProto(x)) // which may share what x points to
	for _, f := range fields {
		f.change()
		if after := toProto(x); proto.Equal(before, after) != contains(but, f.path) {
			t.Errorf("%T%s: another value is no other answer", x, f.path)
		}
		f.restore()
	}
	if len(fields) == 0 || !proto.Equal(before, toProto(x)) {
		t.Fatalf("%T: %d fields, and the answer is not what it was", x, len(fields))
	}
}

// contains reports whether a path is one of all, or below it.
func contains(all []string, path string) bool {
	return slices.ContainsFunc(all, func(x string) bool { return strings.HasPrefix(path+".", "."+x+".") })
}

// fieldOf is a field that holds a 1 of its kind and can be made a 2.
type fieldOf struct {
	path            string
	change, restore func()
}

// fillOne sets everything to the first value of its kind that is not zero; lists
// get one element.
func fillOne(v reflect.Value, path string, fields *[]fieldOf) {
	leaf := func(one, two any) {
		set := func(x any) func() {
			return func() { v.Set(reflect.ValueOf(x).Convert(v.Type())) }
		}
		set(one)()
		*fields = append(*fields, fieldOf{path, set(two), set(one)})
	}
	switch v.Interface().(type) {
	case decimal.Decimal:
		leaf(decimal.One, decimal.Two)
		return
	case layout.Role:
		leaf(layout.Line, layout.Corner)
		return
	case site.Side:
		leaf(site.Right, site.Left)
		return
	case site.Hinge:
		leaf(site.HingeFinish, site.HingeStart)
		return
	case spec.Frame:
		leaf(spec.WoodFrame, spec.SteelFrame)
		return
	case check.Outcome:
		leaf(check.Pass, check.Fail)
		return
	case cutting.Plan:
		v.FieldByName("Sticks").Set(reflect.ValueOf([]int{1}))
	}
	switch v.Kind() {
	case reflect.Bool:
		leaf(true, false)
	case reflect.String:
		leaf("1", "2")
	case reflect.Int, reflect.Int64, reflect.Int32:
		leaf(1, 2)
	case reflect.Pointer:
		v.Set(reflect.New(v.Type().Elem()))
		fillOne(v.Elem(), path, fields)
	case reflect.Struct:
		for i := range v.NumField() {
			if f := v.Type().Field(i); f.IsExported() {
				fillOne(v.Field(i), path+"."+f.Name, fields)
			}
		}
	case reflect.Array:
		for i := range v.Len() {
			fillOne(v.Index(i), path+"["+strconv.Itoa(i)+"]", fields)
		}
	case reflect.Slice:
		v.Set(reflect.MakeSlice(v.Type(), 1, 1))
		fillOne(v.Index(0), path+"[0]", fields)
	default:
	}
}
