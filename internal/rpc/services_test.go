package rpc

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/estimating"
	"wattle/internal/postgres/storetest"
)

// shop is a server on a database of its own, with a clock that goes on by a
// second for every quote.
type shop struct {
	use    *estimating.Service
	quotes wattlev1.QuoteServiceClient
	prices wattlev1.PriceBookServiceClient
	conn   *grpc.ClientConn
}

func openOffice(t *testing.T, config Config) shop {
	t.Helper()
	store := storetest.New(t)
	made := 0
	use := &estimating.Service{
		Quotes: store, Prices: store, Specs: store, Offices: store, Impacts: store, Customers: store, Actuals: store, Events: store, Exports: store, Papers: store,
		Now:   func() time.Time { return time.Date(2026, 3, 5, 12, 0, made, 0, time.UTC) },
		NewID: func() string { made++; return fmt.Sprintf("q%04d", made) },
	}
	return officeOn(t, use, config)
}

func officeOn(t *testing.T, use *estimating.Service, config Config) shop {
	t.Helper()
	conn, _ := serve(t, use, config)
	return shop{use, wattlev1.NewQuoteServiceClient(conn), wattlev1.NewPriceBookServiceClient(conn), conn}
}

// importList imports a price list under a request id.
func (o shop) importList(t *testing.T, requestID, list string, change ...func(*wattlev1.ImportPricesRequest_Header)) (*wattlev1.ImportPricesResponse, error) {
	t.Helper()
	h := header()
	h.GetHeader().RequestId = requestID
	for _, c := range change {
		c(h.GetHeader())
	}
	half := len(list) / 2
	return send(t, o.conn, h, chunk(list[:half]), chunk(list[half:]), trailer(int64(strings.Count(list, "\n")-1), list))
}

// market prices everything that the yard takes. Invented figures.
func market(effective, post string) string {
	var b strings.Builder
	b.WriteString("item,effective,unit,price,currency\n")
	for _, row := range []string{
		"post-4x4-8ft,each," + post, "post-4x4-10ft,each,21.10", "post-4x4-12ft,each,27.40",
		"post-6x6-8ft,each,33.90", "post-6x6-10ft,each,41.75", "post-6x6-12ft,each,52.30",
		"rail-2x4-8ft,each,5.12", "rail-2x4-12ft,each,7.95", "rail-2x4-16ft,each,10.88",
		"board-1x6-6ft,each,3.28", "concrete-80lb,bag,6.48", "gravel,ft3,2.10", "nail-8d-ring,lb,4.20", "nail-16d,lb,3.10",
		"cap-4x4,each,2.15", "cap-6x6,each,4.60", "gate-hinge,each,8.75", "gate-latch,each,14.20", "gate-drop-rod,each,19.90",
		"crew-hour,hour,62.00", "rate-fence,hour/ft,0.18", "rate-gate,hour/leaf,1.5",
	} {
		f := strings.Split(row, ",")
		fmt.Fprintf(&b, "%s,%s,%s,%s,USD\n", f[0], effective, f[1], f[2])
	}
	return b.String()
}

func job(requestID string) *wattlev1.CreateQuoteRequest {
	return &wattlev1.CreateQuoteRequest{
		Parent: "companies/harrow", RequestId: requestID, Customer: "cust-17", ExternalReference: "job-1", Currency: "USD", AsOf: "2026-03-05",
		Site: yard().GetSite(), Spec: yard().GetSpec(),
		CustomLines: []*wattlev1.CustomLine{{Description: "permit", Kind: wattlev1.LineKind_LINE_KIND_FEE, Amount: "45.00"}},
		Pricing:     &wattlev1.Pricing{OverheadPercent: "10", ProfitPercent: "15", Tax: &wattlev1.Tax{Percent: "6.25", Kinds: []wattlev1.LineKind{wattlev1.LineKind_LINE_KIND_MATERIAL}}},
	}
}

func (o shop) create(t *testing.T, request *wattlev1.CreateQuoteRequest) *wattlev1.Quote {
	t.Helper()
	answer, err := o.quotes.CreateQuote(t.Context(), request)
	if err != nil {
		t.Fatal(err)
	}
	return answer.GetQuote()
}

