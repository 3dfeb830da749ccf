package rpc

import (
	"slices"
	"strings"
	"testing"

	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/proto"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/estimating"
)

// advisers is an office with prices, and its advice service.
func advisers(t *testing.T) (shop, wattlev1.AdviceServiceClient) {
	t.Helper()
	o := openOffice(t, Config{})
	if _, err := o.importList(t, "march", market("2026-03-01", "14.97")); err != nil {
		t.Fatal(err)
	}
	return o, wattlev1.NewAdviceServiceClient(o.conn)
}

// twoWays is the job with its own spec and with narrower bays.
func twoWays() *wattlev1.CompareOptionsRequest {
	j := job("")
	return &wattlev1.CompareOptionsRequest{
		Parent: j.GetParent(), Currency: j.GetCurrency(), AsOf: j.GetAsOf(), Site: j.GetSite(), CustomLines: j.GetCustomLines(), Pricing: j.GetPricing(),
		Options: []*wattlev1.CompareOptionsRequest_NamedSpec{
			{Name: "as usual", Spec: j.GetSpec()},
			{Name: "narrow bays", Spec: &wattlev1.Spec{Height: "6 ft", Layout: &wattlev1.Spec_Layout{MaxBay: "5 ft"}}},
		},
	}
}

func toAdvise() *wattlev1.AdviseRequest {
	j := job("")
	return &wattlev1.AdviseRequest{
		Parent: j.GetParent(), Currency: j.GetCurrency(), AsOf: j.GetAsOf(), Site: j.GetSite(), Spec: j.GetSpec(), CustomLines: j.GetCustomLines(), Pricing: j.GetPricing(),
	}
}

// quoteWith is the job's quote with another spec.
func (o shop) quoteWith(t *testing.T, requestID string, at *wattlev1.Site, spec *wattlev1.Spec) *wattlev1.Quote {
	t.Helper()
	j := job(requestID)
	j.Site, j.Spec = at, spec
	return o.create(t, j)
}

func TestCompareOptions(t *testing.T) {
	o, advice := advisers(t)
	request := twoWays()
	request.Options = append(request.Options, &wattlev1.CompareOptionsRequest_NamedSpec{Name: "too high", Spec: &wattlev1.Spec{Height: "9 ft"}})
	answer, err := advice.CompareOptions(t.Context(), request)
	if err != nil {
		t.Fatal(err)
	}
	for i, option := range answer.GetOptions()[:2] {
		q := o.quoteWith(t, option.GetName()[:2], request.GetSite(), request.GetOptions()[i].GetSpec())
		if !proto.Equal(option.GetTotals(), q.GetTotals()) || !proto.Equal(option.GetPerFoot(), q.GetPerFoot()) || !proto.Equal(option.GetSpec(), q.GetSpec()) ||
			len(option.GetLines()) != len(q.GetTakeoff().GetLines()) || int(option.GetPosts()) != len(q.GetLayout().GetPosts()) || len(option.GetCautions()) != len(q.GetCautions()) {
			t.Errorf("%s is not its quote: %v, %v", option.GetName(), option.GetTotals(), q.GetTotals())
		}
		for j, l := range option.GetLines() {
			if w := q.GetTakeoff().GetLines()[j]; !proto.Equal(l, w) {
				t.Errorf("%s, line %d: %v, its quote has %v", option.GetName(), j, l, w)
			}
			if l.GetUnit() == "hour" && l.GetOrderQuantity() != option.GetCrewHours() {
				t.Errorf("%s: %s crew hours of %s", option.GetName(), option.GetCrewHours(), l.GetOrderQuantity())
			}
		}
		if at := answer.GetPricedAt(); at.GetBookHash() != q.GetBookHash() || at.GetBookRevision() != 1 || at.GetAsOf() != q.GetAsOf() || at.GetCurrency() != "USD" {
			t.Errorf("priced at %v", at)
		}
	}
	if answer.GetCheapest() != "as usual" || answer.GetOptions()[0].GetToCheapest().GetTotal() != "0.00" || strings.HasPrefix(answer.GetOptions()[1].GetToFirst().GetTotal(), "-") {
		t.Errorf("the cheapest is %q: %v", answer.GetCheapest(), answer.GetOptions()[1].GetToFirst())
	}
	high := answer.GetOptions()[2]
	if e := high.GetError(); e.GetReason() != "INVALID_REQUEST" || len(e.GetViolations()) == 0 || e.GetViolations()[0].GetField() != "options[2].spec.rails.count" || high.GetTotals() != nil || high.GetToFirst() != nil {
		t.Errorf("the option that cannot be: %v", high)
	}
	list, err := o.quotes.ListQuotes(t.Context(), &wattlev1.ListQuotesRequest{Parent: request.GetParent()})
	if err != nil || len(list.GetQuotes()) != 2 { // the two of this test
		t.Errorf("%d quotes are stored, %v", len(list.GetQuotes()), err)
	}

	read, err := OptionsFromProto(answer)
	if err != nil {
		t.Fatal(err)
	}
	back := optionsToProto(read)
	for i, option := range answer.GetOptions() {
		option.Spec = nil // not read back
		for _, l := range option.GetLines() {
			l.Derivation = &wattlev1.Derivation{}
		}
		if back.GetOptions()[i].GetSpec() != nil {
			back.Options[i].Spec = nil
		}
		if !proto.Equal(option, back.GetOptions()[i]) {
			t.Errorf("read back: %v, want %v", back.GetOptions()[i], option)
		}
	}
	if !proto.Equal(back.GetPricedAt(), answer.GetPricedAt()) || back.GetCheapest() != answer.GetCheapest() {
		t.Errorf("read back: %v, cheapest %q", back.GetPricedAt(), back.GetCheapest())
	}
}

