package rpc

import (
	"context"
	"errors"
	"fmt"
	"io"
	"maps"
	"net"
	"slices"
	"strings"
	"testing"
	"time"

	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/credentials/insecure"
	"google.golang.org/grpc/status"
	"google.golang.org/grpc/test/bufconn"
	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"
	"google.golang.org/protobuf/reflect/protoregistry"
	"google.golang.org/protobuf/types/dynamicpb"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/auth"
	"wattle/internal/book"
	"wattle/internal/estimating"
	"wattle/internal/postgres"
	"wattle/internal/postgres/storetest"
)

// branches is a company with offices, on a server that any key may call:
// main over north and south, north over north-yard. A second company, larch,
// has but its root.
type branches struct {
	store  *postgres.Store
	dialer grpc.DialOption
	// methods are all that the server itself says it answers, but for health
	// and reflection.
	methods []protoreflect.MethodDescriptor
	quote   string // of north
	// Other quotes of north, for those who end them.
	drafts, issued [2]string
	// An accepted quote of north, where sell was asked for one.
	accepted string
}

const operatorSecret = "operator-secret-of-the-test-0123456789"

func openBranches(t *testing.T, options ...postgres.Option) *branches {
	t.Helper()
	store := storetest.New(t, options...)
	made := 0
	use := &estimating.Service{
		Quotes: store, Prices: store, Specs: store, Offices: store, Papers: store, Customers: store,
		Events: store, Webhooks: store, Guard: guard(t), Impacts: store, Actuals: store, Exports: store,
		Now:       func() time.Time { return time.Date(2026, 3, 5, 12, 0, made, 0, time.UTC) },
		NewID:     func() string { made++; return fmt.Sprintf("id%04d", made) },
		NewSecret: func() string { made++; return fmt.Sprintf("wattle_secret-%032d", made) },
	}
	server, err := NewServer(use, Config{Log: discard, Access: Access{Operator: auth.Hash(operatorSecret)}, Watch: 20 * time.Millisecond})
	if err != nil {
		t.Fatal(err)
	}
	lis := bufconn.Listen(1 << 20)
	ctx, cancel := context.WithCancel(context.Background())
	ended := make(chan error, 1)
	go func() { ended <- server.Serve(ctx, lis) }()
	t.Cleanup(func() {
		cancel()
		if err := <-ended; err != nil {
			t.Error(err)
		}
	})
	b := &branches{store: store, dialer: grpc.WithContextDialer(func(ctx context.Context, _ string) (net.Conn, error) { return lis.DialContext(ctx) })}
	for _, o := range [][2]string{{"north", "main"}, {"south", "main"}, {"north-yard", "north"}} {
		storetest.Office(t, store, "harrow", o[0], o[1])
	}
	for service := range server.grpc.GetServiceInfo() {
		if strings.HasPrefix(service, "grpc.") {
			continue
		}
		d, err := protoregistry.GlobalFiles.FindDescriptorByName(protoreflect.FullName(service))
		if err != nil {
			t.Fatal(err)
		}
		all := d.(protoreflect.ServiceDescriptor).Methods()
		for i := range all.Len() {
			b.methods = append(b.methods, all.Get(i))
		}
	}
	main := b.as(t, storetest.FirstKey(t, store, "harrow"))
	if _, err := send(t, main, header(), chunk(market("2026-01-01", "12.00")), trailer(22, market("2026-01-01", "12.00"))); err != nil {
		t.Fatal(err)
	}
	quotes := wattlev1.NewQuoteServiceClient(b.at(t, "north", auth.Estimator))
	for i, name := range []*string{&b.quote, &b.drafts[0], &b.drafts[1], &b.issued[0], &b.issued[1]} {
		answer, err := quotes.CreateQuote(t.Context(), job(fmt.Sprint("of-north-", i)))
		if err != nil {
			t.Fatal(err)
		}
		*name = answer.GetQuote().GetName()
	}
	for i, name := range b.issued {
		if _, err := quotes.IssueQuote(t.Context(), &wattlev1.IssueQuoteRequest{Name: name, RequestId: fmt.Sprint("of-north-", i)}); err != nil {
			t.Fatal(err)
		}
	}
	return b
}

