package rest_test

import (
	"context"
	"io"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"testing"
	"time"

	"google.golang.org/genproto/googleapis/rpc/errdetails"
	statuspb "google.golang.org/genproto/googleapis/rpc/status"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/rest"
	"wattle/internal/rest/resttest"
)

// failed reads the google.rpc.Status that an answer must be, whatever went
// wrong: its details too, of which every error has a reason of ours and the id
// that the header has.
func failed(t *testing.T, response reply, body string) *status.Status {
	t.Helper()
	told := &statuspb.Status{}
	if err := protojson.Unmarshal([]byte(body), told); err != nil {
		t.Fatalf("%s: %v: %s", response.Status, err, body)
	}
	st := status.FromProto(told)
	if id := detail[*errdetails.RequestInfo](st).GetRequestId(); id == "" || id != response.Header.Get("X-Request-Id") {
		t.Errorf("request id %q, in the header %q", id, response.Header.Get("X-Request-Id"))
	}
	if info := detail[*errdetails.ErrorInfo](st); info.GetReason() == "" || info.GetDomain() != "wattle" || response.Header.Get("Content-Type") != "application/json" {
		t.Errorf("%s %s: %s", response.Status, response.Header.Get("Content-Type"), body)
	}
	return st
}

// detail is the detail of a type; nil where there is none.
func detail[D proto.Message](st *status.Status) (found D) {
	for _, d := range st.Details() {
		if is, ok := d.(D); ok {
			return is
		}
	}
	return found
}