// wants fails unless err has the code and the reason.
func wants(t *testing.T, err error, code codes.Code, reason string) *status.Status {
	t.Helper()
	st := status.Convert(err)
	if got := detail[*errdetails.ErrorInfo](st).GetReason(); st.Code() != code || got != reason {
		t.Errorf("%v %s (%s), want %v %s", st.Code(), got, st.Message(), code, reason)
	}
	return st
}

// A quote off a traverse answers how that closes, the first time and again; the
// stored quote knows only where the fence stands.
func TestQuoteAnswersClosures(t *testing.T) {
	o := openOffice(t, Config{})
	if _, err := o.importList(t, "march", market("2026-03-01", "14.97")); err != nil {
		t.Fatal(err)
	}
	request := job("lot")
	request.Site = &wattlev1.Site{Runs: []*wattlev1.Run{closed(survey(&wattlev1.Traverse{Text: "due E 40 ft; due N 30 ft; due W 40.01 ft; due S 30 ft"}))}}
	for range 2 {
		answer, err := o.quotes.CreateQuote(t.Context(), request)
		if err != nil || len(answer.GetClosures()) != 1 || answer.GetClosures()[0].GetPrecision() != 14_001 {
			t.Errorf("%v, closures %v", err, answer.GetClosures())
		}
	}
}

func TestPricesOverTheWire(t *testing.T) {
	o := openOffice(t, Config{})
	list := market("2026-03-01", "14.97")
	dry, err := o.importList(t, "march", list, func(h *wattlev1.ImportPricesRequest_Header) { h.DryRun = true })
	if err != nil || dry.GetApplied() || dry.GetRevision() != 0 || dry.GetCounts().GetAdded() != 22 || len(dry.GetChanges()) != 22 {
		t.Fatalf("dry run: %v, %v", dry, err)
	}
	first, err := o.importList(t, "march", list)
	if err != nil || !first.GetApplied() || first.GetRevision() != 1 || len(first.GetHeadHash()) != 64 {
		t.Fatalf("import: %v, %v", first, err)
	}
	again, err := o.importList(t, "march", list)
	if err != nil || again.GetRevision() != 1 || again.GetHeadHash() != first.GetHeadHash() {
		t.Errorf("the same request again: %v, %v", again, err)
	}
	_, err = o.importList(t, "march", market("2026-03-01", "15.97"))
	wants(t, err, codes.AlreadyExists, "REQUEST_ID_REUSED")

	_, err = o.importList(t, "april", market("2026-04-01", "16.20"), func(h *wattlev1.ImportPricesRequest_Header) { h.BaseRevision = new(int64(0)) })
	wants(t, err, codes.Aborted, "BOOK_MOVED")
	moved, err := o.importList(t, "april", market("2026-04-01", "16.20"), func(h *wattlev1.ImportPricesRequest_Header) { h.BaseRevision = new(int64(1)) })
	if err != nil || moved.GetCounts().GetRepriced() != 1 || moved.GetCounts().GetConfirmed() != 21 {
		t.Fatalf("april: %v, %v", moved.GetCounts(), err)
	}
	i := slices.IndexFunc(moved.GetChanges(), func(c *wattlev1.PriceChange) bool { return c.GetKind() == wattlev1.PriceChange_KIND_REPRICED })
	if c := moved.GetChanges()[i]; c.GetPercent() != "8.22" || c.GetOld().GetBreaks()[0].GetPrice() != "14.97" || c.GetNew().GetBreaks()[0].GetPrice() != "16.20" {
		t.Errorf("repriced: %v", c)
	}

	for _, c := range []struct {
		asOf     string
		revision *int64
		price    string
		note     string
	}{
		{"2026-03-31", nil, "14.97", ""},
		{"2026-04-01", nil, "16.20", ""},
		{"2026-04-01", new(int64(1)), "14.97", ""},
		{"2026-04-01", new(int64(0)), "", "unknown item"},
	} {
		answer, err := o.prices.ResolvePrices(t.Context(), &wattlev1.ResolvePricesRequest{
			Parent: "companies/harrow", Items: []string{"post-4x4-8ft"}, AsOf: c.asOf, Revision: c.revision, Currency: "USD"})
		if err != nil {
			t.Fatal(err)
		}
		p := answer.GetPrices()[0]
		price := ""
		if len(p.GetOffers()) == 1 {
			price = p.GetOffers()[0].GetBreaks()[0].GetPrice()
		}
		if price != c.price || !strings.HasPrefix(p.GetNote(), c.note) || answer.GetAsOf() != c.asOf {
			t.Errorf("%s: %s %q as of %s", c.asOf, price, p.GetNote(), answer.GetAsOf())
		}
	}
	_, err = o.prices.ResolvePrices(t.Context(), &wattlev1.ResolvePricesRequest{
		Parent: "companies/harrow", Items: []string{"gravel"}, Revision: new(int64(9)), Currency: "USD"})
	if got := describe(wants(t, err, codes.InvalidArgument, "REVISION_UNKNOWN")); len(got) != 1 || !strings.HasPrefix(got[0], "revision: ") {
		t.Errorf("%q", got)
	}
}