// furnish adds what the requests of reaches ask for.
func (b *branches) furnish(t *testing.T) {
	t.Helper()
	k := auth.Key{Company: "harrow", ID: "of-north", Office: "north", Role: auth.Reader, CreatedAt: time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC)}
	if _, _, err := b.store.CreateKey(storetest.Context("harrow"), estimating.RequestKey{Company: "harrow"}, k, auth.Hash("of north")); err != nil {
		t.Fatal(err)
	}
	upload := estimating.Upload{ID: "of-north", Import: book.Import{Office: "north", Mode: book.Patch}}
	if _, err := b.store.StartUpload(storetest.Context("harrow"), estimating.RequestKey{Company: "harrow", RequestID: "i0"}, upload); err != nil {
		t.Fatal(err)
	}
	if err := b.store.AddPart(storetest.Context("harrow"), "harrow", "of-north", 1, []byte(listOfNorth), 1000); err != nil {
		t.Fatal(err)
	}
	if err := b.store.AdvanceImpact(storetest.Context("harrow"), "harrow", 1, time.Now()); err != nil {
		t.Fatal(err)
	}
	hook := estimating.Webhook{Company: "harrow", ID: "of-north", Office: "north", URL: "https://crm.example.com/"}
	if _, _, err := b.store.CreateWebhook(storetest.Context("harrow"), estimating.RequestKey{Company: "harrow"}, hook, []byte("sealed")); err != nil {
		t.Fatal(err)
	}
	b.sell(t)
}

// before are the calls that the requests of reaches rest on.
func (b *branches) before() map[string]string {
	return map[string]string{
		"CatalogService/SaveSpec":      `{"name":"companies/harrow/specs/cedar","requestId":"s0","office":"north","spec":{"height":"5 ft"}}`,
		"ActualsService/RecordActuals": `{"quote":"` + b.accepted + `","requestId":"a0","finishedOn":"2026-03-05","crew":"crew-2","hours":"10.5"}`,
	}
}

// sell has a quote of north accepted.
func (b *branches) sell(t *testing.T) {
	t.Helper()
	quotes := wattlev1.NewQuoteServiceClient(b.at(t, "north", auth.Estimator))
	made, err := quotes.CreateQuote(t.Context(), job("sold"))
	if err != nil {
		t.Fatal(err)
	}
	b.accepted = made.GetQuote().GetName()
	if _, err := quotes.IssueQuote(t.Context(), &wattlev1.IssueQuoteRequest{Name: b.accepted, RequestId: "sold"}); err != nil {
		t.Fatal(err)
	}
	if _, err := quotes.AcceptQuote(t.Context(), &wattlev1.AcceptQuoteRequest{Name: b.accepted, RequestId: "sold", DecidedBy: wattlev1.QuoteDecision_PARTY_CUSTOMER}); err != nil {
		t.Fatal(err)
	}
}

// as is a connection with a key; an empty secret sends none.
func (b *branches) as(t *testing.T, secret string) *grpc.ClientConn {
	t.Helper()
	options := []grpc.DialOption{b.dialer, grpc.WithTransportCredentials(insecure.NewCredentials())}
	if secret != "" {
		options = append(options, grpc.WithPerRPCCredentials(key(secret)))
	}
	conn, err := grpc.NewClient("passthrough:///branches", options...)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = conn.Close() })
	return conn
}

// at is a connection with a fresh key of an office of harrow.
func (b *branches) at(t *testing.T, office string, role auth.Role) *grpc.ClientConn {
	t.Helper()
	return b.as(t, storetest.Key(t, b.store, "harrow", office, role))
}

func path(m protoreflect.MethodDescriptor) string {
	return "/" + string(m.Parent().FullName()) + "/" + string(m.Name())
}

