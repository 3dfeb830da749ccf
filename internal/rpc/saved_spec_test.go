package rpc

import (
	"errors"
	"io"
	"slices"
	"strings"
	"testing"

	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/proto"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/estimating"
)

// named is the request with the name of a spec in place of the spec.
func named(request *wattlev1.PlanLayoutRequest, name string) *wattlev1.PlanLayoutRequest {
	request.Spec, request.SavedSpec, request.Parent = nil, name, "companies/harrow"
	return request
}

// Each call that takes a spec takes the name of one, and answers the same.
func TestEveryCallTakesTheNameOfASpec(t *testing.T) {
	o := openOffice(t, Config{})
	saved := o.save(t, saveRequest("1", "5 ft")).GetSavedSpec().GetSpec()
	o.save(t, saveRequest("2", "6 ft"))
	layouts, takeoffs := wattlev1.NewLayoutServiceClient(o.conn), wattlev1.NewTakeoffServiceClient(o.conn)
	plan := func(r *wattlev1.PlanLayoutRequest) (proto.Message, error) { return layouts.PlanLayout(t.Context(), r) }
	for call, answer := range map[string]func(*wattlev1.PlanLayoutRequest) (proto.Message, error){
		"PlanLayout": plan,
		"StreamLayout": func(r *wattlev1.PlanLayoutRequest) (proto.Message, error) {
			stream, err := layouts.StreamLayout(t.Context(), &wattlev1.StreamLayoutRequest{Site: r.GetSite(), Spec: r.GetSpec(), SavedSpec: r.GetSavedSpec(), Parent: r.GetParent()})
			whole := &wattlev1.PlanLayoutResponse{}
			for err == nil {
				var piece *wattlev1.StreamLayoutResponse
				if piece, err = stream.Recv(); errors.Is(err, io.EOF) {
					return whole, nil
				}
				proto.Merge(whole, piece.GetPart())
			}
			return whole, err
		},
		"DrawLayout": func(r *wattlev1.PlanLayoutRequest) (proto.Message, error) {
			return layouts.DrawLayout(t.Context(), &wattlev1.DrawLayoutRequest{Site: r.GetSite(), Spec: r.GetSpec(), SavedSpec: r.GetSavedSpec(), Parent: r.GetParent(),
				Drawing: wattlev1.DrawLayoutRequest_DRAWING_ELEVATION})
		},
		"ComputeTakeoff": func(r *wattlev1.PlanLayoutRequest) (proto.Message, error) {
			return takeoffs.ComputeTakeoff(t.Context(), &wattlev1.ComputeTakeoffRequest{Site: r.GetSite(), Spec: r.GetSpec(), SavedSpec: r.GetSavedSpec(), Parent: r.GetParent()})
		},
	} {
		brought := yard()
		brought.Spec = saved
		want, err := answer(brought)
		if err != nil {
			t.Fatalf("%s: %v", call, err)
		}
		if got, err := answer(named(yard(), "cedar-privacy@1")); err != nil || !proto.Equal(got, want) {
			t.Errorf("%s by name is another: %v, fields %v", call, err, differing(got, want))
		}
		if newest, err := answer(named(yard(), "cedar-privacy")); err != nil || proto.Equal(newest, want) {
			t.Errorf("%s by the newest version: %v, the same as by the first", call, err)
		}
		_, err = answer(named(yard(), "pine"))
		wants(t, err, codes.NotFound, "SPEC_NOT_FOUND")
		nobodys := named(yard(), "cedar-privacy")
		nobodys.Parent = ""
		_, err = answer(nobodys)
		if got := describe(wants(t, err, codes.InvalidArgument, "INVALID_REQUEST")); len(got) != 1 || !strings.HasPrefix(got[0], "parent: expected companies/{company}") {
			t.Errorf("%s without a company: %q", call, got)
		}
		others := named(yard(), "cedar-privacy")
		others.Parent = "companies/otley"
		_, err = answer(others)
		wants(t, err, codes.PermissionDenied, "COMPANY_NOT_YOURS")
	}
}