func TestAdvise(t *testing.T) {
	o, advice := advisers(t)
	request := toAdvise()
	request.TableSize = 100
	answer, err := advice.Advise(t.Context(), request)
	if err != nil {
		t.Fatal(err)
	}
	if answer.GetTried() != 60 || int(answer.GetTried()-answer.GetRefused()) < len(answer.GetTable()) || len(answer.GetTable()) < 20 || !proto.Equal(answer.GetBest(), answer.GetTable()[0]) || !proto.Equal(answer.GetRunnerUp(), answer.GetTable()[1]) {
		t.Errorf("tried %d, refused %d, best %v", answer.GetTried(), answer.GetRefused(), answer.GetBest())
	}
	if q := o.quoteWith(t, "given", request.GetSite(), request.GetSpec()); !proto.Equal(q.GetTotals(), answer.GetGiven().GetTotals()) || strings.HasPrefix(answer.GetToGiven().GetCost(), "-") {
		t.Errorf("as given it is %v, by %v; its quote %v", answer.GetGiven().GetTotals(), answer.GetToGiven(), q.GetTotals())
	}
	if q := o.quoteWith(t, "best", request.GetSite(), answer.GetSpec()); !proto.Equal(q.GetTotals(), answer.GetBest().GetTotals()) || len(q.GetCautions()) != len(answer.GetCautions()) {
		t.Errorf("the best is %v, its quote %v", answer.GetBest().GetTotals(), q.GetTotals())
	}
	read, err := AdviceFromProto(answer)
	if err != nil {
		t.Fatal(err)
	}
	back := adviceToProto(read)
	back.Spec, answer.Spec = nil, nil // not read back
	if !proto.Equal(back, answer) {
		t.Errorf("read back: %v, want %v", back, answer)
	}
}

// A spec of the catalogue in place of the request's own: the same options, and the
// same advice.
func TestAdviceByTheNameOfASpec(t *testing.T) {
	o, advice := advisers(t)
	saved := o.save(t, saveRequest("1", "6 ft")).GetSavedSpec().GetSpec()
	brought, byName := toAdvise(), toAdvise()
	brought.Spec = saved
	byName.Spec, byName.SavedSpec = nil, "cedar-privacy@1"
	want, err := advice.Advise(t.Context(), brought)
	if err != nil {
		t.Fatal(err)
	}
	if got, err := advice.Advise(t.Context(), byName); err != nil || !proto.Equal(got, want) {
		t.Errorf("advice by name is another: %v, fields %v", err, differing(got, want))
	}
	byName.SavedSpec = "pine"
	_, err = advice.Advise(t.Context(), byName)
	wants(t, err, codes.NotFound, "SPEC_NOT_FOUND")

	both, named := twoWays(), twoWays()
	both.Options[1].Spec = saved
	named.Options[1].Spec, named.Options[1].SavedSpec = nil, "cedar-privacy"
	options, err := advice.CompareOptions(t.Context(), both)
	if err != nil {
		t.Fatal(err)
	}
	if got, err := advice.CompareOptions(t.Context(), named); err != nil || !proto.Equal(got, options) {
		t.Errorf("options by name are others: %v, fields %v", err, differing(got, options))
	}
	named.Options[0].SavedSpec = "cedar-privacy"
	named.Options[1].SavedSpec = ""
	_, err = advice.CompareOptions(t.Context(), named)
	got := describe(wants(t, err, codes.InvalidArgument, "INVALID_REQUEST"))
	if len(got) != 2 || !strings.HasPrefix(got[0], "options[0].saved_spec: expected either a spec or the name") || !strings.HasPrefix(got[1], "options[1].spec: value is required") {
		t.Errorf("both and neither: %q", got)
	}
}