// Before there is a call, too, an error has the one form.
func TestErrorsBeforeACall(t *testing.T) {
	e, base := startEcho(t, rest.Config{MaxBody: 2000})
	for _, c := range []struct {
		name, method, address, body string
		headers                     []string
		httpStatus                  int
		code                        codes.Code
		reason                      string
		says                        string
	}{
		{"no such route", "GET", "/v1/fences", "", nil, 404, codes.NotFound, "ROUTE_NOT_FOUND", "there is nothing at /v1/fences"},
		{"the root", "GET", "/", "", nil, 404, codes.NotFound, "ROUTE_NOT_FOUND", "/openapi.json says what there is"},
		{"double slashes", "GET", "/v1//families", "", nil, 404, codes.NotFound, "ROUTE_NOT_FOUND", ""},
		{"wrong type and no route", "POST", "/v1/fences", "x", []string{"Content-Type", "text/plain"}, 404, codes.NotFound, "ROUTE_NOT_FOUND", ""},
		{"no such verb", "GET", "/v1/companies/harrow/quotes/q1:burn", "", nil, 400, codes.OK, "", ""}, // a quote's name, and a bad one
		{"another method", "DELETE", "/v1/companies/harrow/quotes", "", nil, 405, codes.Unimplemented, "METHOD_NOT_ALLOWED", "expected GET, POST, found DELETE"},
		{"a form in place of a query", "POST", "/v1/families", "a=1", []string{"Content-Type", "application/x-www-form-urlencoded"}, 405, codes.Unimplemented, "METHOD_NOT_ALLOWED", ""},
		{"a method by another name", "POST", "/v1/families", "a=1", []string{"Content-Type", "application/x-www-form-urlencoded", "X-HTTP-Method-Override", "GET"}, 405, codes.Unimplemented, "METHOD_NOT_ALLOWED", ""},
		{"a form", "POST", "/v1/layouts:plan", "site=1", []string{"Content-Type", "application/x-www-form-urlencoded"}, 415, codes.InvalidArgument, "UNSUPPORTED_MEDIA_TYPE", "application/json"},
		{"plain text, which any page may send", "POST", "/v1/layouts:plan", "{}", []string{"Content-Type", "text/plain"}, 415, codes.InvalidArgument, "UNSUPPORTED_MEDIA_TYPE", ""},
		{"packed", "POST", "/v1/layouts:plan", "{}", []string{"Content-Encoding", "gzip"}, 415, codes.InvalidArgument, "UNSUPPORTED_MEDIA_TYPE", ""},
		{"no JSON", "POST", "/v1/layouts:plan", `{"site": `, nil, 400, codes.InvalidArgument, "INVALID_REQUEST", "the body cannot be read: "},
		{"not an object", "POST", "/v1/layouts:plan", `[]`, nil, 400, codes.InvalidArgument, "INVALID_REQUEST", "(line 1:1)"},
		{"an unknown field", "POST", "/v1/layouts:plan", "{\n \"sight\": {}}", nil, 400, codes.InvalidArgument, "INVALID_REQUEST", `(line 2:2): unknown field "sight"`},
		{"a field twice", "POST", "/v1/layouts:plan", `{"parent": "a", "parent": "b"}`, nil, 400, codes.InvalidArgument, "INVALID_REQUEST", "duplicate field"},
		{"more after the end", "POST", "/v1/layouts:plan", `{} {}`, nil, 400, codes.InvalidArgument, "INVALID_REQUEST", "(line 1:4)"},
		{"no UTF-8", "POST", "/v1/layouts:plan", "{\"parent\": \"\xff\"}", nil, 400, codes.InvalidArgument, "INVALID_REQUEST", "UTF-8"},
		{"deep", "POST", "/v1/layouts:plan", strings.Repeat(`[`, 1900), nil, 400, codes.InvalidArgument, "INVALID_REQUEST", ""},
		{"too large", "POST", "/v1/layouts:plan", `{"parent": "` + strings.Repeat("x", 2000) + `"}`, nil, 413, codes.ResourceExhausted, "REQUEST_TOO_LARGE", "2000 bytes"},
		{"an address without UTF-8", "GET", "/v1/companies/%ff/quotes", "", nil, 400, codes.InvalidArgument, "INVALID_REQUEST", "UTF-8"},
		{"a broken query", "GET", "/v1/companies/harrow/quotes?pageToken=%zz", "", nil, 400, codes.InvalidArgument, "INVALID_REQUEST", "the query cannot be read"},
		{"a broken deadline", "GET", "/v1/families", "", []string{"Grpc-Timeout", "soon"}, 400, codes.InvalidArgument, "INVALID_REQUEST", "grpc-timeout: soon"},
	} {
		e.say(nil, &wattlev1.PlanLayoutResponse{})
		if c.code == codes.OK { // answered by the service
			e.say(status.Error(codes.InvalidArgument, "asked"))
			c.code, c.reason = codes.InvalidArgument, "INVALID_REQUEST"
		}
		response, body := ask(t, c.method, base+c.address, c.body, c.headers...)
		st := failed(t, response, body)
		if response.StatusCode != c.httpStatus || st.Code() != c.code || detail[*errdetails.ErrorInfo](st).GetReason() != c.reason || !strings.Contains(st.Message(), c.says) {
			t.Errorf("%s: %s %s", c.name, response.Status, body)
		}
		if response.StatusCode == http.StatusMethodNotAllowed && response.Header.Get("Allow") == "" {
			t.Errorf("%s: no method is allowed", c.name)
		}
		if got := e.arrived().method; c.name != "no such verb" && got != "" {
			t.Errorf("%s: %s was called", c.name, got)
		}
	}
}

// A body whose size is not told beforehand is cut at the limit as well.
func TestLimitOfUnknownLength(t *testing.T) {
	_, base := startEcho(t, rest.Config{MaxBody: 2000})
	request, err := http.NewRequestWithContext(t.Context(), http.MethodPost, base+"/v1/layouts:plan", io.MultiReader(strings.NewReader(`{"parent": "`), strings.NewReader(strings.Repeat("x", 2000))))
	if err != nil {
		t.Fatal(err)
	}
	request.Header.Set("Content-Type", "application/json")
	response, body := do(t, request)
	if st := failed(t, response, body); response.StatusCode != http.StatusRequestEntityTooLarge || detail[*errdetails.ErrorInfo](st).GetReason() != "REQUEST_TOO_LARGE" {
		t.Errorf("%s %s", response.Status, body)
	}
}

