package rpc

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"
	"google.golang.org/protobuf/types/known/timestamppb"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/auth"
	"wattle/internal/postgres/storetest"
)

const harrowParent = "companies/harrow"

// mostRows is more than any list of these tests has.
const mostRows = 5000

// bookOf reads all pages of an export; between is called after each.
func bookOf(t *testing.T, conn *grpc.ClientConn, req *wattlev1.ExportPricesRequest, between func(page int)) ([]*wattlev1.PriceEntry, *wattlev1.ExportPricesResponse) {
	t.Helper()
	req = proto.CloneOf(req)
	var all []*wattlev1.PriceEntry
	var first *wattlev1.ExportPricesResponse
	for page := 0; ; page++ {
		answer, err := wattlev1.NewExportServiceClient(conn).ExportPrices(t.Context(), req)
		if err != nil {
			t.Fatal(err)
		}
		if first == nil {
			first = answer
		}
		if answer.GetUntilRevision() != first.GetUntilRevision() || answer.GetHeadHash() != first.GetHeadHash() {
			t.Errorf("page %d is up to revision %d, the first one up to %d", page, answer.GetUntilRevision(), first.GetUntilRevision())
		}
		all = append(all, answer.GetEntries()...)
		if req.PageToken = answer.GetNextPageToken(); req.GetPageToken() == "" {
			return all, first
		}
		if len(all) > mostRows {
			t.Fatal("the list has no end")
		}
		between(page)
	}
}

func namesOf(entries []*wattlev1.PriceEntry) []string {
	names := make([]string, len(entries))
	for i, e := range entries {
		names[i] = fmt.Sprintf("%06d %q %q %q %s", e.GetRevision(), e.GetItem(), e.GetOffice(), e.GetSupplier(), e.GetEffectiveDate())
	}
	return names
}

func sameRows[M proto.Message](t *testing.T, what string, got, want []M) {
	t.Helper()
	if !slices.EqualFunc(got, want, func(a, b M) bool { return proto.Equal(a, b) }) {
		t.Errorf("%s: %d rows, want %d:\n%v\n%v", what, len(got), len(want), got, want)
	}
}

func nothing(int) {}

// An item's name may look like a formula, hold quotes, and be in any script.
const oddList = "item,effective,unit,price,currency,supplier,description,min_quantity\n" +
	`"=1+1,""a""",2026-02-01,each,3.10,USD,"-Äcker, Söhne","+x 'y'",` + "\n" +
	`"=1+1,""a""",2026-02-01,each,2.90,USD,"-Äcker, Söhne","+x 'y'",100` + "\n" +
	"@柵 <&>,2026-02-01,each,0.000001,USD,,tail,\n"