// Where wide bays put more wind on a post than it carries, they are left out
// however cheap, and the failing options say so. The post's strength is invented.
func TestAdviseKeepsTheChecks(t *testing.T) {
	_, advice := advisers(t)
	request := toAdvise()
	calm, err := advice.Advise(t.Context(), request)
	if err != nil {
		t.Fatal(err)
	}
	request.Site = proto.CloneOf(request.GetSite())
	request.Site.Conditions = &wattlev1.Conditions{
		Wind:         &wattlev1.Conditions_Wind{Speed: 90, Exposure: "B"},
		PostStrength: &wattlev1.Conditions_PostStrength{Fb: "900", Source: "an invented figure"},
	}
	windy, err := advice.Advise(t.Context(), request)
	if err != nil {
		t.Fatal(err)
	}
	if r := windy.GetRefusals(); len(r) != 1 || r[0].GetReason() != "post-bending" || r[0].GetViolations()[0].GetField() != "spec.posts.size" || r[0].GetCount() != windy.GetRefused() || windy.GetRefused() == 0 || calm.GetRefused() != 0 {
		t.Errorf("refused %d: %v", windy.GetRefused(), r)
	}
	if windy.GetBest().GetPosts() <= calm.GetBest().GetPosts() || len(windy.GetChecks()) == 0 {
		t.Errorf("against wind %v, else %v", windy.GetBest(), calm.GetBest())
	}
	for _, c := range windy.GetChecks() {
		if c.GetOutcome() == wattlev1.Check_OUTCOME_FAIL {
			t.Errorf("the best fails: %v", c)
		}
	}
	compared := twoWays()
	compared.Site = request.GetSite()
	options, err := advice.CompareOptions(t.Context(), compared)
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []bool{true, false} { // bays of 8 ft and of 5 ft
		failing := slices.ContainsFunc(options.GetOptions()[i].GetChecks(), func(c *wattlev1.Check) bool { return c.GetOutcome() == wattlev1.Check_OUTCOME_FAIL })
		if failing != want {
			t.Errorf("%s: failing is %v", options.GetOptions()[i].GetName(), failing)
		}
	}
}

// Arcs are laid by the bays of each candidate, and so is its quote.
func TestAdviseOnACurve(t *testing.T) {
	o, advice := advisers(t)
	request := toAdvise()
	request.Site = &wattlev1.Site{Runs: []*wattlev1.Run{run(at("0 ft,0 ft"), at("40 ft,0 ft"), bend("70 ft,30 ft", "30 ft"))}}
	request.Methods = []wattlev1.Spec_Layout_Method{wattlev1.Spec_Layout_METHOD_EVEN}
	answer, err := advice.Advise(t.Context(), request)
	if err != nil {
		t.Fatal(err)
	}
	for i, c := range answer.GetTable() {
		spec := proto.CloneOf(request.GetSpec())
		stock := []string{}
		for _, l := range c.GetChoice().GetStock() {
			stock = append(stock, l.GetPrinted())
		}
		spec.Layout = &wattlev1.Spec_Layout{MaxBay: c.GetChoice().GetMaxBay().GetPrinted()}
		spec.Rails = &wattlev1.Spec_Rails{Stock: stock}
		if q := o.quoteWith(t, string(rune('a'+i)), request.GetSite(), spec); !proto.Equal(q.GetTotals(), c.GetTotals()) {
			t.Errorf("%v: %v, its quote %v", c.GetChoice(), c.GetTotals(), q.GetTotals())
		}
	}
}

// fields are the fields of a refused call's violations.
func fields(t *testing.T, err error) []string {
	t.Helper()
	var out []string
	for _, v := range detail[*errdetails.BadRequest](status.Convert(err)).GetFieldViolations() {
		out = append(out, v.GetField())
	}
	return out
}