// Everything that is wrong with a query is told at once, and nothing in it is
// passed over.
func TestQueriesAreStrict(t *testing.T) {
	e, base := startEcho(t, rest.Config{})
	for _, c := range []struct {
		method, address string
		want            []string // field: description; the start of it
	}{
		{"GET", "/v1/companies/harrow/quotes?pageSize=ten&custmer=C-1&external_reference=a&externalReference=b&parent=companies/otley", []string{
			"custmer: this call has no such field", "external_reference: expected once", `pageSize: expected a whole number, found "ten"`, "parent: the address or the body says it already"}},
		{"GET", "/v1/companies/harrow/quotes/q1?view=FULL", []string{`view: expected one of QUOTE_VIEW_UNSPECIFIED, QUOTE_VIEW_BASIC, QUOTE_VIEW_FULL, found "FULL"`}},
		{"GET", "/v1/companies/harrow/quotes/q1?view=QUOTE_VIEW_BASIC&view=QUOTE_VIEW_FULL", []string{"view: expected once"}},
		{"GET", "/v1/companies/harrow/quotes/q1?alt=media", []string{"alt: media is for calls that give a document"}},
		{"GET", "/v1/companies/harrow/quotes/q1?alt=text", []string{"alt: this call has no such field"}},
		{"GET", "/v1/companies/harrow/specs?includeStandard=maybe", []string{"includeStandard: expected true or false"}},
		{"GET", "/v1/companies/harrow/quotes?customer=%ff", []string{"customer: expected text in UTF-8"}},
		{"GET", "/v1/companies/harrow/quotes?page.size=1", []string{"page.size: this call has no such field"}},
		{"POST", "/v1/companies/harrow/quotes?view=QUOTE_VIEW_BASIC", []string{"view: expected in the body"}},
		{"POST", "/v1/layouts:stream?parent=companies/harrow&alt=media", []string{"alt: media is", "parent: expected in the body"}},
	} {
		e.say(nil)
		response, body := ask(t, c.method, base+c.address, "")
		st := failed(t, response, body)
		got := violations(st)
		if response.StatusCode != http.StatusBadRequest || !slices.EqualFunc(got, c.want, strings.HasPrefix) {
			t.Errorf("%s: %s %q", c.address, response.Status, got)
		}
		if e.arrived().method != "" {
			t.Errorf("%s was called all the same", c.address)
		}
	}
}

func violations(st *status.Status) (lines []string) {
	for _, v := range detail[*errdetails.BadRequest](st).GetFieldViolations() {
		lines = append(lines, v.GetField()+": "+v.GetDescription())
	}
	return lines
}

// Every code of gRPC's has its HTTP status, and no text of the transport's own
// is sent on.
func TestStatusOfEveryCode(t *testing.T) {
	e, base := startEcho(t, rest.Config{})
	for code, want := range map[codes.Code]int{
		codes.Canceled: 499, codes.Unknown: 500, codes.InvalidArgument: 400, codes.DeadlineExceeded: 504, codes.NotFound: 404, codes.AlreadyExists: 409,
		codes.PermissionDenied: 403, codes.ResourceExhausted: 429, codes.FailedPrecondition: 400, codes.Aborted: 409, codes.OutOfRange: 400,
		codes.Unimplemented: 501, codes.Internal: 500, codes.Unavailable: 503, codes.DataLoss: 500, codes.Unauthenticated: 401,
	} {
		for _, address := range []string{"/v1/families", "/v1/layouts:stream"} {
			method := map[bool]string{true: http.MethodGet, false: http.MethodPost}[address == "/v1/families"]
			e.say(status.Error(code, "told"))
			response, body := ask(t, method, base+address, "")
			failed(t, response, body)
			if response.StatusCode != want {
				t.Errorf("%v at %s: %s, want %d", code, address, response.Status, want)
			}
			if challenge := response.Header.Get("WWW-Authenticate"); (challenge == "Bearer") != (code == codes.Unauthenticated) {
				t.Errorf("%v: challenged by %q", code, challenge)
			}
		}
	}
}