// call sends messages, written as JSON, and gives the error of the answer.
func call(t *testing.T, conn *grpc.ClientConn, m protoreflect.MethodDescriptor, messages ...string) error {
	t.Helper()
	stream, err := conn.NewStream(t.Context(), &grpc.StreamDesc{ClientStreams: m.IsStreamingClient(), ServerStreams: m.IsStreamingServer()}, path(m))
	if err != nil {
		return err
	}
	for _, text := range messages {
		in := dynamicpb.NewMessage(m.Input())
		if err := protojson.Unmarshal([]byte(text), in); err != nil {
			t.Fatalf("%s: %v", path(m), err)
		}
		if err := stream.SendMsg(in); err != nil {
			break // the answer says why
		}
	}
	if err := stream.CloseSend(); err != nil {
		return err
	}
	for {
		if err := stream.RecvMsg(dynamicpb.NewMessage(m.Output())); errors.Is(err, io.EOF) {
			return nil
		} else if err != nil {
			return err
		}
		if !m.IsStreamingServer() {
			return nil
		}
	}
}

func reasonOf(err error) string {
	return detail[*errdetails.ErrorInfo](status.Convert(err)).GetReason()
}

// Every method has a least role, and each role is let in or refused by it
// before anything of the request is looked at.
func TestEveryMethodAndRole(t *testing.T) {
	for _, w := range everyWay {
		t.Run(w.name, func(t *testing.T) { t.Parallel(); testEveryMethodAndRole(t, w) })
	}
}

func testEveryMethodAndRole(t *testing.T, w way) {
	b := openBranches(t)
	callers := map[auth.Role]caller{"": w.as(t, b, ""), auth.Operator: w.as(t, b, operatorSecret)}
	for _, role := range auth.Roles() {
		callers[role] = w.as(t, b, storetest.Key(t, b.store, "harrow", "main", role))
	}
	served := make(map[string]bool)
	for _, m := range b.methods {
		served[path(m)] = true
		least, ok := auth.Permissions[path(m)]
		if !ok {
			t.Errorf("%s has no least role: add its row to auth.Permissions", path(m))
			continue
		}
		if !w.takes(m) {
			continue
		}
		for role, call := range callers {
			err := call(t, m, "{}")
			refused := status.Code(err) == codes.PermissionDenied && reasonOf(err) == "ROLE_TOO_LOW"
			switch {
			case role == "":
				if status.Code(err) != codes.Unauthenticated {
					t.Errorf("%s without a key: %v", path(m), err)
				}
			case refused != !role.May(least):
				t.Errorf("%s as %s, which needs %s: %v", path(m), role, least, err)
			}
		}
	}
	for method := range auth.Permissions {
		if !served[method] {
			t.Errorf("%s has a least role, and the server does not answer it", method)
		}
	}
}

// listOfNorth is a price list.
const listOfNorth = "item,effective,unit,price,currency\npost,2026-01-01,each,1,USD\npost,2026-02-01,each,2,USD\n"

// postFollowed follows what listOfNorth prices.
const postFollowed = `"basket":{"items":{"items":[{"item":"post","quantity":"1"}]},"currency":"USD"},"window":{"from":"2026-01-01","to":"2027-01-31"}`

// reach is a request of each method that a key of north may make, as an admin,
// and what keys of south make of it. Every method answers keys of another
// company with COMPANY_NOT_YOURS, but those that name no company.
type reach struct {
	messages []string
	south    string // the reason; empty where it is allowed
}

const siteAndSpec = `"site":{"runs":[{"id":"back","vertices":[{"east":"0 ft","north":"0 ft"},{"east":"40 ft","north":"0 ft"}]}]},"spec":{"height":"6 ft"}`