// The pages of an export are the same list whatever their size, of one state of
// the book whatever is imported between them; and what it learned since joins
// on to it without a gap.
func TestExportPricesInPages(t *testing.T) {
	o := openOffice(t, Config{})
	number := 0
	add := func(list string) {
		t.Helper()
		number++
		if _, err := o.importList(t, fmt.Sprint("list-", number), list, func(h *wattlev1.ImportPricesRequest_Header) { h.AcceptJumps = true }); err != nil {
			t.Fatal(err)
		}
	}
	add(market("2026-01-01", "14.97"))
	add(oddList)
	add(market("2026-02-01", "15.97"))
	request := &wattlev1.ExportPricesRequest{Parent: harrowParent}
	want, first := bookOf(t, o.conn, request, nothing)
	if first.GetUntilRevision() != 3 || first.GetTotalEntries() != int64(len(want)) || len(want) != 22+2+22 || len(first.GetHeadHash()) != 64 {
		t.Fatalf("%d entries; %d at revision %d, hash %q", len(want), first.GetTotalEntries(), first.GetUntilRevision(), first.GetHeadHash())
	}
	if names := namesOf(want); !slices.IsSorted(names) || len(slices.Compact(slices.Clone(names))) != len(names) {
		t.Errorf("not in order: %q", names)
	}
	day := 1
	for _, size := range []int32{1, 2, 7, 45, 46, 47} {
		request := &wattlev1.ExportPricesRequest{Parent: harrowParent, UntilRevision: new(int64(3)), PageSize: size}
		got, _ := bookOf(t, o.conn, request, nothing)
		sameRows(t, fmt.Sprint("pages of ", size), got, want)
	}
	open := &wattlev1.ExportPricesRequest{Parent: harrowParent, PageSize: 9}
	got, answer := bookOf(t, o.conn, open, func(int) {
		day++
		add("item,effective,unit,price,currency\na-first,2026-03-" + fmt.Sprintf("%02d", day) + ",each,1,USD\n")
	})
	sameRows(t, "while lists come in", got, want)
	rest, last := bookOf(t, o.conn, &wattlev1.ExportPricesRequest{Parent: harrowParent, SinceRevision: answer.GetUntilRevision(), PageSize: 2}, nothing)
	whole, _ := bookOf(t, o.conn, &wattlev1.ExportPricesRequest{Parent: harrowParent}, nothing)
	sameRows(t, "two increments", append(got, rest...), whole)
	if last.GetUntilRevision() != int64(number) || len(rest) != number-3 || last.GetTotalEntries() != int64(len(rest)) {
		t.Errorf("the increment has %d entries up to revision %d, and says %d", len(rest), last.GetUntilRevision(), last.GetTotalEntries())
	}
	none, last := bookOf(t, o.conn, &wattlev1.ExportPricesRequest{Parent: harrowParent, SinceRevision: int64(number)}, nothing)
	if len(none) != 0 || last.GetUntilRevision() != int64(number) {
		t.Errorf("nothing new: %v, %d", none, last.GetUntilRevision())
	}
}

// An answer stays under the limit, whatever the page size: rows that do not fit
// come on the next page.
func TestExportPagesFitIntoAnswers(t *testing.T) {
	const limit = 1300
	o := openOffice(t, Config{MaxAnswer: limit})
	if _, err := o.importList(t, "1", market("2026-01-01", "14.97")); err != nil {
		t.Fatal(err)
	}
	pages := 1
	got, first := bookOf(t, o.conn, &wattlev1.ExportPricesRequest{Parent: harrowParent, PageSize: 5000}, func(int) { pages++ })
	if len(got) != 22 || pages == 1 || proto.Size(first) > limit || proto.Size(first) < limit/2 {
		t.Errorf("%d entries on %d pages, the first of %d bytes", len(got), pages, proto.Size(first))
	}
	if names := namesOf(got); !slices.IsSorted(names) || len(slices.Compact(names)) != 22 {
		t.Errorf("%q", names)
	}
	list, _ := priceListOf(t, o.conn, &wattlev1.ExportPriceListRequest{Parent: harrowParent, PageSize: 5000})
	sameRows(t, "price list", list, got)
}

func priceListOf(t *testing.T, conn *grpc.ClientConn, req *wattlev1.ExportPriceListRequest) ([]*wattlev1.PriceEntry, *wattlev1.ExportPriceListResponse) {
	t.Helper()
	req = proto.CloneOf(req)
	var all []*wattlev1.PriceEntry
	for {
		answer, err := wattlev1.NewExportServiceClient(conn).ExportPriceList(t.Context(), req)
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, answer.GetEntries()...)
		if req.PageToken = answer.GetNextPageToken(); req.GetPageToken() == "" {
			return all, answer
		}
		if len(all) > mostRows {
			t.Fatal("the list has no end")
		}
	}
}