func TestBadNamesOfSpecs(t *testing.T) {
	conn, _ := serve(t, &estimating.Service{}, Config{})
	for name, c := range map[string]struct {
		spoil func(*wattlev1.PlanLayoutRequest)
		want  []string
	}{
		"both": {
			func(r *wattlev1.PlanLayoutRequest) { r.SavedSpec = "standard/vertical-boards-6ft" },
			[]string{"saved_spec: expected either a spec or the name of a saved one, found both"},
		},
		"neither": {
			func(r *wattlev1.PlanLayoutRequest) { r.Spec = nil },
			[]string{"spec: value is required"},
		},
		"nothing at all": {
			func(r *wattlev1.PlanLayoutRequest) { r.Spec, r.Site = nil, nil },
			[]string{"site: value is required", "spec: value is required"},
		},
		"no name": {
			func(r *wattlev1.PlanLayoutRequest) { named(r, "Cedar") },
			[]string{`saved_spec: "Cedar" does not name a spec`},
		},
		"no version, and more": {
			func(r *wattlev1.PlanLayoutRequest) {
				named(r, "cedar@0").Site.Runs[0].Vertices[1].East = "54"
				r.Site.Runs[0].Gates[0].Leaves = 3
			},
			[]string{"site.runs[0].gates[0].leaves: ", "site.runs[0].vertices[1].east: ", `saved_spec: "0" is not a version`},
		},
		"too long": {
			func(r *wattlev1.PlanLayoutRequest) { named(r, strings.Repeat("a", 129)) },
			[]string{"saved_spec: must be at most 128 characters"},
		},
		"of a company, without a catalogue": {
			func(r *wattlev1.PlanLayoutRequest) { named(r, "cedar") },
			[]string{`saved_spec: "cedar" is kept by the company's service`},
		},
	} {
		request := yard()
		c.spoil(request)
		got := describe(refused(t, conn, request))
		ok := len(got) == len(c.want)
		for i := range min(len(got), len(c.want)) {
			ok = ok && strings.HasPrefix(got[i], c.want[i])
		}
		if !ok {
			t.Errorf("%s: got\n%s\nwant the starts\n%s", name, strings.Join(got, "\n"), strings.Join(c.want, "\n"))
		}
	}
}

// A quote by name is the quote with that spec, and says where the spec came
// from; the fingerprint does not. Repeated, it stays what it was, whatever
// becomes of the entry.
func TestQuoteByTheNameOfASpec(t *testing.T) {
	o := openOffice(t, Config{})
	if _, err := o.importList(t, "march", market("2026-03-01", "14.97")); err != nil {
		t.Fatal(err)
	}
	saved := o.save(t, saveRequest("1", "6 ft")).GetSavedSpec()
	by := func(requestID, name string) *wattlev1.CreateQuoteRequest {
		request := job(requestID)
		request.Spec, request.SavedSpec = nil, name
		return request
	}
	made := o.create(t, by("one", "cedar-privacy"))
	if made.GetSavedSpec() != "cedar-privacy@1" || !proto.Equal(made.GetSpec(), saved.GetSpec()) {
		t.Errorf("made of %q: %v", made.GetSavedSpec(), made.GetSpec())
	}
	brought := job("two")
	brought.Spec = saved.GetSpec()
	if same := o.create(t, brought); same.GetFingerprint() != made.GetFingerprint() || same.GetSavedSpec() != "" {
		t.Errorf("with the spec itself: fingerprint %s of %q, want %s", same.GetFingerprint(), same.GetSavedSpec(), made.GetFingerprint())
	}
	got, err := o.quotes.GetQuote(t.Context(), &wattlev1.GetQuoteRequest{Name: made.GetName()})
	if err != nil || !proto.Equal(got.GetQuote(), made) {
		t.Errorf("read back, the quote is another: %v, fields %v", err, differing(got.GetQuote(), made))
	}
	list, err := o.quotes.ListQuotes(t.Context(), &wattlev1.ListQuotesRequest{Parent: "companies/harrow"})
	if err != nil || !slices.ContainsFunc(list.GetQuotes(), func(q *wattlev1.Quote) bool { return q.GetSavedSpec() == "cedar-privacy@1" }) {
		t.Errorf("in the list no quote says where its spec came from: %v, %v", list, err)
	}

	o.save(t, saveRequest("2", "5 ft"))
	if again := o.create(t, by("one", "cedar-privacy")); !proto.Equal(again, made) {
		t.Errorf("after a new version the same request gets another quote: fields %v", differing(again, made))
	}
	if _, err := o.catalog().WithdrawSpec(t.Context(), &wattlev1.WithdrawSpecRequest{Name: cedar, RequestId: "w"}); err != nil {
		t.Fatal(err)
	}
	if again := o.create(t, by("one", "cedar-privacy")); !proto.Equal(again, made) {
		t.Errorf("after the withdrawal the same request gets another quote: fields %v", differing(again, made))
	}
	_, err = o.quotes.CreateQuote(t.Context(), by("one", "cedar-privacy@1"))
	wants(t, err, codes.AlreadyExists, "REQUEST_ID_REUSED")
	_, err = o.quotes.CreateQuote(t.Context(), by("three", "cedar-privacy"))
	wants(t, err, codes.FailedPrecondition, "SPEC_WITHDRAWN")

	if by := o.create(t, by("four", "standard/vertical-boards-6ft")); by.GetSavedSpec() != "standard/vertical-boards-6ft@1" || by.GetSpec().GetHeight() != "6 ft" {
		t.Errorf("of a standard one: %q, %v", by.GetSavedSpec(), by.GetSpec())
	}
	replay, err := o.quotes.ReplayQuote(t.Context(), &wattlev1.ReplayQuoteRequest{Name: made.GetName()})
	if err != nil || !replay.GetIdentical() {
		t.Errorf("replay: %v, %v", replay, err)
	}
	both := job("five")
	both.SavedSpec = "cedar-privacy@1"
	both.Currency = "usd"
	_, err = o.quotes.CreateQuote(t.Context(), both)
	if got := describe(status.Convert(err)); len(got) != 2 || !strings.HasPrefix(got[0], "currency: ") || !strings.HasPrefix(got[1], "saved_spec: expected either") {
		t.Errorf("both: %q", got)
	}
}

