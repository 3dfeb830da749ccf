package rpc

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc/codes"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/types/known/fieldmaskpb"
	"google.golang.org/protobuf/types/known/timestamppb"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/auth"
	"wattle/internal/estimating"
	"wattle/internal/postgres/storetest"
)

// lives is a shop with prices, and its clock.
type lives struct {
	shop
	now  *time.Time
	made int
}

func openLives(t *testing.T) *lives {
	t.Helper()
	l := &lives{shop: openOffice(t, Config{}), now: new(time.Date(2026, 3, 5, 12, 0, 0, 0, time.UTC))}
	l.use.Now = func() time.Time { return *l.now }
	if _, err := l.importList(t, "march", market("2026-03-01", "14.97")); err != nil {
		t.Fatal(err)
	}
	return l
}

func (l *lives) fresh() string { l.made++; return fmt.Sprint("life-", l.made) }

// draft makes a quote as change has it.
func (l *lives) draft(t *testing.T, change ...func(*wattlev1.CreateQuoteRequest)) *wattlev1.Quote {
	t.Helper()
	request := job(l.fresh())
	for _, c := range change {
		c(request)
	}
	return l.create(t, request)
}

func (l *lives) issue(t *testing.T, q *wattlev1.Quote) *wattlev1.Quote {
	t.Helper()
	answer, err := l.quotes.IssueQuote(t.Context(), &wattlev1.IssueQuoteRequest{Name: q.GetName(), RequestId: l.fresh(), Etag: q.GetEtag()})
	if err != nil {
		t.Fatal(err)
	}
	return answer.GetQuote()
}

func (l *lives) accept(t *testing.T, q *wattlev1.Quote, change ...func(*wattlev1.AcceptQuoteRequest)) (*wattlev1.Quote, error) {
	t.Helper()
	request := &wattlev1.AcceptQuoteRequest{Name: q.GetName(), RequestId: l.fresh(), Etag: q.GetEtag(), DecidedBy: wattlev1.QuoteDecision_PARTY_CUSTOMER}
	for _, c := range change {
		c(request)
	}
	answer, err := l.quotes.AcceptQuote(t.Context(), request)
	return answer.GetQuote(), err
}

func (l *lives) get(t *testing.T, name string) *wattlev1.Quote {
	t.Helper()
	answer, err := l.quotes.GetQuote(t.Context(), &wattlev1.GetQuoteRequest{Name: name, View: wattlev1.QuoteView_QUOTE_VIEW_BASIC})
	if err != nil {
		t.Fatal(err)
	}
	return answer.GetQuote()
}

func (l *lives) replays(t *testing.T, name string) {
	t.Helper()
	replay, err := l.quotes.ReplayQuote(t.Context(), &wattlev1.ReplayQuoteRequest{Name: name})
	if err != nil || !replay.GetIdentical() {
		t.Errorf("%s replays as %v, %v", name, replay, err)
	}
}