// A price list has for each item the offers that ResolvePrices finds, in pages of
// any size, as of the day and the revision of its first page.
func TestExportPriceList(t *testing.T) {
	o := openOffice(t, Config{})
	for i, list := range []string{
		market("2026-01-01", "14.97"), oddList,
		"item,effective,unit,price,currency,supplier\ngravel,2026-01-01,ft3,2.05,USD,acre\ngravel,2026-01-01,ft3,2.00,USD,beck\ngravel,2026-04-01,ft3,1.90,USD,cole\nlater,2027-01-01,each,1,USD,\n",
	} {
		if _, err := o.importList(t, fmt.Sprint(i), list); err != nil {
			t.Fatal(err)
		}
	}
	for _, at := range []struct {
		asOf     string
		revision int64
		entries  int
	}{{"2026-03-05", 3, 22 + 2 + 2}, {"2026-05-01", 3, 22 + 2 + 3}, {"2027-01-01", 3, 28}, {"2027-01-01", 2, 24}, {"2026-01-15", 3, 24}, {"2025-01-01", 3, 0}, {"2027-01-01", 0, 0}} {
		request := &wattlev1.ExportPriceListRequest{Parent: harrowParent, AsOf: at.asOf, Revision: &at.revision, Currency: "USD"}
		want, answer := priceListOf(t, o.conn, request)
		if len(want) != at.entries || answer.GetAsOf() != at.asOf || answer.GetRevision() != at.revision || answer.GetOffice() != "main" {
			t.Errorf("%v: %d entries, %v", at, len(want), answer)
		}
		for _, size := range []int32{1, 2, 3, 25, 26} {
			request.PageSize = size
			got, _ := priceListOf(t, o.conn, request)
			sameRows(t, fmt.Sprint(at, " in pages of ", size), got, want)
		}
		byItem := map[string][]*wattlev1.PriceEntry{}
		for _, e := range want {
			byItem[e.GetItem()] = append(byItem[e.GetItem()], e)
		}
		for _, item := range []string{"gravel", "later", `=1+1,"a"`, "post-4x4-8ft"} {
			resolved, err := o.prices.ResolvePrices(t.Context(), &wattlev1.ResolvePricesRequest{
				Parent: harrowParent, Items: []string{item}, AsOf: at.asOf, Revision: &at.revision, Currency: "USD"})
			if err != nil {
				t.Fatal(err)
			}
			sameRows(t, fmt.Sprint(at, item), byItem[item], resolved.GetPrices()[0].GetOffers())
		}
	}
	all, answer := priceListOf(t, o.conn, &wattlev1.ExportPriceListRequest{Parent: harrowParent})
	if len(all) != 26 || answer.GetAsOf() != "2026-03-05" || answer.GetRevision() != 3 {
		t.Errorf("by default %d entries, %v", len(all), answer)
	}
	foreign, _ := priceListOf(t, o.conn, &wattlev1.ExportPriceListRequest{Parent: harrowParent, Currency: "EUR"})
	if len(foreign) != 0 {
		t.Errorf("in EUR: %v", foreign)
	}
}

func linesOf(t *testing.T, conn *grpc.ClientConn, req *wattlev1.ExportQuoteLinesRequest) ([]*wattlev1.ExportedQuoteLine, int64) {
	t.Helper()
	req = proto.CloneOf(req)
	var all []*wattlev1.ExportedQuoteLine
	total := int64(-1)
	for {
		answer, err := wattlev1.NewExportServiceClient(conn).ExportQuoteLines(t.Context(), req)
		if err != nil {
			t.Fatal(err)
		}
		if total < 0 {
			total = answer.GetTotalQuotes()
		} else if answer.GetTotalQuotes() != 0 {
			t.Errorf("a later page counts %d quotes", answer.GetTotalQuotes())
		}
		all = append(all, answer.GetLines()...)
		if req.PageToken = answer.GetNextPageToken(); req.GetPageToken() == "" {
			return all, total
		}
		if len(all) > mostRows {
			t.Fatal("the list has no end")
		}
	}
}