// A stream that breaks ends with the error, in a line of its own.
func TestErrorWithinAStream(t *testing.T) {
	e, base := startEcho(t, rest.Config{})
	broken, err := status.New(codes.ResourceExhausted, "the layout is invalid: site.geo_json: too far").WithDetails(&errdetails.BadRequest{
		FieldViolations: []*errdetails.BadRequest_FieldViolation{{Field: "saved_spec", Description: "too far"}}})
	if err != nil {
		t.Fatal(err)
	}
	e.say(broken.Err(), &wattlev1.StreamLayoutResponse{}, &wattlev1.StreamLayoutResponse{})
	response, body := ask(t, http.MethodPost, base+"/v1/layouts:stream", "{}")
	lines := strings.Split(body, "\n")
	if response.StatusCode != http.StatusOK || response.Header.Get("Content-Type") != "application/x-ndjson" || len(lines) != 4 ||
		!strings.HasPrefix(lines[0], `{"result":`) || !strings.HasPrefix(lines[2], `{"error":`) || !strings.Contains(lines[2], `"savedSpec"`) || lines[3] != "" {
		t.Errorf("%s %v\n%s", response.Status, response.Header, body)
	}
}

// An error over HTTP is the error over gRPC, but that it names fields as JSON
// does.
func TestErrorsAreGRPCs(t *testing.T) {
	o := openOffice(t)
	bare := &wattlev1.CreateQuoteRequest{}
	if err := protojson.Unmarshal([]byte(clientJob(t, map[string]any{"requestId": "early"})), bare); err != nil {
		t.Fatal(err)
	}
	type call struct {
		rpc        protoreflect.FullName
		request    proto.Message
		httpStatus int
		reason     string
		fields     []string // some of them
	}
	const quotes, layouts = "wattle.v1.QuoteService.", "wattle.v1.LayoutService."
	check := func(c call) {
		t.Helper()
		var want *status.Status
		method := "/" + string(c.rpc.Parent()) + "/" + string(c.rpc.Name())
		if c.rpc == layouts+"StreamLayout" {
			stream, err := wattlev1.NewLayoutServiceClient(o.conn).StreamLayout(t.Context(), c.request.(*wattlev1.StreamLayoutRequest))
			if err == nil {
				_, err = stream.Recv()
			}
			want = status.Convert(err)
		} else {
			want = status.Convert(o.conn.Invoke(t.Context(), method, c.request, answerOf(t, c.rpc)))
		}
		request, err := resttest.Request(t.Context(), o.base, c.rpc, c.request)
		if err != nil {
			t.Fatal(err)
		}
		request.Header.Set("Authorization", "Bearer "+o.key)
		response, body := do(t, request)
		got := failed(t, response, body)
		if response.StatusCode != c.httpStatus || got.Code() != want.Code() || detail[*errdetails.ErrorInfo](got).GetReason() != c.reason {
			t.Errorf("%s: %s %s, want %d %s as %v", c.rpc.Name(), response.Status, body, c.httpStatus, c.reason, want)
		}
		if !proto.Equal(detail[*errdetails.ErrorInfo](got), detail[*errdetails.ErrorInfo](want)) || !proto.Equal(detail[*errdetails.ResourceInfo](got), detail[*errdetails.ResourceInfo](want)) || len(got.Details()) != len(want.Details()) {
			t.Errorf("%s: details %v, want %v", c.rpc.Name(), got.Details(), want.Details())
		}
		plain := func(s string) string { return strings.ToLower(strings.ReplaceAll(s, "_", "")) }
		if plain(got.Message()) != plain(want.Message()) || plain(strings.Join(violations(got), "\n")) != plain(strings.Join(violations(want), "\n")) {
			t.Errorf("%s: %q %q\nwant %q %q", c.rpc.Name(), got.Message(), violations(got), want.Message(), violations(want))
		}
		for _, field := range c.fields {
			if !slices.ContainsFunc(violations(got), func(line string) bool { return strings.HasPrefix(line, field+": ") }) {
				t.Errorf("%s: nothing of %s in %q", c.rpc.Name(), field, violations(got))
			}
		}
		if strings.Contains(strings.Join(c.fields, ""), "B") && strings.Contains(got.Message(), "max_bay") {
			t.Errorf("the message has the other name: %s", got.Message())
		}
	}
	check(call{quotes + "CreateQuote", bare, 400, "PRICES_MISSING", []string{"prices[board-1x6-6ft]"}})
	o.importDemo(t)
	first := proto.Clone(bare).(*wattlev1.CreateQuoteRequest)
	if _, err := wattlev1.NewQuoteServiceClient(o.conn).CreateQuote(t.Context(), first); err != nil {
		t.Fatal(err)
	}
	other := proto.Clone(first).(*wattlev1.CreateQuoteRequest)
	other.Spec.Height = "5 ft"
	check(call{quotes + "CreateQuote", other, 409, "REQUEST_ID_REUSED", nil})

	invalid := proto.Clone(first).(*wattlev1.CreateQuoteRequest)
	invalid.AsOf, invalid.RequestId, invalid.ValidUntil = "soon", "spaces are not allowed", "later"
	invalid.Spec.Layout = &wattlev1.Spec_Layout{MaxBay: "wide"}
	invalid.Site.Runs[0].Vertices[1].Elevation = "high"
	invalid.CustomLines = []*wattlev1.CustomLine{{Description: "permit", Amount: "free"}}
	check(call{quotes + "CreateQuote", invalid, 400, "INVALID_REQUEST", []string{
		"requestId", "asOf", "validUntil", "spec.layout.maxBay", "site.runs[0].vertices[1].elevation", "customLines[0].amount"}})
	check(call{quotes + "GetQuote", &wattlev1.GetQuoteRequest{Name: "companies/harrow/quotes/none"}, 404, "QUOTE_NOT_FOUND", nil})
	check(call{quotes + "GetQuote", &wattlev1.GetQuoteRequest{Name: "companies/Not A Company/quotes/none"}, 400, "INVALID_REQUEST", []string{"name"}})
	check(call{quotes + "ListQuotes", &wattlev1.ListQuotesRequest{Parent: "companies/harrow", PageSize: -1, PageToken: "x"}, 400, "INVALID_REQUEST", []string{"pageSize"}})
	check(call{quotes + "ListQuotes", &wattlev1.ListQuotesRequest{Parent: "companies/harrow", PageToken: "x"}, 400, "INVALID_REQUEST", []string{"pageToken"}})
	check(call{"wattle.v1.PriceBookService.ResolvePrices", &wattlev1.ResolvePricesRequest{Parent: "companies/harrow", Items: []string{"gravel"}, Currency: "USD", Revision: new(int64(9))}, 400, "REVISION_UNKNOWN", []string{"revision"}})
	check(call{"wattle.v1.CatalogService.GetSpec", &wattlev1.GetSpecRequest{Name: "companies/harrow/specs/none"}, 404, "SPEC_NOT_FOUND", nil})
	wide := &wattlev1.Spec{Height: "6 ft", Layout: &wattlev1.Spec_Layout{MaxBay: "wide"}}
	check(call{layouts + "PlanLayout", &wattlev1.PlanLayoutRequest{Site: first.GetSite(), Spec: wide}, 400, "INVALID_REQUEST", []string{"spec.layout.maxBay"}})
	check(call{layouts + "StreamLayout", &wattlev1.StreamLayoutRequest{Site: first.GetSite(), Spec: wide}, 400, "INVALID_REQUEST", []string{"spec.layout.maxBay"}})

	// Who calls, and what he may.
	for key, c := range map[string]struct {
		httpStatus int
		reason     string
	}{"": {401, "KEY_MISSING"}, "Bearer wattle_none": {401, "KEY_UNKNOWN"}, "Basic " + o.key: {401, "KEY_MISSING"}} {
		response, body := ask(t, http.MethodGet, o.base+"/v1/companies/harrow", "", "Authorization", key)
		if st := failed(t, response, body); response.StatusCode != c.httpStatus || detail[*errdetails.ErrorInfo](st).GetReason() != c.reason || response.Header.Get("WWW-Authenticate") != "Bearer" {
			t.Errorf("key %q: %s %s", key, response.Status, body)
		}
	}
	response, body := o.ask(t, http.MethodGet, "/v1/companies", "")
	if st := failed(t, response, body); response.StatusCode != http.StatusForbidden || detail[*errdetails.ErrorInfo](st).GetReason() != "ROLE_TOO_LOW" {
		t.Errorf("%s %s", response.Status, body)
	}

	// The caller's own deadline.
	response, body = o.ask(t, http.MethodGet, "/v1/families", "", "Grpc-Timeout", "1n")
	if st := failed(t, response, body); response.StatusCode != http.StatusGatewayTimeout || st.Code() != codes.DeadlineExceeded || detail[*errdetails.ErrorInfo](st).GetReason() != "DEADLINE_EXCEEDED" {
		t.Errorf("%s %s", response.Status, body)
	}
	// A service that is gone.
	o.stop()
	for _, address := range []string{"/v1/families", "/readyz"} {
		response, body = o.ask(t, http.MethodGet, address, "")
		if st := failed(t, response, body); response.StatusCode != http.StatusServiceUnavailable || st.Code() != codes.Unavailable || strings.Contains(st.Message(), "dial") {
			t.Errorf("%s: %s %s", address, response.Status, body)
		}
	}
	if response, _ := ask(t, http.MethodGet, o.base+"/healthz", ""); response.StatusCode != http.StatusOK {
		t.Errorf("alive without its service: %s", response.Status)
	}
}