func TestAQuoteIsIssuedAndAccepted(t *testing.T) {
	l := openLives(t)
	q := l.draft(t)
	if q.GetState() != wattlev1.QuoteState_QUOTE_STATE_DRAFT || q.GetSequence() != 1 || q.GetRoot() != q.GetName() || q.GetOptionGroup() != q.GetName() ||
		q.GetRevisionNumber() != 1 || q.GetExpireTime() != nil || q.GetDecision() != nil || q.GetEtag() == "" {
		t.Errorf("made as %v", l.get(t, q.GetName()))
	}
	_, err := l.accept(t, q)
	wants(t, err, codes.FailedPrecondition, "QUOTE_STATE")

	*l.now = l.now.Add(time.Hour)
	request := &wattlev1.IssueQuoteRequest{Name: q.GetName(), RequestId: "issue", Etag: q.GetEtag()}
	answer, err := l.quotes.IssueQuote(t.Context(), request)
	issued := answer.GetQuote()
	if err != nil || issued.GetState() != wattlev1.QuoteState_QUOTE_STATE_ISSUED || issued.GetSequence() != 2 || issued.GetEtag() == q.GetEtag() ||
		!issued.GetUpdateTime().AsTime().Equal(*l.now) || !issued.GetExpireTime().AsTime().Equal(time.Date(2026, 4, 5, 0, 0, 0, 0, time.UTC)) {
		t.Fatalf("issued as %v, %v", issued, err)
	}
	// Again, with an etag that holds no more: it is the same request.
	if again, err := l.quotes.IssueQuote(t.Context(), request); err != nil || !proto.Equal(again.GetQuote(), issued) {
		t.Errorf("again: %v, %v", again, err)
	}
	request.RequestId = "issue-2"
	_, err = l.quotes.IssueQuote(t.Context(), request)
	if st := wants(t, err, codes.Aborted, "ETAG_MISMATCH"); detail[*errdetails.ErrorInfo](st).GetMetadata()["etag"] != issued.GetEtag() {
		t.Errorf("the etag as it is now is not told: %v", st.Details())
	}
	request.Etag = ""
	_, err = l.quotes.IssueQuote(t.Context(), request)
	wants(t, err, codes.FailedPrecondition, "QUOTE_STATE")

	_, err = l.accept(t, issued, func(r *wattlev1.AcceptQuoteRequest) { r.Fingerprint = strings.Repeat("0", 64) })
	wants(t, err, codes.FailedPrecondition, "FINGERPRINT_MISMATCH")
	for _, day := range []string{"2026-03-04", "2026-03-06"} {
		_, err = l.accept(t, issued, func(r *wattlev1.AcceptQuoteRequest) { r.DecisionDate = day })
		if got := describe(wants(t, err, codes.InvalidArgument, "INVALID_REQUEST")); len(got) != 1 || !strings.HasPrefix(got[0], "decision_date: ") {
			t.Errorf("accepted on %s: %q", day, got)
		}
	}
	accepted, err := l.accept(t, issued, func(r *wattlev1.AcceptQuoteRequest) {
		r.DecidedBy, r.Reference, r.Fingerprint = wattlev1.QuoteDecision_PARTY_AGENT, "envelope-81", issued.GetFingerprint()
	})
	want := &wattlev1.QuoteDecision{DecidedBy: wattlev1.QuoteDecision_PARTY_AGENT, Reference: "envelope-81", DecisionDate: "2026-03-05"}
	if err != nil || accepted.GetState() != wattlev1.QuoteState_QUOTE_STATE_ACCEPTED || !proto.Equal(accepted.GetDecision(), want) {
		t.Fatalf("accepted as %v, %v", accepted, err)
	}
	if got := l.get(t, q.GetName()); !proto.Equal(got, accepted) {
		t.Errorf("read back as %v", got)
	}
	l.replays(t, q.GetName())

	// Accepted is final.
	_, err = l.quotes.VoidQuote(t.Context(), &wattlev1.VoidQuoteRequest{Name: q.GetName(), RequestId: "v"})
	wants(t, err, codes.FailedPrecondition, "QUOTE_STATE")
	_, err = l.quotes.DeclineQuote(t.Context(), &wattlev1.DeclineQuoteRequest{Name: q.GetName(), RequestId: "d"})
	wants(t, err, codes.FailedPrecondition, "QUOTE_STATE")
	_, err = l.quotes.ReviseQuote(t.Context(), &wattlev1.ReviseQuoteRequest{Name: q.GetName(), RequestId: "r"})
	wants(t, err, codes.FailedPrecondition, "QUOTE_STATE")
}