// An export of lines has every line of every quote as the quote has it, oldest
// first, in pages of any size.
func TestExportQuoteLines(t *testing.T) {
	o := openOffice(t, Config{})
	if _, err := o.importList(t, "1", market("2026-01-01", "14.97")); err != nil {
		t.Fatal(err)
	}
	none, total := linesOf(t, o.conn, &wattlev1.ExportQuoteLinesRequest{Parent: harrowParent})
	if len(none) != 0 || total != 0 {
		t.Fatalf("no quotes: %v, %d", none, total)
	}
	var want []*wattlev1.ExportedQuoteLine
	var quotes []*wattlev1.Quote
	for i := range 45 { // more than are read at once
		quotes = append(quotes, o.create(t, job(fmt.Sprint("job-", i))))
	}
	if _, err := o.quotes.IssueQuote(t.Context(), &wattlev1.IssueQuoteRequest{Name: quotes[1].GetName(), RequestId: "i"}); err != nil {
		t.Fatal(err)
	}
	ofOne := 0
	for i, q := range quotes {
		ofOne = len(q.GetLines())
		for n, l := range q.GetLines() {
			state := wattlev1.QuoteState_QUOTE_STATE_DRAFT
			if i == 1 {
				state = wattlev1.QuoteState_QUOTE_STATE_ISSUED
			}
			want = append(want, &wattlev1.ExportedQuoteLine{
				Quote: q.GetName(), LineNumber: int32(n + 1), Office: q.GetOffice(), State: state, CreateTime: q.GetCreateTime(), AsOf: q.GetAsOf(),
				BookRevision: 1, Currency: "USD", NetFeet: q.GetPerFoot().GetNetFeet(), Line: l,
			})
		}
	}
	for _, size := range []int32{0, 1, 7, int32(ofOne), int32(20 * ofOne), int32(45*ofOne - 1), int32(45 * ofOne), 5000} {
		got, total := linesOf(t, o.conn, &wattlev1.ExportQuoteLinesRequest{Parent: harrowParent, PageSize: size})
		sameRows(t, fmt.Sprint("pages of ", size), got, want)
		if total != 45 {
			t.Errorf("of %d quotes", total)
		}
	}
	for what, c := range map[string]struct {
		change func(*wattlev1.ExportQuoteLinesRequest)
		want   []*wattlev1.ExportedQuoteLine
	}{
		"issued": {func(r *wattlev1.ExportQuoteLinesRequest) {
			r.States = []wattlev1.QuoteState{wattlev1.QuoteState_QUOTE_STATE_ISSUED}
		}, want[ofOne : 2*ofOne]},
		"a stretch of time": {func(r *wattlev1.ExportQuoteLinesRequest) {
			r.CreatedSince, r.CreatedBefore = quotes[3].GetCreateTime(), quotes[5].GetCreateTime()
		}, want[3*ofOne : 5*ofOne]},
		"another office": {func(r *wattlev1.ExportQuoteLinesRequest) { r.Office = "north" }, nil},
		"the office":     {func(r *wattlev1.ExportQuoteLinesRequest) { r.Office = "main" }, want},
	} {
		request := &wattlev1.ExportQuoteLinesRequest{Parent: harrowParent, PageSize: 11}
		c.change(request)
		got, total := linesOf(t, o.conn, request)
		sameRows(t, what, got, c.want)
		if total != int64(len(c.want)/ofOne) {
			t.Errorf("%s: of %d quotes", what, total)
		}
	}
}

