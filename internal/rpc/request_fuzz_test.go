package rpc

import (
	"reflect"
	"testing"

	"google.golang.org/protobuf/proto"

	wattlev1 "wattle/api/wattle/v1"
)

// Whatever bytes make a request: its shape is checked, it is read and hashed
// without a panic, and what was read can be written and read again.
func FuzzRequest(f *testing.F) {
	curved := jobOf(closed(run(bend("0 ft,0 ft,1 ft", "16 ft"), bend("0 ft,32 ft,2 ft", "16 ft"))),
		survey(&wattlev1.Traverse{Text: "due E 20 ft slope 3 %; due N 24 ft; due W 20 ft; due S 24 ft", Closes: true, LeastPrecision: 1}))
	curved.Site.Geojson = lane
	curved.Site.GeojsonOrigin = &wattlev1.GeoOrigin{Longitude: new(-93.0), Latitude: new(42.0)}
	if _, err := JobFromProto(curved); err != nil {
		f.Fatal(err)
	}
	shaped := &wattlev1.CreateQuoteRequest{Site: curved.GetSite(), Spec: curved.GetSpec()}
	for _, request := range []*wattlev1.CreateQuoteRequest{{}, job("seed"), request(), shaped} {
		b, err := proto.Marshal(request)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(b)
	}
	validate, err := newValidation()
	if err != nil {
		f.Fatal(err)
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		request := &wattlev1.CreateQuoteRequest{}
		if proto.Unmarshal(b, request) != nil {
			return
		}
		_ = validate.check(request) // a handler only sees what passes; reading must stand more
		in, _, err := createQuoteFromProto(t.Context(), request, namedSpec{})
		if err != nil {
			return
		}
		again, err := JobFromProto(&wattlev1.PlanLayoutRequest{Site: SiteToProto(in.Site), Spec: SpecToProto(in.Spec)})
		if err != nil || !reflect.DeepEqual(again.Site, in.Site) {
			t.Errorf("the site came back otherwise: %v", err)
		}
		if again.Spec.Height != in.Spec.Height || len(again.Spec.Items) != len(in.Spec.Items) {
			t.Error("the spec came back otherwise")
		}
	})
}