// From the first instant after the last day of validity on, a quote cannot be
// accepted, whether the worker has expired it yet or not; nor can a draft be
// issued.
func TestValidityEndsAtTheOfficesMidnight(t *testing.T) {
	l := openLives(t)
	o, err := wattlev1.NewOfficeServiceClient(l.conn).UpdateOffice(t.Context(), &wattlev1.UpdateOfficeRequest{
		Office:     &wattlev1.Office{Name: "companies/harrow/offices/main", Settings: &wattlev1.OfficeSettings{TimeZone: "America/Denver"}},
		UpdateMask: &fieldmaskpb.FieldMask{Paths: []string{"settings.time_zone"}}, RequestId: "zone",
	})
	if err != nil || o.GetOffice().GetSettings().GetTimeZone() != "America/Denver" {
		t.Fatalf("%v, %v", o, err)
	}
	until := func(r *wattlev1.CreateQuoteRequest) { r.ValidUntil = "2026-03-31" }
	in, out, draft := l.issue(t, l.draft(t, until)), l.issue(t, l.draft(t, until)), l.draft(t, until)
	end := time.Date(2026, 4, 1, 6, 0, 0, 0, time.UTC) // midnight in Denver, in summer
	if !out.GetExpireTime().AsTime().Equal(end) {
		t.Fatalf("expires at %v, want %v", out.GetExpireTime().AsTime(), end)
	}
	ctx := storetest.Context("harrow")
	*l.now = end.Add(-time.Microsecond)
	if n, err := l.use.ExpireQuotes(ctx, "harrow", *l.now, 500); n != 0 || err != nil {
		t.Errorf("%d expired before the day ended, %v", n, err)
	}
	// It is the 31st in Denver still, though not in London.
	if q, err := l.accept(t, in); err != nil || q.GetDecision().GetDecisionDate() != "2026-03-31" {
		t.Errorf("in the last instant: %v, %v", q, err)
	}
	*l.now = end
	_, err = l.accept(t, out)
	wants(t, err, codes.FailedPrecondition, "VALIDITY_ENDED")
	_, err = l.quotes.IssueQuote(t.Context(), &wattlev1.IssueQuoteRequest{Name: draft.GetName(), RequestId: l.fresh()})
	wants(t, err, codes.FailedPrecondition, "VALIDITY_ENDED")
	if n, err := l.use.ExpireQuotes(ctx, "harrow", *l.now, 500); n != 1 || err != nil {
		t.Errorf("%d expired as the day ended, %v", n, err)
	}
	if n, err := l.use.ExpireQuotes(ctx, "harrow", *l.now, 500); n != 0 || err != nil {
		t.Errorf("%d expired once more, %v", n, err)
	}
	if got := l.get(t, out.GetName()); got.GetState() != wattlev1.QuoteState_QUOTE_STATE_EXPIRED || got.GetSequence() != 3 {
		t.Errorf("expired as %v", got)
	}
	_, err = l.accept(t, l.get(t, out.GetName()))
	wants(t, err, codes.FailedPrecondition, "QUOTE_STATE")

	// It is revised for one that is valid today, and stays expired.
	answer, err := l.quotes.ReviseQuote(t.Context(), &wattlev1.ReviseQuoteRequest{Name: out.GetName(), RequestId: l.fresh()})
	if r := answer.GetQuote(); err != nil || r.GetAsOf() != "2026-04-01" || r.GetValidUntil() != "2026-05-01" || r.GetRevises() != out.GetName() {
		t.Errorf("revised: %v", err)
	}
	if got := l.get(t, out.GetName()); got.GetState() != wattlev1.QuoteState_QUOTE_STATE_EXPIRED || got.GetSupersededBy() != answer.GetQuote().GetName() {
		t.Errorf("after its revision: %v", got)
	}
}