// The pages of a history are of one state of the book, whatever is imported
// between them.
func TestPriceHistoryPages(t *testing.T) {
	o := openOffice(t, Config{})
	add := func(date, price string) {
		t.Helper()
		list := "item,effective,unit,price,currency\ngravel," + date + ",ft3," + price + ",USD\n"
		if _, err := o.importList(t, "gravel-"+price, list, func(h *wattlev1.ImportPricesRequest_Header) { h.AcceptJumps = true }); err != nil {
			t.Fatal(err)
		}
	}
	for i, price := range []string{"1", "2", "3", "4", "5"} {
		add(fmt.Sprintf("2026-0%d-01", i+1), price)
	}
	var got []string
	request := &wattlev1.ListPriceHistoryRequest{Parent: "companies/harrow", Item: "gravel", PageSize: 2}
	for page := 0; ; page++ {
		answer, err := o.prices.ListPriceHistory(t.Context(), request)
		if err != nil {
			t.Fatal(err)
		}
		for _, e := range answer.GetEntries() {
			got = append(got, e.GetBreaks()[0].GetPrice())
		}
		if request.PageToken = answer.GetNextPageToken(); request.GetPageToken() == "" {
			break
		}
		add("2027-01-01", fmt.Sprint(100+page))
	}
	if want := []string{"5.00", "4.00", "3.00", "2.00", "1.00"}; !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
}