func TestBadExports(t *testing.T) {
	o := openOffice(t, Config{})
	for i := range 2 {
		if _, err := o.importList(t, fmt.Sprint(i), market(fmt.Sprintf("2026-0%d-01", i+1), "14.97")); err != nil {
			t.Fatal(err)
		}
	}
	for i := range 2 {
		o.create(t, job(fmt.Sprint(i)))
	}
	exports := wattlev1.NewExportServiceClient(o.conn)
	ask := func(method string, change func(proto.Message)) (string, error) {
		prices := &wattlev1.ExportPricesRequest{Parent: harrowParent, PageSize: 3}
		list := &wattlev1.ExportPriceListRequest{Parent: harrowParent, PageSize: 3}
		lines := &wattlev1.ExportQuoteLinesRequest{Parent: harrowParent, PageSize: 3}
		switch method {
		case "prices":
			change(prices)
			a, err := exports.ExportPrices(t.Context(), prices)
			return a.GetNextPageToken(), err
		case "list":
			change(list)
			a, err := exports.ExportPriceList(t.Context(), list)
			return a.GetNextPageToken(), err
		default:
			change(lines)
			a, err := exports.ExportQuoteLines(t.Context(), lines)
			return a.GetNextPageToken(), err
		}
	}
	for _, c := range []struct {
		what, method, reason, field string
		change                      func(proto.Message)
	}{
		{"since above until", "prices", "INVALID_REQUEST", "since_revision", func(m proto.Message) {
			r := m.(*wattlev1.ExportPricesRequest)
			r.SinceRevision, r.UntilRevision = 2, new(int64(1))
		}},
		{"since above the head", "prices", "INVALID_REQUEST", "since_revision", func(m proto.Message) { m.(*wattlev1.ExportPricesRequest).SinceRevision = 1<<63 - 1 }},
		{"since below 0", "prices", "INVALID_REQUEST", "since_revision", func(m proto.Message) { m.(*wattlev1.ExportPricesRequest).SinceRevision = -1 }},
		{"until above the head", "prices", "REVISION_UNKNOWN", "until_revision", func(m proto.Message) { m.(*wattlev1.ExportPricesRequest).UntilRevision = new(int64(3)) }},
		{"a page size below 0", "prices", "INVALID_REQUEST", "page_size", func(m proto.Message) { m.(*wattlev1.ExportPricesRequest).PageSize = -1 }},
		{"a revision above the head", "list", "REVISION_UNKNOWN", "revision", func(m proto.Message) { m.(*wattlev1.ExportPriceListRequest).Revision = new(int64(3)) }},
		{"a day that is none", "list", "INVALID_REQUEST", "as_of", func(m proto.Message) { m.(*wattlev1.ExportPriceListRequest).AsOf = "2026-02-30" }},
		{"a currency that is none", "list", "INVALID_REQUEST", "currency", func(m proto.Message) { m.(*wattlev1.ExportPriceListRequest).Currency = "XXX" }},
		{"a time that is none", "lines", "INVALID_REQUEST", "created_since", func(m proto.Message) {
			m.(*wattlev1.ExportQuoteLinesRequest).CreatedSince = &timestamppb.Timestamp{Nanos: -1}
		}},
		{"an empty stretch of time", "lines", "INVALID_REQUEST", "created_before", func(m proto.Message) {
			r := m.(*wattlev1.ExportQuoteLinesRequest)
			r.CreatedSince, r.CreatedBefore = timestamppb.New(time.Unix(2, 0)), timestamppb.New(time.Unix(2, 0))
		}},
	} {
		_, err := ask(c.method, c.change)
		if got := describe(wants(t, err, codes.InvalidArgument, c.reason)); len(got) != 1 || !strings.HasPrefix(got[0], c.field+": ") {
			t.Errorf("%s: %q", c.what, got)
		}
	}
	tokens := map[string]string{}
	for _, method := range []string{"prices", "list", "lines"} {
		token, err := ask(method, func(proto.Message) {})
		if err != nil || token == "" {
			t.Fatalf("%s: %q, %v", method, token, err)
		}
		tokens[method] = token
	}
	setToken := func(token string) func(proto.Message) {
		return func(m proto.Message) {
			r := m.ProtoReflect()
			r.Set(r.Descriptor().Fields().ByName("page_token"), protoreflect.ValueOfString(token))
		}
	}
	for _, method := range []string{"prices", "list", "lines"} {
		if _, err := ask(method, setToken(tokens[method])); err != nil {
			t.Errorf("%s: its own token: %v", method, err)
		}
		others := []string{"bm8", tokens[method] + "x", tokens[method][:len(tokens[method])-4]}
		for other, token := range tokens {
			if other != method {
				others = append(others, token)
			}
		}
		for _, token := range others {
			_, err := ask(method, setToken(token))
			wants(t, err, codes.InvalidArgument, "INVALID_REQUEST")
		}
	}
	_, err := ask("prices", func(m proto.Message) {
		setToken(tokens["prices"])(m)
		m.(*wattlev1.ExportPricesRequest).SinceRevision = 1
	})
	wants(t, err, codes.InvalidArgument, "INVALID_REQUEST")
}