func TestRevisionsFormAChain(t *testing.T) {
	l := openLives(t)
	first := l.issue(t, l.draft(t, func(r *wattlev1.CreateQuoteRequest) { r.ExternalReference = "CRM-7" }))
	if _, err := l.importList(t, "dearer", market("2026-03-04", "16.97")); err != nil {
		t.Fatal(err)
	}
	*l.now = l.now.Add(time.Hour)
	request := &wattlev1.ReviseQuoteRequest{Name: first.GetName(), RequestId: "r2", Etag: "1"}
	_, err := l.quotes.ReviseQuote(t.Context(), request)
	wants(t, err, codes.Aborted, "ETAG_MISMATCH")
	request.Etag = first.GetEtag()
	answer, err := l.quotes.ReviseQuote(t.Context(), request)
	second := answer.GetQuote()
	if err != nil || second.GetState() != wattlev1.QuoteState_QUOTE_STATE_DRAFT || second.GetRoot() != first.GetName() || second.GetRevises() != first.GetName() ||
		second.GetRevisionNumber() != 2 || second.GetOptionGroup() != first.GetName() || second.GetExternalReference() != "CRM-7" || second.GetCustomer() != "cust-17" {
		t.Fatalf("revised as %v, %v", l.get(t, second.GetName()), err)
	}
	again, err := l.quotes.ReviseQuote(t.Context(), request)
	if err != nil || !proto.Equal(again.GetQuote(), second) {
		t.Errorf("again: %v, fields %v", err, differing(again.GetQuote(), second))
	}
	if got := l.get(t, first.GetName()); got.GetState() != wattlev1.QuoteState_QUOTE_STATE_VOID || got.GetSupersededBy() != second.GetName() {
		t.Errorf("the first is %v", got)
	}
	// Nothing was asked for but today's prices.
	comparison, err := l.quotes.CompareQuotes(t.Context(), &wattlev1.CompareQuotesRequest{Base: first.GetName(), Other: second.GetName()})
	if err != nil || len(comparison.GetLines()) != 1 || comparison.GetLines()[0].GetItem() != "post-4x4-8ft" {
		t.Errorf("the revision differs in %v, %v", comparison.GetLines(), err)
	}
	_, err = l.quotes.ReviseQuote(t.Context(), &wattlev1.ReviseQuoteRequest{Name: first.GetName(), RequestId: "r2b"})
	if st := wants(t, err, codes.FailedPrecondition, "QUOTE_SUPERSEDED"); !strings.HasSuffix(second.GetName(), "/"+detail[*errdetails.ErrorInfo](st).GetMetadata()["supersededBy"]) {
		t.Errorf("the revision is not named: %v", st.Details())
	}

	// Everything else in the third.
	site := yard().GetSite()
	site.Runs[0].Vertices[1].East = "40 ft"
	third, err := l.quotes.ReviseQuote(t.Context(), &wattlev1.ReviseQuoteRequest{
		Name: second.GetName(), RequestId: "r3", Site: site, Spec: &wattlev1.Spec{Height: "6 ft", Name: "another"}, ExternalReference: new(""),
		CustomLines: &wattlev1.ReviseQuoteRequest_CustomLines{}, Pricing: &wattlev1.Pricing{OverheadPercent: "3"}, AsOf: "2026-03-02", ValidUntil: "2026-06-30",
	})
	if q := third.GetQuote(); err != nil || q.GetRevisionNumber() != 3 || q.GetRoot() != first.GetName() || q.GetExternalReference() != "" || len(q.GetCustomLines()) != 0 ||
		q.GetSpec().GetName() != "another" || q.GetPricing().GetOverheadPercent() != "3" || q.GetValidUntil() != "2026-06-30" || q.GetAsOf() != "2026-03-02" ||
		!strings.HasPrefix(q.GetSite().GetRuns()[0].GetVertices()[1].GetEast(), "40") {
		t.Errorf("the third: %v, %v", q, err)
	}
	list, err := l.quotes.ListQuotes(t.Context(), &wattlev1.ListQuotesRequest{Parent: "companies/harrow", Root: first.GetName()})
	if err != nil || len(list.GetQuotes()) != 3 {
		t.Errorf("the chain has %d quotes, %v", len(list.GetQuotes()), err)
	}
	for _, q := range list.GetQuotes() {
		l.replays(t, q.GetName())
	}
}

func TestOneOptionIsAccepted(t *testing.T) {
	l := openLives(t)
	option := func(of *wattlev1.Quote) func(*wattlev1.CreateQuoteRequest) {
		return func(r *wattlev1.CreateQuoteRequest) { r.OptionOf = of.GetName() }
	}
	cedar := l.draft(t)
	pine, steel := l.draft(t, option(cedar)), l.draft(t, option(cedar))
	vinyl := l.draft(t, option(steel))
	alone := l.issue(t, l.draft(t))
	pine, steel = l.issue(t, pine), l.issue(t, steel)
	if vinyl.GetOptionGroup() != cedar.GetName() || alone.GetOptionGroup() != alone.GetName() {
		t.Errorf("groups %s, %s", vinyl.GetOptionGroup(), alone.GetOptionGroup())
	}
	revised, err := l.quotes.ReviseQuote(t.Context(), &wattlev1.ReviseQuoteRequest{Name: steel.GetName(), RequestId: l.fresh()})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := l.accept(t, pine); err != nil {
		t.Fatal(err)
	}
	for q, want := range map[*wattlev1.Quote]wattlev1.QuoteState{
		cedar: wattlev1.QuoteState_QUOTE_STATE_VOID, pine: wattlev1.QuoteState_QUOTE_STATE_ACCEPTED, vinyl: wattlev1.QuoteState_QUOTE_STATE_VOID,
		steel: wattlev1.QuoteState_QUOTE_STATE_VOID, revised.GetQuote(): wattlev1.QuoteState_QUOTE_STATE_VOID, alone: wattlev1.QuoteState_QUOTE_STATE_ISSUED,
	} {
		if got := l.get(t, q.GetName()).GetState(); got != want {
			t.Errorf("%s is %v, want %v", q.GetName(), got, want)
		}
	}
	for name, refused := range map[string]func() error{
		"an option beside the accepted": func() error {
			_, err := l.quotes.CreateQuote(t.Context(), with(job(l.fresh()), option(pine)))
			return err
		},
		"an option beside one passed over": func() error {
			_, err := l.quotes.CreateQuote(t.Context(), with(job(l.fresh()), option(cedar)))
			return err
		},
		"a revision of one passed over": func() error {
			_, err := l.quotes.ReviseQuote(t.Context(), &wattlev1.ReviseQuoteRequest{Name: cedar.GetName(), RequestId: l.fresh()})
			return err
		},
	} {
		reason := "OPTION_ACCEPTED"
		if strings.HasSuffix(name, "the accepted") {
			reason = "QUOTE_STATE"
		}
		if st := wants(t, refused(), codes.FailedPrecondition, reason); t.Failed() {
			t.Fatalf("%s: %v", name, st)
		}
	}

	// A second option that was issued is declined, not void.
	a := l.issue(t, l.draft(t))
	b := l.issue(t, l.draft(t, option(a)))
	if _, err := l.accept(t, b); err != nil {
		t.Fatal(err)
	}
	if got := l.get(t, a.GetName()); got.GetState() != wattlev1.QuoteState_QUOTE_STATE_DECLINED || got.GetDecision() != nil {
		t.Errorf("the other option: %v", got)
	}
}