func TestQuotesOverTheWire(t *testing.T) {
	o := openOffice(t, Config{})
	_, err := o.quotes.CreateQuote(t.Context(), job("early"))
	if missing := describe(wants(t, err, codes.FailedPrecondition, "PRICES_MISSING")); len(missing) < 15 {
		t.Errorf("not every missing price is listed: %q", missing)
	}
	if _, err := o.importList(t, "march", market("2026-03-01", "14.97")); err != nil {
		t.Fatal(err)
	}

	made := o.create(t, job("one"))
	if made.GetView() != wattlev1.QuoteView_QUOTE_VIEW_FULL || made.GetTakeoff() == nil || made.GetLayout() == nil ||
		made.GetExternalReference() != "job-1" || made.GetBookRevision() != 1 || made.GetValidUntil() != "2026-04-04" ||
		made.GetTotal() != made.GetTotals().GetTotal() || len(made.GetFingerprint()) != 64 {
		t.Errorf("made %v in %v, %s", made.GetName(), made.GetView(), made.GetTotal())
	}
	if last := made.GetLines()[len(made.GetLines())-1]; last.GetKind() != wattlev1.LineKind_LINE_KIND_FEE || last.GetPrice() != "45.00" {
		t.Errorf("the permit: %v", last)
	}

	basic := job("one")
	basic.View = wattlev1.QuoteView_QUOTE_VIEW_BASIC
	if again := o.create(t, basic); again.GetName() != made.GetName() || again.GetLayout() != nil || again.GetView() != wattlev1.QuoteView_QUOTE_VIEW_BASIC {
		t.Errorf("the same request in another view: %s, %v", again.GetName(), again.GetView())
	}
	other := job("one")
	other.Spec.Height = "5 ft"
	_, err = o.quotes.CreateQuote(t.Context(), other)
	wants(t, err, codes.AlreadyExists, "REQUEST_ID_REUSED")

	got, err := o.quotes.GetQuote(t.Context(), &wattlev1.GetQuoteRequest{Name: made.GetName()})
	if err != nil || !proto.Equal(got.GetQuote(), made) {
		t.Errorf("read back, the quote is another: %v, fields %v", err, differing(got.GetQuote(), made))
	}
	_, err = o.quotes.GetQuote(t.Context(), &wattlev1.GetQuoteRequest{Name: "companies/harrow/quotes/none"})
	st := wants(t, err, codes.NotFound, "QUOTE_NOT_FOUND")
	if r := detail[*errdetails.ResourceInfo](st); r.GetResourceName() == "" {
		t.Errorf("the missing quote is not named: %v", st.Details())
	}
	_, err = o.quotes.GetQuote(t.Context(), &wattlev1.GetQuoteRequest{Name: "companies/otley/quotes/" + strings.TrimPrefix(made.GetName(), "companies/harrow/quotes/")})
	wants(t, err, codes.PermissionDenied, "COMPANY_NOT_YOURS")

	replay, err := o.quotes.ReplayQuote(t.Context(), &wattlev1.ReplayQuoteRequest{Name: made.GetName()})
	if err != nil || !replay.GetIdentical() || replay.GetFingerprint() != made.GetFingerprint() {
		t.Errorf("replay: %v, %v", replay, err)
	}

	if _, err := o.importList(t, "dearer", market("2026-03-02", "16.97")); err != nil {
		t.Fatal(err)
	}
	later := o.create(t, job("two"))
	comparison, err := o.quotes.CompareQuotes(t.Context(), &wattlev1.CompareQuotesRequest{Base: made.GetName(), Other: later.GetName()})
	if err != nil || len(comparison.GetLines()) != 1 {
		t.Fatalf("comparison: %v, %v", comparison, err)
	}
	// The list moved the 8 ft post by 2.00, and nothing else.
	if l := comparison.GetLines()[0]; l.GetItem() != "post-4x4-8ft" || l.GetPriceEffect() != l.GetCostDifference() ||
		l.GetBase().GetUnitPrice() != "14.97" || l.GetOther().GetUnitPrice() != "16.97" || l.GetBase().GetQuantity() != l.GetOther().GetQuantity() {
		t.Errorf("difference: %v", l)
	}
	_, err = o.quotes.CompareQuotes(t.Context(), &wattlev1.CompareQuotesRequest{Base: made.GetName(), Other: "companies/otley/quotes/q1"})
	if got := describe(status.Convert(err)); len(got) != 1 || !strings.HasPrefix(got[0], "other: ") {
		t.Errorf("two companies: %v", err)
	}
}

// differing names the fields in which two messages of a type differ.
func differing(a, b proto.Message) (names []protoreflect.Name) {
	fields := a.ProtoReflect().Descriptor().Fields()
	for i := range fields.Len() {
		if f := fields.Get(i); !a.ProtoReflect().Get(f).Equal(b.ProtoReflect().Get(f)) {
			names = append(names, f.Name())
		}
	}
	return names
}