func answerOf(t *testing.T, rpc protoreflect.FullName) proto.Message {
	t.Helper()
	for _, m := range methods() {
		if m.FullName() == rpc {
			return newMessage(m.Output())
		}
	}
	t.Fatalf("no RPC %s", rpc)
	return nil
}

// What a caller says beside its request comes through, and nothing else does.
func TestHeaders(t *testing.T) {
	e, base := startEcho(t, rest.Config{})
	e.say(nil, &wattlev1.ListFamiliesResponse{})
	response, _ := ask(t, http.MethodGet, base+"/v1/families", "",
		"Authorization", "Bearer wk-1", "X-Request-Id", "crm-9", "Grpc-Timeout", "20S",
		"Grpc-Metadata-Authorization", "Bearer wk-2", "Cookie", "a=b", "X-Company", "otley")
	came := e.arrived()
	md := came.metadata
	if got := md.Get("authorization"); !slices.Equal(got, []string{"Bearer wk-1"}) {
		t.Errorf("authorization %q", got)
	}
	if md.Get("x-request-id")[0] != "crm-9" || response.Header.Get("X-Request-Id") != "crm-9" {
		t.Errorf("request id %q, answered %q", md.Get("x-request-id"), response.Header.Get("X-Request-Id"))
	}
	if left := time.Until(came.deadline); left < 10*time.Second || left > 20*time.Second {
		t.Errorf("%v left of 20 s", left)
	}
	for _, key := range []string{"cookie", "grpcgateway-cookie", "grpc-metadata-authorization", "x-company", "grpcgateway-x-company"} {
		if len(md.Get(key)) > 0 {
			t.Errorf("%s came through: %q", key, md.Get(key))
		}
	}
	e.say(nil, &wattlev1.ListFamiliesResponse{})
	response, _ = ask(t, http.MethodGet, base+"/v1/families", "", "X-Request-Id", "two words")
	if id := response.Header.Get("X-Request-Id"); id == "" || id == "two words" || e.arrived().metadata.Get("x-request-id")[0] != id {
		t.Errorf("a request named %q", id)
	}
	if !e.arrived().deadline.IsZero() {
		t.Error("a deadline that nobody set")
	}
}