func TestBadAdviceRequests(t *testing.T) {
	_, advice := advisers(t)
	options := func(change func(*wattlev1.CompareOptionsRequest)) error {
		request := proto.CloneOf(twoWays())
		change(request)
		_, err := advice.CompareOptions(t.Context(), request)
		return err
	}
	choices := func(change func(*wattlev1.AdviseRequest)) error {
		request := proto.CloneOf(toAdvise())
		change(request)
		_, err := advice.Advise(t.Context(), request)
		return err
	}
	for name, c := range map[string]struct {
		err    error
		code   codes.Code
		reason string
		want   []string
	}{
		"unreadable options": {options(func(r *wattlev1.CompareOptionsRequest) {
			r.Parent, r.Currency, r.AsOf = "harrow", "dollars", "2026-02-30"
			r.Options[0].Name, r.Options[1].Spec.Height = "", "six"
			r.Site.Runs[0].Vertices[1].East = "54"
			r.Pricing.ProfitPercent = "lots"
		}), codes.InvalidArgument, "INVALID_REQUEST", []string{"as_of", "currency", "options[0].name", "options[1].spec.height", "parent", "pricing.profit_percent", "site.runs[0].vertices[1].east"}},
		"one option": {options(func(r *wattlev1.CompareOptionsRequest) { r.Options = r.GetOptions()[:1] }),
			codes.InvalidArgument, "INVALID_REQUEST", []string{"options"}},
		"no site": {options(func(r *wattlev1.CompareOptionsRequest) { r.Site, r.Options[1].Spec = nil, nil }),
			codes.InvalidArgument, "INVALID_REQUEST", []string{"options[1].spec", "site"}},
		"one name": {options(func(r *wattlev1.CompareOptionsRequest) { r.Options[1].Name = r.GetOptions()[0].GetName() }),
			codes.InvalidArgument, "INVALID_REQUEST", []string{"options[1].name"}},
		"no option stands": {options(func(r *wattlev1.CompareOptionsRequest) {
			r.Options[0].Spec.Posts = &wattlev1.Spec_Posts{Size: "1x6"}
			r.Options[1].Spec.Height = "9 ft"
			r.Site.Runs[0].Gates[0].Station = "90 ft"
		}), codes.InvalidArgument, "INVALID_REQUEST", []string{"options[0].spec.posts.size", "options[1].spec.rails.count", "site.runs[0].gates[0].station"}},
		"no prices": {options(func(r *wattlev1.CompareOptionsRequest) { r.AsOf = "2026-02-01" }),
			codes.FailedPrecondition, "PRICES_MISSING", nil},
		"unreadable advice": {choices(func(r *wattlev1.AdviseRequest) {
			r.BayFrom, r.BayStep, r.TableSize = "0 ft", "half a foot", 101
			r.Methods = []wattlev1.Spec_Layout_Method{1, 1, 9}
			r.Spec.Height = "six"
		}), codes.InvalidArgument, "INVALID_REQUEST", []string{"bay_from", "bay_step", "methods", "methods[2]", "spec.height", "table_size"}},
		"too many candidates": {choices(func(r *wattlev1.AdviseRequest) { r.BayStep = "1/16 in" }),
			codes.InvalidArgument, "INVALID_REQUEST", []string{"bay_step"}},
		"nothing passes": {choices(func(r *wattlev1.AdviseRequest) {
			r.BayTo, r.Spec.Layout = "6 ft", &wattlev1.Spec_Layout{MinBay: new("5 ft 11 in"), MaxBay: "6 ft"}
		}), codes.FailedPrecondition, "NO_CANDIDATE_PASSES", []string{"spec.layout"}},
		"no prices for any": {choices(func(r *wattlev1.AdviseRequest) { r.Currency = "CAD" }),
			codes.FailedPrecondition, "PRICES_MISSING", nil},
		"a revision to come": {choices(func(r *wattlev1.AdviseRequest) { r.Revision = new(int64(9)) }),
			codes.InvalidArgument, "REVISION_UNKNOWN", nil},
	} {
		wants(t, c.err, c.code, c.reason)
		got := fields(t, c.err)
		slices.Sort(got)
		if c.want != nil && !slices.Equal(got, c.want) {
			t.Errorf("%s: %q, want %q\n%v", name, got, c.want, c.err)
		}
	}
}

// Without a store there are no prices; what is wrong with the request is told
// all the same.
func TestAdviceWithoutAStore(t *testing.T) {
	conn, _ := serve(t, &estimating.Service{}, Config{})
	_, err := wattlev1.NewAdviceServiceClient(conn).Advise(t.Context(), &wattlev1.AdviseRequest{Parent: "companies/harrow", Currency: "USD", AsOf: "2026-03-05", Site: yard().GetSite(), Spec: &wattlev1.Spec{Height: "9 ft"}})
	wants(t, err, codes.InvalidArgument, "INVALID_REQUEST")
}
