package rpc

import (
	"encoding/hex"
	"testing"

	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"

	wattlev1 "wattle/api/wattle/v1"
)

func request() *wattlev1.CreateQuoteRequest {
	return &wattlev1.CreateQuoteRequest{
		Parent: "companies/harrow", RequestId: "once", Currency: "USD", Revision: proto.Int64(0),
		Site: &wattlev1.Site{Runs: []*wattlev1.Run{{Id: "back \"yard\"", Closed: true, Face: wattlev1.Side_SIDE_RIGHT}}},
		Spec: &wattlev1.Spec{Height: "6 ft", Items: map[string]string{"b": "2", "a": "1", "c": ""}, Posts: &wattlev1.Spec_Posts{Caps: new(false)}},
	}
}

// The text and its hash must never change: stored request ids are compared with it.
func TestCanonicalText(t *testing.T) {
	const want = `{currency:"USD",parent:"companies/harrow",revision:0,` +
		`site:{runs:[{closed:true,face:2,id:"back \"yard\""}]},` +
		`spec:{height:"6 ft",items:{"a":"1","b":"2","c":""},posts:{caps:false}}}`
	for range 10 { // maps are walked in another order each time
		if got := string(canonical(request(), "request_id")); got != want {
			t.Fatalf("got  %s\nwant %s", got, want)
		}
	}
	hash := requestHash(request(), "request_id")
	// printf %s 'the text above' | sha256sum
	if got := hex.EncodeToString(hash[:]); got != "6b4c673a2068643a17a96901251a8c177cbea97ca2893622a6a3a5d0c4d9fa23" {
		t.Errorf("hash %s", got)
	}
}

func TestRequestHashTellsRequestsApart(t *testing.T) {
	same := request()
	same.RequestId = "another"
	if requestHash(request(), "request_id") != requestHash(same, "request_id") {
		t.Error("the request id counts")
	}
	for name, change := range map[string]func(*wattlev1.CreateQuoteRequest){
		"an absent revision": func(r *wattlev1.CreateQuoteRequest) { r.Revision = nil },
		"another length":     func(r *wattlev1.CreateQuoteRequest) { r.Spec.Height = "72 in" },
		"another item":       func(r *wattlev1.CreateQuoteRequest) { r.Spec.Items["a"] = "2" },
		"an absent switch":   func(r *wattlev1.CreateQuoteRequest) { r.Spec.Posts.Caps = nil },
		"one more run":       func(r *wattlev1.CreateQuoteRequest) { r.Site.Runs = append(r.Site.Runs, &wattlev1.Run{}) },
		"a moved quote mark": func(r *wattlev1.CreateQuoteRequest) { r.Site.Runs[0].Id = `back "yard` },
		"a map's origin": func(r *wattlev1.CreateQuoteRequest) {
			r.Site.GeojsonOrigin = &wattlev1.GeoOrigin{Longitude: new(0.0), Latitude: new(0.0)}
		},
	} {
		other := request()
		change(other)
		if requestHash(request()) == requestHash(other) {
			t.Errorf("%s makes no difference", name)
		}
	}
}

// A place on a map is written as it is given there.
func TestCanonicalPlace(t *testing.T) {
	const want = `{latitude:42.00000001,longitude:-93}`
	if got := string(canonical(&wattlev1.GeoOrigin{Longitude: new(-93.0), Latitude: new(42.00000001)})); got != want {
		t.Errorf("got %s, want %s", got, want)
	}
}

// Nothing that is counted or placed is a float: only a place on a map is, as in
// the GeoJSON beside it.
func TestRequestsHaveNoFloats(t *testing.T) {
	seen := make(map[protoreflect.FullName]bool)
	var walk func(protoreflect.MessageDescriptor)
	walk = func(m protoreflect.MessageDescriptor) {
		if seen[m.FullName()] {
			return
		}
		seen[m.FullName()] = true
		for i := range m.Fields().Len() {
			f := m.Fields().Get(i)
			switch f.Kind() {
			case protoreflect.FloatKind, protoreflect.DoubleKind:
				if f.Kind() == protoreflect.FloatKind || m.Name() != "GeoOrigin" {
					t.Errorf("%s is a float", f.FullName())
				}
			case protoreflect.MessageKind, protoreflect.GroupKind:
				walk(f.Message())
			default:
			}
		}
	}
	for _, m := range requestDescriptors() {
		walk(m)
	}
	if len(seen) < 20 {
		t.Errorf("saw only %d messages", len(seen))
	}
}