// No more calls are open at once than the configuration says.
func TestCallsAreLimited(t *testing.T) {
	e, base := startEcho(t, rest.Config{Calls: 1})
	inside, release := make(chan struct{}), make(chan struct{})
	for _, c := range [][2]string{{http.MethodGet, "/v1/families"}, {http.MethodPost, "/v1/layouts:stream"}} {
		e.say(nil, &wattlev1.ListFamiliesResponse{})
		e.mu.Lock()
		e.hold = func() { inside <- struct{}{}; <-release }
		e.mu.Unlock()
		first := make(chan int, 1)
		go func() {
			request, _ := http.NewRequestWithContext(context.Background(), c[0], base+c[1], http.NoBody)
			response, err := http.DefaultClient.Do(request)
			if err != nil {
				first <- 0
				return
			}
			_, _ = io.Copy(io.Discard, response.Body)
			_ = response.Body.Close()
			first <- response.StatusCode
		}()
		<-inside
		response, body := ask(t, c[0], base+c[1], "")
		if st := failed(t, response, body); response.StatusCode != http.StatusServiceUnavailable || detail[*errdetails.ErrorInfo](st).GetReason() != "TOO_MANY_CALLS" {
			t.Errorf("%s: a second call: %s %s", c[1], response.Status, body)
		}
		if response, _ := ask(t, http.MethodGet, base+"/healthz", ""); response.StatusCode != http.StatusOK {
			t.Errorf("full, the process is %s", response.Status)
		}
		release <- struct{}{}
		if code := <-first; code != http.StatusOK {
			t.Errorf("%s: the first call: %d", c[1], code)
		}
		// What it held is given back when its request ends, just after its answer.
		e.mu.Lock()
		e.hold = nil
		e.mu.Unlock()
		for range 200 {
			if response, _ = ask(t, c[0], base+c[1], ""); response.StatusCode == http.StatusOK {
				break
			}
			time.Sleep(10 * time.Millisecond)
		}
		if response.StatusCode != http.StatusOK {
			t.Errorf("%s: after it: %s", c[1], response.Status)
		}
	}
}