func reaches(b *branches) map[string]reach {
	quote := b.quote
	const noCompany = "no company"
	end, err := protojson.Marshal(trailer(2, listOfNorth))
	if err != nil {
		panic(err)
	}
	whole, err := protojson.Marshal(trailer(2, listOfNorth).GetTrailer())
	if err != nil {
		panic(err)
	}
	return map[string]reach{
		"LayoutService/PlanLayout":      {[]string{`{` + siteAndSpec + `}`}, noCompany},
		"LayoutService/StreamLayout":    {[]string{`{` + siteAndSpec + `}`}, noCompany},
		"LayoutService/DrawLayout":      {[]string{`{` + siteAndSpec + `,"drawing":"DRAWING_PLAN"}`}, noCompany},
		"TakeoffService/ComputeTakeoff": {[]string{`{` + siteAndSpec + `}`}, noCompany},
		"CatalogService/ListFamilies":   {[]string{`{}`}, noCompany},
		"OfficeService/CreateCompany":   {nil, noCompany}, // the operator's alone
		"OfficeService/ListCompanies":   {nil, noCompany},

		"AdviceService/CompareOptions": {[]string{`{"parent":"companies/harrow","office":"north","currency":"USD","options":[{"name":"a","spec":{"height":"6 ft"}},{"name":"b","spec":{"height":"5 ft"}}],` +
			`"site":{"runs":[{"id":"back","vertices":[{"east":"0 ft","north":"0 ft"},{"east":"40 ft","north":"0 ft"}]}]}}`}, "OFFICE_NOT_YOURS"},
		"AdviceService/Advise": {[]string{`{"parent":"companies/harrow","office":"north","currency":"USD",` + siteAndSpec + `}`}, "OFFICE_NOT_YOURS"},

		"CatalogService/SaveSpec":         {[]string{`{"name":"companies/harrow/specs/cedar","requestId":"s1","office":"north","spec":{"height":"6 ft"}}`}, "OFFICE_NOT_YOURS"},
		"CatalogService/GetSpec":          {[]string{`{"name":"companies/harrow/specs/cedar"}`}, ""}, // the catalogue is the company's
		"CatalogService/ListSpecs":        {[]string{`{"parent":"companies/harrow"}`}, ""},
		"CatalogService/ListSpecVersions": {[]string{`{"name":"companies/harrow/specs/cedar"}`}, ""},
		"CatalogService/WithdrawSpec":     {[]string{`{"name":"companies/harrow/specs/cedar","requestId":"w1"}`}, "OFFICE_NOT_YOURS"},

		"PriceBookService/ImportPrices": {[]string{
			`{"header":{"parent":"companies/harrow","requestId":"i1","mode":"MODE_PATCH","office":"north"}}`,
			fmt.Sprintf(`{"csvChunk":%q}`, base64Of(listOfNorth)), string(end),
		}, "OFFICE_NOT_YOURS"},
		"PriceBookService/StartImport":      {[]string{`{"header":{"parent":"companies/harrow","requestId":"i2","mode":"MODE_PATCH","office":"north"}}`}, "OFFICE_NOT_YOURS"},
		"PriceBookService/UploadImportPart": {[]string{fmt.Sprintf(`{"name":"companies/harrow/imports/of-north","part":1,"content":%q}`, base64Of(listOfNorth))}, "IMPORT_NOT_FOUND"},
		"PriceBookService/CommitImport":     {[]string{fmt.Sprintf(`{"name":"companies/harrow/imports/of-north","trailer":%s}`, whole)}, "IMPORT_NOT_FOUND"},
		"PriceBookService/ResolvePrices":    {[]string{`{"parent":"companies/harrow","items":["gravel"],"currency":"USD","office":"north"}`}, "OFFICE_NOT_YOURS"},
		"PriceBookService/VerifyHistory":    {[]string{`{"parent":"companies/harrow"}`}, ""}, // all rows or none; no price is told
		"PriceBookService/ListPriceHistory": {[]string{`{"parent":"companies/harrow","item":"gravel","office":"north"}`}, "OFFICE_NOT_YOURS"},

		"CostService/TrackCostPerFoot": {[]string{`{"parent":"companies/harrow","offices":["north"],` + postFollowed + `}`}, "OFFICE_NOT_YOURS"},
		"CostService/ComputeIndex":     {[]string{`{"parent":"companies/harrow","office":"north","every":"COST_EVERY_WEEK",` + postFollowed + `}`}, "OFFICE_NOT_YOURS"},
		"CostService/ExplainChange":    {[]string{`{"parent":"companies/harrow","office":"north",` + postFollowed + `}`}, "OFFICE_NOT_YOURS"},
		"CostService/AssessRisk":       {[]string{`{"parent":"companies/harrow","office":"north","every":"COST_EVERY_DAY",` + postFollowed + `}`}, "OFFICE_NOT_YOURS"},

		"ImpactService/GetPriceImpact":   {[]string{`{"parent":"companies/harrow","revision":1}`}, ""}, // each is told of the quotes it sees
		"ImpactService/ListPriceImpacts": {[]string{`{"parent":"companies/harrow","revision":1}`}, ""},

		"ExportService/ExportPrices":     {[]string{`{"parent":"companies/harrow"}`}, ""}, // each gets what it sees
		"ExportService/ExportPriceList":  {[]string{`{"parent":"companies/harrow","office":"north"}`}, "OFFICE_NOT_YOURS"},
		"ExportService/ExportQuoteLines": {[]string{`{"parent":"companies/harrow"}`}, ""},

		"QuoteService/CreateQuote":   {[]string{`{"parent":"companies/harrow","requestId":"q1","office":"north","currency":"USD",` + siteAndSpec + `}`}, "OFFICE_NOT_YOURS"},
		"QuoteService/GetQuote":      {[]string{`{"name":"` + quote + `"}`}, "QUOTE_NOT_FOUND"},
		"QuoteService/ListQuotes":    {[]string{`{"parent":"companies/harrow"}`}, ""}, // each sees its own
		"QuoteService/ReplayQuote":   {[]string{`{"name":"` + quote + `"}`}, "QUOTE_NOT_FOUND"},
		"QuoteService/RenderQuote":   {[]string{`{"name":"` + quote + `"}`}, "QUOTE_NOT_FOUND"},
		"QuoteService/CompareQuotes": {[]string{`{"base":"` + quote + `","other":"` + quote + `"}`}, "QUOTE_NOT_FOUND"},
		"QuoteService/RepriceQuote":  {[]string{`{"name":"` + quote + `","asOf":"2026-03-05"}`}, "QUOTE_NOT_FOUND"},

		"QuoteService/ApproveQuote": {nil, "QUOTE_NOT_FOUND"}, // refused where no floor is passed: TestApprovals
		"QuoteService/IssueQuote":   {[]string{`{"name":"` + quote + `","requestId":"l1"}`}, "QUOTE_NOT_FOUND"},
		"QuoteService/AcceptQuote":  {[]string{`{"name":"` + b.issued[0] + `","requestId":"l2","decidedBy":"PARTY_CUSTOMER"}`}, "QUOTE_NOT_FOUND"},
		"QuoteService/DeclineQuote": {[]string{`{"name":"` + b.issued[1] + `","requestId":"l3"}`}, "QUOTE_NOT_FOUND"},
		"QuoteService/VoidQuote":    {[]string{`{"name":"` + b.drafts[0] + `","requestId":"l4"}`}, "QUOTE_NOT_FOUND"},
		"QuoteService/ReviseQuote":  {[]string{`{"name":"` + b.drafts[1] + `","requestId":"l5"}`}, "QUOTE_NOT_FOUND"},

		"ActualsService/RecordActuals":    {[]string{`{"quote":"` + b.accepted + `","requestId":"a1","finishedOn":"2026-03-05","crew":"crew-2","hours":"12","etag":"1"}`}, "QUOTE_NOT_FOUND"},
		"ActualsService/GetActuals":       {[]string{`{"quote":"` + b.accepted + `"}`}, "QUOTE_NOT_FOUND"},
		"ActualsService/CompareActuals":   {[]string{`{"quote":"` + b.accepted + `"}`}, "QUOTE_NOT_FOUND"},
		"ActualsService/ListActuals":      {[]string{`{"parent":"companies/harrow"}`}, ""}, // each sees its own
		"ActualsService/SummarizeActuals": {[]string{`{"parent":"companies/harrow"}`}, ""},
		"TemplateService/SaveTemplate":    {[]string{`{"name":"companies/harrow/templates/north","requestId":"t1","template":{"title":"Harrow North"}}`}, "OFFICE_NOT_YOURS"},
		"TemplateService/GetTemplate":     {[]string{`{"name":"companies/harrow/templates/north","inherited":true}`}, "OFFICE_NOT_YOURS"},
		"TemplateService/ListTemplates":   {[]string{`{"parent":"companies/harrow"}`}, ""}, // each sees its own

		"CustomerService/CreateCustomer":      {[]string{`{"parent":"companies/harrow","requestId":"c1","customerId":"c-1","customer":{"office":"north","displayName":"Pat Example"}}`}, "OFFICE_NOT_YOURS"},
		"CustomerService/GetCustomer":         {[]string{`{"name":"companies/harrow/customers/c-1"}`}, "CUSTOMER_NOT_FOUND"},
		"CustomerService/ListCustomers":       {[]string{`{"parent":"companies/harrow"}`}, ""}, // each sees its own
		"CustomerService/UpdateCustomer":      {[]string{`{"customer":{"name":"companies/harrow/customers/c-1","note":"gate code"},"requestId":"c2"}`}, "CUSTOMER_NOT_FOUND"},
		"CustomerService/ListCustomerChanges": {[]string{`{"parent":"companies/harrow"}`}, ""}, // each sees those of its own offices
		"CustomerService/EraseCustomer":       {[]string{`{"name":"companies/harrow/customers/c-1","requestId":"c3"}`}, "CUSTOMER_NOT_FOUND"},

		"EventService/WatchEvents": {[]string{`{"parent":"companies/harrow","fromStart":true}`}, ""}, // each is told its own
		"EventService/ListEvents":  {[]string{`{"parent":"companies/harrow"}`}, ""},

		"WebhookService/CreateWebhook":           {[]string{`{"parent":"companies/harrow","requestId":"h1","webhook":{"url":"https://crm.example.com/","office":"north"}}`}, "INVALID_REQUEST"},
		"WebhookService/GetWebhook":              {[]string{`{"name":"companies/harrow/webhooks/of-north"}`}, "WEBHOOK_NOT_FOUND"},
		"WebhookService/ListWebhooks":            {[]string{`{"parent":"companies/harrow"}`}, ""}, // each sees its own
		"WebhookService/PauseWebhook":            {[]string{`{"name":"companies/harrow/webhooks/of-north","requestId":"h2"}`}, "WEBHOOK_NOT_FOUND"},
		"WebhookService/ResumeWebhook":           {[]string{`{"name":"companies/harrow/webhooks/of-north","requestId":"h3"}`}, "WEBHOOK_NOT_FOUND"},
		"WebhookService/DeleteWebhook":           {[]string{`{"name":"companies/harrow/webhooks/of-north","requestId":"h4"}`}, "WEBHOOK_NOT_FOUND"},
		"WebhookService/RotateWebhookSecret":     {[]string{`{"name":"companies/harrow/webhooks/of-north","requestId":"h5"}`}, "WEBHOOK_NOT_FOUND"},
		"WebhookService/PingWebhook":             {[]string{`{"name":"companies/harrow/webhooks/of-north","requestId":"h6"}`}, "WEBHOOK_NOT_FOUND"},
		"WebhookService/ListWebhookDeliveries":   {[]string{`{"parent":"companies/harrow/webhooks/of-north"}`}, "WEBHOOK_NOT_FOUND"},
		"WebhookService/ReplayWebhookDeliveries": {[]string{`{"parent":"companies/harrow/webhooks/of-north","requestId":"h7","deadSince":"2026-01-01T00:00:00Z"}`}, "WEBHOOK_NOT_FOUND"},

		"OfficeService/GetCompany":    {[]string{`{"name":"companies/harrow"}`}, ""},
		"OfficeService/UpdateCompany": {nil, "OFFICE_NOT_YOURS"}, // the root's alone, see below
		"OfficeService/GetOffice":     {[]string{`{"name":"companies/harrow/offices/north"}`}, "OFFICE_NOT_FOUND"},
		"OfficeService/ListOffices":   {[]string{`{"parent":"companies/harrow"}`}, ""}, // each sees its own
		"OfficeService/CreateOffice":  {[]string{`{"parent":"companies/harrow","officeId":"north-east","requestId":"o1","office":{"parentOffice":"north"}}`}, "OFFICE_NOT_YOURS"},
		"OfficeService/UpdateOffice":  {[]string{`{"office":{"name":"companies/harrow/offices/north-yard","title":"Yard"},"updateMask":"title","requestId":"u1"}`}, "OFFICE_NOT_YOURS"},
		"OfficeService/RemoveOffice":  {[]string{`{"name":"companies/harrow/offices/north-yard","requestId":"r1"}`}, "OFFICE_NOT_YOURS"},
		"OfficeService/CreateKey":     {[]string{`{"parent":"companies/harrow","requestId":"k1","key":{"office":"north-yard","role":"ROLE_READER"}}`}, "INVALID_REQUEST"},
		"OfficeService/ListKeys":      {[]string{`{"parent":"companies/harrow"}`}, ""}, // each sees its own
		"OfficeService/RevokeKey":     {[]string{`{"name":"companies/harrow/keys/of-north","requestId":"v1"}`}, "KEY_NOT_FOUND"},
	}
}