func with(r *wattlev1.CreateQuoteRequest, change func(*wattlev1.CreateQuoteRequest)) *wattlev1.CreateQuoteRequest {
	change(r)
	return r
}

func TestChangeOrders(t *testing.T) {
	l := openLives(t)
	q := l.issue(t, l.draft(t))
	change := func(of *wattlev1.Quote) func(*wattlev1.CreateQuoteRequest) {
		return func(r *wattlev1.CreateQuoteRequest) { r.ChangesQuote = of.GetName() }
	}
	_, err := l.quotes.CreateQuote(t.Context(), with(job(l.fresh()), change(q)))
	wants(t, err, codes.FailedPrecondition, "QUOTE_STATE")
	_, err = l.quotes.CreateQuote(t.Context(), with(job(l.fresh()), func(r *wattlev1.CreateQuoteRequest) {
		r.ChangesQuote, r.OptionOf = q.GetName(), "companies/otley/quotes/q1"
	}))
	got := describe(wants(t, err, codes.InvalidArgument, "INVALID_REQUEST"))
	if len(got) != 2 || !strings.HasPrefix(got[0], "option_of: expected a quote of the same company") || !strings.HasPrefix(got[1], "changes_quote: expected it or option_of") {
		t.Errorf("%q", got)
	}
	if q, err = l.accept(t, q); err != nil {
		t.Fatal(err)
	}
	order := l.draft(t, change(q))
	option := l.draft(t, func(r *wattlev1.CreateQuoteRequest) { r.OptionOf = order.GetName() })
	revised, err := l.quotes.ReviseQuote(t.Context(), &wattlev1.ReviseQuoteRequest{Name: order.GetName(), RequestId: l.fresh()})
	if err != nil {
		t.Fatal(err)
	}
	for _, o := range []*wattlev1.Quote{order, option, revised.GetQuote()} {
		if o.GetChangesQuote() != q.GetName() || o.GetOptionGroup() != order.GetName() {
			t.Errorf("%s changes %q, in the group %q", o.GetName(), o.GetChangesQuote(), o.GetOptionGroup())
		}
	}
	if _, err := l.accept(t, l.issue(t, revised.GetQuote())); err != nil {
		t.Fatal(err)
	}
	if got := l.get(t, q.GetName()); got.GetState() != wattlev1.QuoteState_QUOTE_STATE_ACCEPTED || got.GetSequence() != 3 {
		t.Errorf("the quote it changes: %v", got)
	}
}