func TestCrossOrigin(t *testing.T) {
	const page = "https://crm.example"
	for _, c := range []struct {
		name    string
		origins []string
		origin  string
		allowed bool
	}{
		{"off", nil, page, false},
		{"on", []string{page, "http://localhost:3000"}, page, true},
		{"on, for another", []string{"http://localhost:3000"}, page, false},
		{"on, for another port", []string{page + ":8443"}, page, false},
	} {
		e, base := startEcho(t, rest.Config{Origins: c.origins})
		e.say(nil, &wattlev1.ListFamiliesResponse{})
		response, _ := ask(t, http.MethodGet, base+"/v1/families", "", "Origin", c.origin)
		if got := response.Header.Get("Access-Control-Allow-Origin"); (got == c.origin) != c.allowed || !c.allowed && got != "" {
			t.Errorf("%s: allowed is %q", c.name, got)
		}
		preflight, _ := ask(t, http.MethodOptions, base+"/v1/companies/harrow/quotes", "", "Origin", c.origin,
			"Access-Control-Request-Method", "POST", "Access-Control-Request-Headers", "authorization,content-type,x-request-id")
		h := preflight.Header
		if got := h.Get("Access-Control-Allow-Origin"); (got == c.origin) != c.allowed || (h.Get("Access-Control-Allow-Headers") != "") != c.allowed || h.Get("Access-Control-Allow-Credentials") != "" {
			t.Errorf("%s: before a POST: %v", c.name, h)
		}
	}
	for _, bad := range []string{"*", "https://*.example", "crm.example", "https://crm.example/", "https://crm.example/app", "ftp://crm.example", "", "null", (&url.URL{Scheme: "https"}).String()} {
		if _, err := rest.New(nil, rest.Config{Origins: []string{bad}}); err == nil || !strings.Contains(err.Error(), "expected a web origin") {
			t.Errorf("%q: %v", bad, err)
		}
	}
}