// For every method: what a key of the office itself gets, one of its sister
// office, and one of another company.
func TestEveryMethodAndOffice(t *testing.T) {
	for _, w := range everyWay {
		t.Run(w.name, func(t *testing.T) { t.Parallel(); testEveryMethodAndOffice(t, w) })
	}
}

func testEveryMethodAndOffice(t *testing.T, w way) {
	b := openBranches(t)
	b.furnish(t)
	at := func(office string) caller { return w.as(t, b, storetest.Key(t, b.store, "harrow", office, auth.Admin)) }
	north, south, larch := at("north"), at("south"), w.as(t, b, storetest.FirstKey(t, b.store, "larch"))
	table := reaches(b)
	methods := make(map[string]protoreflect.MethodDescriptor)
	for _, m := range b.methods {
		name := strings.TrimPrefix(path(m), "/wattle.v1.")
		if _, ok := table[name]; !ok {
			t.Errorf("%s has no row that says what other offices may do with it: add it to reaches", name)
		}
		methods[name] = m
	}
	for name, message := range b.before() {
		if err := north(t, methods[name], message); err != nil {
			t.Fatal(err)
		}
	}
	// What removes comes last.
	order := slices.SortedFunc(maps.Keys(table), func(a, b string) int {
		return strings.Compare(last(a)+a, last(b)+b)
	})
	for _, name := range order {
		row, m := table[name], methods[name]
		if m == nil {
			t.Errorf("%s is served no more", name)
			continue
		}
		if row.messages == nil || !w.takes(m) {
			continue
		}
		south, larch := south(t, m, row.messages...), larch(t, m, row.messages...)
		if row.south == "no company" {
			if south != nil || larch != nil {
				t.Errorf("%s: %v, %v", name, south, larch)
			}
		} else {
			if reasonOf(south) != row.south || row.south == "" && south != nil {
				t.Errorf("%s with a key of south: %v (%s), want %q", name, south, reasonOf(south), row.south)
			}
			if status.Code(larch) != codes.PermissionDenied || reasonOf(larch) != "COMPANY_NOT_YOURS" {
				t.Errorf("%s with a key of larch: %v (%s)", name, larch, reasonOf(larch))
			}
		}
		if err := north(t, m, row.messages...); err != nil {
			t.Errorf("%s with a key of north: %v (%s)", name, err, reasonOf(err))
		}
	}
	update := `{"company":{"name":"companies/harrow","quotesFromAbove":false},"updateMask":"quotesFromAbove","requestId":"u2"}`
	if err := north(t, methods["OfficeService/UpdateCompany"], update); reasonOf(err) != "OFFICE_NOT_YOURS" {
		t.Errorf("the company changed with a key of north: %v", err)
	}
	if err := larch(t, methods["OfficeService/UpdateCompany"], update); reasonOf(err) != "COMPANY_NOT_YOURS" {
		t.Errorf("the company changed with a key of another: %v", err)
	}
	main := w.as(t, b, storetest.FirstKey(t, b.store, "harrow"))
	get := methods["QuoteService/GetQuote"]
	if err := main(t, get, `{"name":"`+b.quote+`"}`); err != nil {
		t.Errorf("the root does not see a quote of north: %v", err)
	}
	if err := main(t, methods["OfficeService/UpdateCompany"], update); err != nil {
		t.Error(err)
	}
	if err := main(t, get, `{"name":"`+b.quote+`"}`); reasonOf(err) != "QUOTE_NOT_FOUND" {
		t.Errorf("with quotes_from_above off, the root sees a quote of north: %v", err)
	}
}