func TestQuoteDocuments(t *testing.T) {
	o := openOffice(t, Config{})
	if _, err := o.importList(t, "march", market("2026-03-01", "14.97")); err != nil {
		t.Fatal(err)
	}
	made := o.create(t, job("one"))
	for format, want := range map[wattlev1.RenderQuoteRequest_Format]struct{ mediaType, holds string }{
		wattlev1.RenderQuoteRequest_FORMAT_UNSPECIFIED:     {plainText, "job-1"},
		wattlev1.RenderQuoteRequest_FORMAT_QUOTE_TEXT:      {plainText, made.GetFingerprint()},
		wattlev1.RenderQuoteRequest_FORMAT_TAKEOFF_CSV:     {csvText, "post-4x4-8ft"},
		wattlev1.RenderQuoteRequest_FORMAT_PLAN_SVG:        {svgImage, "</svg>"},
		wattlev1.RenderQuoteRequest_FORMAT_CANONICAL_JSON:  {jsonText, "job-1"},
		wattlev1.RenderQuoteRequest_FORMAT_ELEVATION_SVG:   {svgImage, "Run back: "},
		wattlev1.RenderQuoteRequest_FORMAT_CREW_SHEET_SVG:  {svgImage, "Run back: "},
		wattlev1.RenderQuoteRequest_FORMAT_CREW_SHEET_TEXT: {plainText, "Marked by"},
		wattlev1.RenderQuoteRequest_FORMAT_CREW_SHEET_CSV:  {csvText, "P1"},

		wattlev1.RenderQuoteRequest_FORMAT_PROPOSAL_PDF:     {pdfFile, "%PDF-"},
		wattlev1.RenderQuoteRequest_FORMAT_CREW_SHEET_PDF:   {pdfFile, "%PDF-"},
		wattlev1.RenderQuoteRequest_FORMAT_CUT_LIST_PDF:     {pdfFile, "%PDF-"},
		wattlev1.RenderQuoteRequest_FORMAT_ORDER_LIST_PDF:   {pdfFile, "%PDF-"},
		wattlev1.RenderQuoteRequest_FORMAT_PRICE_LETTER_PDF: {pdfFile, "%PDF-"},
	} {
		answer, err := o.quotes.RenderQuote(t.Context(), &wattlev1.RenderQuoteRequest{Name: made.GetName(), Format: format})
		d := answer.GetDocument()
		if err != nil || d.GetMediaType() != want.mediaType || d.GetFileName() == "" || !strings.Contains(string(d.GetContent()), want.holds) {
			t.Errorf("%v: %v, %s %s of %d bytes", format, err, d.GetMediaType(), d.GetFileName(), len(d.GetContent()))
		}
		if want.mediaType == jsonText && !json.Valid(d.GetContent()) {
			t.Errorf("%v is no JSON", format)
		}
	}
	if every := len(wattlev1.RenderQuoteRequest_Format_name); every != 14 {
		t.Errorf("%d formats, of which 14 are tested", every)
	}
	_, err := o.quotes.RenderQuote(t.Context(), &wattlev1.RenderQuoteRequest{
		Name: made.GetName(), Format: wattlev1.RenderQuoteRequest_FORMAT_ELEVATION_SVG, Run: "nowhere",
	})
	if got := describe(wants(t, err, codes.InvalidArgument, "INVALID_REQUEST")); !slices.Equal(got, []string{`run: there is no run "nowhere" in this job`}) {
		t.Errorf("an unknown run: %q", got)
	}
	letter, err := wattlev1.NewLayoutServiceClient(o.conn).DrawLayout(t.Context(), &wattlev1.DrawLayoutRequest{Site: yard().GetSite(), Spec: yard().GetSpec()})
	if err != nil {
		t.Fatal(err)
	}
	a4, err := wattlev1.NewLayoutServiceClient(o.conn).DrawLayout(t.Context(), &wattlev1.DrawLayoutRequest{Site: yard().GetSite(), Spec: yard().GetSpec(), Paper: wattlev1.Paper_PAPER_A4})
	if err != nil || string(a4.GetDocument().GetContent()) == string(letter.GetDocument().GetContent()) {
		t.Errorf("A4: %v", err)
	}
}

// A quote of a traverse holds the site in local coordinates, and what is found
// wrong with it is told in the traverse's own words.
func TestQuoteOfATraverse(t *testing.T) {
	o := openOffice(t, Config{})
	if _, err := o.importList(t, "march", market("2026-03-01", "14.97")); err != nil {
		t.Fatal(err)
	}
	request := job("surveyed")
	request.Site.Runs = []*wattlev1.Run{survey(&wattlev1.Traverse{Text: "due E 20 ft; due N 24 ft"})}
	stored := o.create(t, request).GetSite().GetRuns()[0]
	if stored.GetTraverse() != nil || len(stored.GetVertices()) != 3 || stored.GetVertices()[2].GetNorth() != "24 ft" {
		t.Errorf("the stored run is %v", stored)
	}
	request = job("crossed")
	request.Site.Runs = []*wattlev1.Run{survey(&wattlev1.Traverse{Text: "due E 20 ft; due E 0.1 in; due W 20 ft"})}
	_, err := o.quotes.CreateQuote(t.Context(), request)
	for _, line := range describe(wants(t, err, codes.InvalidArgument, "INVALID_REQUEST")) {
		if !strings.HasPrefix(line, "site.runs[0].traverse.text: leg ") {
			t.Errorf("%s", line)
		}
	}
}