// A repeated quote by name answers how its traverses close, as the first did.
func TestQuoteByNameAnswersClosures(t *testing.T) {
	o := openOffice(t, Config{})
	if _, err := o.importList(t, "march", market("2026-03-01", "14.97")); err != nil {
		t.Fatal(err)
	}
	request := job("lot")
	request.Spec, request.SavedSpec = nil, "standard/vertical-boards-6ft"
	request.Site = &wattlev1.Site{Runs: []*wattlev1.Run{closed(survey(&wattlev1.Traverse{Text: "due E 40 ft; due N 30 ft; due W 40.01 ft; due S 30 ft"}))}}
	for range 2 {
		answer, err := o.quotes.CreateQuote(t.Context(), request)
		if err != nil || len(answer.GetClosures()) != 1 || answer.GetClosures()[0].GetPrecision() != 14_001 {
			t.Errorf("%v, closures %v", err, answer.GetClosures())
		}
	}
}

// The arcs of a job are laid by the table of the spec that it names.
func TestArcsAreLaidByTheNamedSpec(t *testing.T) {
	o := openOffice(t, Config{})
	request := saveRequest("1", "6 ft")
	request.Spec.Curves = []*wattlev1.Spec_Curve{{Radius: "0 in", Chord: "4 ft"}}
	o.save(t, request)
	posts := func(name string) int {
		t.Helper()
		r := named(yard(), name)
		r.Site.Runs = []*wattlev1.Run{{Id: "drive", Vertices: []*wattlev1.Vertex{
			{East: "0 ft", North: "0 ft"},
			{East: "0 ft", North: "60 ft", Arc: &wattlev1.Arc{Radius: "30 ft", Turns: wattlev1.Side_SIDE_LEFT}},
		}}}
		answer, err := wattlev1.NewLayoutServiceClient(o.conn).PlanLayout(t.Context(), r)
		if err != nil {
			t.Fatal(err)
		}
		return len(answer.GetLayout().GetPosts())
	}
	if narrow, wide := posts("cedar-privacy"), posts("standard/vertical-boards-6ft"); narrow < 24 || wide > 14 {
		t.Errorf("%d posts with chords of 4 ft, %d with those of 8 ft; expected about 25 and 13", narrow, wide)
	}
}