// last orders methods that end things behind the others, and those that need
// what others import before them.
func last(name string) string {
	for _, word := range []string{"/Withdraw", "/Remove", "/Revoke", "/Erase", "/Delete"} {
		if strings.Contains(name, word) {
			return "2"
		}
	}
	if strings.HasPrefix(name, "CostService/") {
		return "1"
	}
	return "0"
}

// A reader's answer holds no figure of what a job costs, wherever it comes from.
func TestReadersSeeNoCost(t *testing.T) {
	t.Parallel()
	b := openBranches(t)
	reader := wattlev1.NewQuoteServiceClient(b.at(t, "north", auth.Reader))
	full, err := wattlev1.NewQuoteServiceClient(b.at(t, "north", auth.Estimator)).GetQuote(t.Context(), &wattlev1.GetQuoteRequest{Name: b.quote})
	if err != nil {
		t.Fatal(err)
	}
	seen, err := reader.GetQuote(t.Context(), &wattlev1.GetQuoteRequest{Name: b.quote})
	if err != nil {
		t.Fatal(err)
	}
	text := protojson.Format(seen)
	q := full.GetQuote()
	hidden := []string{q.GetTotals().GetCost(), q.GetTotals().GetOverhead(), q.GetTotals().GetProfit(), q.GetTotals().GetMaterial(), q.GetTotals().GetLabour(), q.GetPerFoot().GetMaterialNet()}
	for _, l := range q.GetLines() {
		if l.GetUnitPrice() != "" && l.GetKind() != wattlev1.LineKind_LINE_KIND_FEE { // a fee is passed on as it is
			hidden = append(hidden, l.GetUnitPrice(), l.GetCost())
		}
	}
	for _, figure := range hidden {
		if strings.Contains(text, `"`+figure+`"`) {
			t.Errorf("a reader sees %s", figure)
		}
	}
	if len(hidden) < 20 {
		t.Errorf("only %d figures to look for", len(hidden))
	}
	if !proto.Equal(seen.GetQuote().GetLayout(), q.GetLayout()) || seen.GetQuote().GetTotals().GetTotal() != q.GetTotal() || seen.GetQuote().GetLines()[0].GetPrice() == "" {
		t.Error("a reader does not see layout, prices and total")
	}
	for format, want := range map[wattlev1.RenderQuoteRequest_Format]codes.Code{
		wattlev1.RenderQuoteRequest_FORMAT_UNSPECIFIED:    codes.PermissionDenied,
		wattlev1.RenderQuoteRequest_FORMAT_QUOTE_TEXT:     codes.PermissionDenied,
		wattlev1.RenderQuoteRequest_FORMAT_CANONICAL_JSON: codes.PermissionDenied,
		wattlev1.RenderQuoteRequest_FORMAT_PLAN_SVG:       codes.OK,
		wattlev1.RenderQuoteRequest_FORMAT_TAKEOFF_CSV:    codes.OK,

		wattlev1.RenderQuoteRequest_FORMAT_ORDER_LIST_PDF:   codes.PermissionDenied,
		wattlev1.RenderQuoteRequest_FORMAT_PRICE_LETTER_PDF: codes.PermissionDenied,
		wattlev1.RenderQuoteRequest_FORMAT_PROPOSAL_PDF:     codes.OK,
		wattlev1.RenderQuoteRequest_FORMAT_CREW_SHEET_PDF:   codes.OK,
		wattlev1.RenderQuoteRequest_FORMAT_CUT_LIST_PDF:     codes.OK,
	} {
		if _, err := reader.RenderQuote(t.Context(), &wattlev1.RenderQuoteRequest{Name: b.quote, Format: format}); status.Code(err) != want {
			t.Errorf("%v: %v, want %v", format, err, want)
		}
	}
	for name := range costFields {
		d, err := protoregistry.GlobalFiles.FindDescriptorByName(name)
		if _, ok := d.(protoreflect.FieldDescriptor); err != nil || !ok {
			t.Errorf("%s is no field", name)
		}
	}
}