func TestListQuotes(t *testing.T) {
	o := openOffice(t, Config{})
	if _, err := o.importList(t, "march", market("2026-03-01", "14.97")); err != nil {
		t.Fatal(err)
	}
	var want []string // newest first
	for i := range 5 {
		request := job(fmt.Sprint("list-", i))
		request.ExternalReference = fmt.Sprint("job-", i%2)
		want = slices.Insert(want, 0, o.create(t, request).GetName())
	}
	list := func(request *wattlev1.ListQuotesRequest) (names []string) {
		t.Helper()
		request.Parent = "companies/harrow"
		for {
			page, err := o.quotes.ListQuotes(t.Context(), request)
			if err != nil {
				t.Fatal(err)
			}
			for _, q := range page.GetQuotes() {
				if q.GetView() != wattlev1.QuoteView_QUOTE_VIEW_BASIC || q.GetSite() != nil {
					t.Errorf("%s is not basic", q.GetName())
				}
				names = append(names, q.GetName())
			}
			if len(page.GetQuotes()) > int(request.GetPageSize()) && request.GetPageSize() > 0 {
				t.Errorf("a page of %d", len(page.GetQuotes()))
			}
			if request.PageToken = page.GetNextPageToken(); request.GetPageToken() == "" {
				return names
			}
		}
	}
	for size := range int32(7) {
		if got := list(&wattlev1.ListQuotesRequest{PageSize: size}); !slices.Equal(got, want) {
			t.Errorf("pages of %d: %q, want %q", size, got, want)
		}
	}
	if got := list(&wattlev1.ListQuotesRequest{PageSize: 1, ExternalReference: "job-1"}); !slices.Equal(got, []string{want[1], want[3]}) {
		t.Errorf("by reference: %q", got)
	}
	if got := list(&wattlev1.ListQuotesRequest{Customer: "cust-18"}); len(got) != 0 {
		t.Errorf("of another customer: %q", got)
	}

	page, err := o.quotes.ListQuotes(t.Context(), &wattlev1.ListQuotesRequest{Parent: "companies/harrow", PageSize: 1})
	if err != nil {
		t.Fatal(err)
	}
	for name, request := range map[string]*wattlev1.ListQuotesRequest{
		"another filter's": {Parent: "companies/harrow", Customer: "cust-17", PageToken: page.GetNextPageToken()},
		"no token":         {Parent: "companies/harrow", PageToken: "cGFnZSAy"},
		"no base64":        {Parent: "companies/harrow", PageToken: "page 2"},
	} {
		_, err := o.quotes.ListQuotes(t.Context(), request)
		if got := describe(wants(t, err, codes.InvalidArgument, "INVALID_REQUEST")); len(got) != 1 || !strings.HasPrefix(got[0], "page_token: ") {
			t.Errorf("%s: %q", name, got)
		}
	}
}

// A quote that is stored is answered with, even where the answer in full would
// be too large.
func TestCreateQuoteTooLargeForOneAnswer(t *testing.T) {
	o := openOffice(t, Config{})
	if _, err := o.importList(t, "march", market("2026-03-01", "14.97")); err != nil {
		t.Fatal(err)
	}
	small := officeOn(t, o.use, Config{MaxAnswer: 2000})
	made := small.create(t, job("one"))
	if made.GetView() != wattlev1.QuoteView_QUOTE_VIEW_BASIC || made.GetName() == "" || made.GetLayout() != nil {
		t.Errorf("made %s in %v", made.GetName(), made.GetView())
	}
	_, err := small.quotes.GetQuote(t.Context(), &wattlev1.GetQuoteRequest{Name: made.GetName()})
	wants(t, err, codes.ResourceExhausted, "ANSWER_TOO_LARGE")
	if whole := o.create(t, job("one")); whole.GetName() != made.GetName() || whole.GetLayout() == nil {
		t.Errorf("from a server with room: %v", whole.GetName())
	}
}