// Each key exports the prices of its office, of those above and below it and of
// no other, and the quotes of its own; a reader's lines are without cost.
func TestExportsByOffice(t *testing.T) {
	t.Parallel()
	b := openBranches(t)
	for _, office := range []string{"north", "south"} {
		list := "item,effective,unit,price,currency\ngravel,2026-01-02,ft3,9." + fmt.Sprint(len(office)) + ",USD\nonly-" + office + ",2026-01-02,each,1,USD\n"
		h := header()
		h.GetHeader().Office, h.GetHeader().RequestId, h.GetHeader().AcceptJumps = office, office, true
		if _, err := send(t, b.at(t, office, auth.Admin), h, chunk(list), trailer(2, list)); err != nil {
			t.Fatal(err)
		}
	}
	for _, c := range []struct {
		office        string
		entries, told int
		list, lines   int
		foreign       string
	}{{"main", 26, 26, 22, 5, ""}, {"north", 24, 0, 23, 5, "south"}, {"north-yard", 24, 0, 23, 0, "south"}, {"south", 24, 0, 23, 0, "north"}} {
		conn := b.at(t, c.office, auth.Estimator)
		entries, first := bookOf(t, conn, &wattlev1.ExportPricesRequest{Parent: harrowParent, PageSize: 5}, nothing)
		list, _ := priceListOf(t, conn, &wattlev1.ExportPriceListRequest{Parent: harrowParent, PageSize: 5})
		lines, total := linesOf(t, conn, &wattlev1.ExportQuoteLinesRequest{Parent: harrowParent})
		if len(entries) != c.entries || first.GetTotalEntries() != int64(c.told) || len(list) != c.list || total != int64(c.lines) || (len(lines) > 0) != (c.lines > 0) {
			t.Errorf("%s: %d entries, told %d; %d in its list; %d lines of %d quotes", c.office, len(entries), first.GetTotalEntries(), len(list), len(lines), total)
		}
		for _, e := range slices.Concat(entries, list) {
			if e.GetOffice() == c.foreign || e.GetItem() == "only-"+c.foreign {
				t.Errorf("%s gets %v", c.office, e)
			}
		}
		for _, e := range list {
			if want := map[string]string{"north": "9.5", "north-yard": "9.5", "south": "9.5", "main": "2.1"}[c.office]; e.GetItem() == "gravel" && !strings.HasPrefix(e.GetBreaks()[0].GetPrice(), want) {
				t.Errorf("gravel at %s: %v", c.office, e)
			}
		}
	}
	larch := wattlev1.NewExportServiceClient(b.as(t, storetest.FirstKey(t, b.store, "larch")))
	_, err := larch.ExportPrices(t.Context(), &wattlev1.ExportPricesRequest{Parent: harrowParent})
	wants(t, err, codes.PermissionDenied, "COMPANY_NOT_YOURS")
	own, err := larch.ExportPrices(t.Context(), &wattlev1.ExportPricesRequest{Parent: "companies/larch"})
	if err != nil || len(own.GetEntries()) != 0 || own.GetUntilRevision() != 0 || strings.Trim(own.GetHeadHash(), "0") != "" {
		t.Errorf("an empty book: %v, %v", own, err)
	}

	reader := b.at(t, "north", auth.Reader)
	full, _ := linesOf(t, b.at(t, "north", auth.Estimator), &wattlev1.ExportQuoteLinesRequest{Parent: harrowParent})
	seen, _ := linesOf(t, reader, &wattlev1.ExportQuoteLinesRequest{Parent: harrowParent})
	if len(seen) != len(full) {
		t.Fatalf("%d lines, %d", len(seen), len(full))
	}
	for i, l := range seen {
		whole := full[i].GetLine()
		if whole.GetCost() == "" || l.GetLine().GetCost() != "" || l.GetLine().GetUnitPrice() != "" || l.GetLine().GetSupplier() != "" ||
			l.GetLine().GetPrice() != whole.GetPrice() || l.GetLine().GetQuantity() != whole.GetQuantity() || l.GetNetFeet() == "" {
			t.Errorf("a reader sees %s", protojson.Format(l))
		}
	}
	_, err = wattlev1.NewExportServiceClient(reader).ExportPrices(t.Context(), &wattlev1.ExportPricesRequest{Parent: harrowParent})
	wants(t, err, codes.PermissionDenied, "ROLE_TOO_LOW")
}