// Quotes that belong together are of one office, and only who writes there moves
// them.
func TestQuotesOfOtherOffices(t *testing.T) {
	b := openBranches(t)
	main := wattlev1.NewQuoteServiceClient(b.at(t, "main", auth.Estimator)) // sees north, and does not write there
	_, err := main.IssueQuote(t.Context(), &wattlev1.IssueQuoteRequest{Name: b.quote, RequestId: "i"})
	wants(t, err, codes.PermissionDenied, "OFFICE_NOT_YOURS")
	_, err = main.ReviseQuote(t.Context(), &wattlev1.ReviseQuoteRequest{Name: b.quote, RequestId: "r"})
	wants(t, err, codes.PermissionDenied, "OFFICE_NOT_YOURS")
	_, err = main.CreateQuote(t.Context(), with(job("o"), func(r *wattlev1.CreateQuoteRequest) { r.OptionOf = b.quote }))
	wants(t, err, codes.PermissionDenied, "OFFICE_NOT_YOURS")
	admin := wattlev1.NewQuoteServiceClient(b.at(t, "main", auth.Admin)) // writes below
	_, err = admin.CreateQuote(t.Context(), with(job("o"), func(r *wattlev1.CreateQuoteRequest) { r.OptionOf = b.quote }))
	if got := describe(wants(t, err, codes.InvalidArgument, "INVALID_REQUEST")); len(got) != 1 || !strings.HasPrefix(got[0], "option_of: expected a quote of the same office, main") {
		t.Errorf("%q", got)
	}
	if _, err := admin.IssueQuote(t.Context(), &wattlev1.IssueQuoteRequest{Name: b.quote, RequestId: "i"}); err != nil {
		t.Error(err)
	}
}

func TestBadMoves(t *testing.T) {
	l := openLives(t)
	_, err := l.quotes.AcceptQuote(t.Context(), &wattlev1.AcceptQuoteRequest{
		Name: "harrow/1", RequestId: "two words", Reference: "Pat Example", DecisionDate: "1 March", Fingerprint: "abc",
	})
	got := describe(wants(t, err, codes.InvalidArgument, "INVALID_REQUEST"))
	for i, start := range []string{"name: ", "request_id: ", "decided_by: ", "reference: ", "fingerprint: ", "decision_date: "} {
		if i >= len(got) || !strings.HasPrefix(got[i], start) {
			t.Errorf("violation %d is not about %s: %q", i, start, got)
		}
	}
	_, err = l.quotes.ReviseQuote(t.Context(), &wattlev1.ReviseQuoteRequest{
		Name: l.draft(t).GetName(), RequestId: "r", AsOf: "soon", Spec: &wattlev1.Spec{Height: "six feet"}, SavedSpec: "cedar",
		CustomLines: &wattlev1.ReviseQuoteRequest_CustomLines{Lines: []*wattlev1.CustomLine{{Description: "permit", Kind: wattlev1.LineKind_LINE_KIND_FEE, Amount: "much"}}},
	})
	got = describe(wants(t, err, codes.InvalidArgument, "INVALID_REQUEST"))
	for _, start := range []string{"as_of: ", "saved_spec: expected either", "custom_lines.lines[0].amount: "} {
		if !slices.ContainsFunc(got, func(s string) bool { return strings.HasPrefix(s, start) }) {
			t.Errorf("no violation is about %s: %q", start, got)
		}
	}
	_, err = l.quotes.ReviseQuote(t.Context(), &wattlev1.ReviseQuoteRequest{Name: "companies/harrow/quotes/none", RequestId: "r"})
	wants(t, err, codes.NotFound, "QUOTE_NOT_FOUND")
	_, err = l.quotes.VoidQuote(t.Context(), &wattlev1.VoidQuoteRequest{Name: "companies/harrow/quotes/none", RequestId: "r"})
	wants(t, err, codes.NotFound, "QUOTE_NOT_FOUND")
	_, err = l.quotes.ListQuotes(t.Context(), &wattlev1.ListQuotesRequest{
		Parent: "companies/harrow", Root: "companies/otley/quotes/q1", UpdatedSince: &timestamppb.Timestamp{Seconds: -1 << 40},
	})
	if got := describe(wants(t, err, codes.InvalidArgument, "INVALID_REQUEST")); len(got) != 2 {
		t.Errorf("%q", got)
	}
	_, err = l.quotes.ListQuotes(t.Context(), &wattlev1.ListQuotesRequest{Parent: "companies/harrow", States: []wattlev1.QuoteState{0, 99}})
	if got := describe(wants(t, err, codes.InvalidArgument, "INVALID_REQUEST")); len(got) != 2 {
		t.Errorf("%q", got)
	}
	if _, err := l.use.IssueQuote(t.Context(), estimating.Move{Key: estimating.RequestKey{Company: "harrow"}, Quote: "q1"}); err == nil {
		t.Error("a call of nobody's is let in")
	}
}
