package rest_test

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"log/slog"
	"maps"
	"net/http"
	"os"
	"strings"
	"testing"
	"time"

	"go.uber.org/goleak"
	"google.golang.org/grpc"
	"google.golang.org/grpc/test/bufconn"
	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/estimating"
	"wattle/internal/postgres/storetest"
	"wattle/internal/rest"
	"wattle/internal/rpc"
)

func TestMain(m *testing.M) { goleak.VerifyTestMain(m) }

// office is the real service on a database of its own, by gRPC and by HTTP.
type office struct {
	base string
	key  string // harrow's first, an admin's
	conn *grpc.ClientConn
	stop func()
}

func openOffice(t *testing.T, limits ...rpc.Limits) office {
	t.Helper()
	store := storetest.New(t)
	made := 0
	use := &estimating.Service{
		Quotes: store, Prices: store, Specs: store, Offices: store, Papers: store, Customers: store, Actuals: store,
		Now:   func() time.Time { return time.Date(2026, 3, 16, 12, 0, made, 0, time.UTC) },
		NewID: func() string { made++; return fmt.Sprintf("q%04d", made) },
	}
	config := rpc.Config{Log: slog.New(slog.DiscardHandler)}
	for _, l := range limits {
		config.Limits = l
	}
	server, err := rpc.NewServer(use, config)
	if err != nil {
		t.Fatal(err)
	}
	// Two listeners, as `wattle serve` has them.
	outside, inside := bufconn.Listen(1<<20), bufconn.Listen(1<<20)
	ctx, cancel := context.WithCancel(context.Background())
	ended := make(chan error, 1)
	go func() { ended <- server.Serve(ctx, outside, inside) }()
	key := storetest.FirstKey(t, store, "harrow")
	o := office{base: startGateway(t, inside, rest.Config{}), key: key, conn: dial(t, outside, grpc.WithPerRPCCredentials(bearer(key)))}
	stopped := false
	o.stop = func() {
		if stopped {
			return
		}
		stopped = true
		cancel()
		if err := <-ended; err != nil {
			t.Errorf("Serve: %v", err)
		}
	}
	t.Cleanup(o.stop)
	return o
}

// bearer sends a key with every call.
type bearer string

func (b bearer) GetRequestMetadata(context.Context, ...string) (map[string]string, error) {
	return map[string]string{"authorization": "Bearer " + string(b)}, nil
}

func (bearer) RequireTransportSecurity() bool { return false }

// ask makes a request with the key.
func (o office) ask(t *testing.T, method, path, body string, headers ...string) (reply, string) {
	t.Helper()
	return ask(t, method, o.base+path, body, append(headers, "Authorization", "Bearer "+o.key)...)
}

// importDemo imports the demo's price list, over gRPC: HTTP has no streams from
// clients.
func (o office) importDemo(t *testing.T) {
	t.Helper()
	list, err := os.ReadFile("../../testdata/demo/prices-2026-03.csv")
	if err != nil {
		t.Fatal(err)
	}
	stream, err := wattlev1.NewPriceBookServiceClient(o.conn).ImportPrices(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	sum := sha256.Sum256(list)
	for _, m := range []*wattlev1.ImportPricesRequest{
		{Part: &wattlev1.ImportPricesRequest_Header_{Header: &wattlev1.ImportPricesRequest_Header{
			Parent: "companies/harrow", RequestId: "march", Mode: wattlev1.ImportPricesRequest_MODE_PATCH}}},
		{Part: &wattlev1.ImportPricesRequest_CsvChunk{CsvChunk: list}},
		{Part: &wattlev1.ImportPricesRequest_Trailer_{Trailer: &wattlev1.ImportPricesRequest_Trailer{
			RowCount: int64(strings.Count(string(list), "\n") - 1), Sha256: hex.EncodeToString(sum[:])}}},
	} {
		if err := stream.Send(m); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := stream.CloseAndRecv(); err != nil {
		t.Fatal(err)
	}
}

// clientJob is testdata/client_job.json, with changes at its top level.
func clientJob(t *testing.T, changes map[string]any) string {
	t.Helper()
	text, err := os.ReadFile("../../testdata/client_job.json")
	if err != nil {
		t.Fatal(err)
	}
	var job map[string]any
	if err := json.Unmarshal(text, &job); err != nil {
		t.Fatal(err)
	}
	maps.Copy(job, changes)
	changed, err := json.Marshal(job)
	if err != nil {
		t.Fatal(err)
	}
	return string(changed)
}

// read makes a call that succeeds, and reads its answer.
func read[M proto.Message](t *testing.T, o office, answer M, method, path, body string) M {
	t.Helper()
	response, text := o.ask(t, method, path, body)
	if response.StatusCode != http.StatusOK || response.Header.Get("Content-Type") != "application/json" {
		t.Fatalf("%s %s: %s %s", method, path, response.Status, text)
	}
	if err := protojson.Unmarshal([]byte(text), answer); err != nil {
		t.Fatal(err)
	}
	return answer
}

// The life of a quote over HTTP, each answer held against gRPC's.
func TestQuotesOverHTTP(t *testing.T) {
	o := openOffice(t)
	o.importDemo(t)
	const company = "/v1/companies/harrow"
	quotes := wattlev1.NewQuoteServiceClient(o.conn)

	made := read(t, o, &wattlev1.CreateQuoteResponse{}, http.MethodPost, company+"/quotes", clientJob(t, nil)).GetQuote()
	if made.GetName() != "companies/harrow/quotes/q0001" || made.GetTotal() != "2611.43" {
		t.Errorf("made %s at %s", made.GetName(), made.GetTotal())
	}
	if again := read(t, o, &wattlev1.CreateQuoteResponse{}, http.MethodPost, company+"/quotes", clientJob(t, nil)).GetQuote(); !proto.Equal(again, made) {
		t.Errorf("the same request again made %s", again.GetName())
	}
	// The path says it; the body need not.
	read(t, o, &wattlev1.CreateQuoteResponse{}, http.MethodPost, company+"/quotes", clientJob(t, map[string]any{"parent": "", "requestId": "two", "externalReference": "crm-2"}))

	stored, err := quotes.GetQuote(t.Context(), &wattlev1.GetQuoteRequest{Name: made.GetName()})
	if err != nil {
		t.Fatal(err)
	}
	if got := read(t, o, &wattlev1.GetQuoteResponse{}, http.MethodGet, company+"/quotes/q0001", ""); !proto.Equal(got, stored) || !proto.Equal(got.GetQuote(), made) {
		t.Error("read over HTTP, the quote is another")
	}
	if got := read(t, o, &wattlev1.GetQuoteResponse{}, http.MethodGet, company+"/quotes/q0001?view=QUOTE_VIEW_BASIC", ""); got.GetQuote().GetLayout() != nil {
		t.Error("the basic view has a layout")
	}

	list := read(t, o, &wattlev1.ListQuotesResponse{}, http.MethodGet, company+"/quotes?external_reference=crm-77120", "")
	if len(list.GetQuotes()) != 1 || list.GetQuotes()[0].GetName() != made.GetName() {
		t.Errorf("by reference: %v", list)
	}
	first := read(t, o, &wattlev1.ListQuotesResponse{}, http.MethodGet, company+"/quotes?pageSize=1", "")
	second := read(t, o, &wattlev1.ListQuotesResponse{}, http.MethodGet, company+"/quotes?pageSize=1&pageToken="+first.GetNextPageToken(), "")
	if first.GetQuotes()[0].GetExternalReference() != "crm-2" || second.GetQuotes()[0].GetName() != made.GetName() || second.GetNextPageToken() != "" {
		t.Errorf("pages %v, %v", first, second)
	}

	replay := read(t, o, &wattlev1.ReplayQuoteResponse{}, http.MethodGet, company+"/quotes/q0001:replay", "")
	if !replay.GetIdentical() || replay.GetFingerprint() != made.GetFingerprint() {
		t.Errorf("replay: %v", replay)
	}
	comparison := read(t, o, &wattlev1.CompareQuotesResponse{}, http.MethodGet, company+"/quotes/q0001:compare?other=companies/harrow/quotes/q0002", "")
	if comparison.GetTotalDifference() != "0.00" {
		t.Errorf("comparison: %v", comparison)
	}
}

// A document comes inside a message, or as a file.
func TestDocumentsOverHTTP(t *testing.T) {
	o := openOffice(t)
	o.importDemo(t)
	read(t, o, &wattlev1.CreateQuoteResponse{}, http.MethodPost, "/v1/companies/harrow/quotes", clientJob(t, nil))
	for format := range wattlev1.RenderQuoteRequest_Format_value {
		address := "/v1/companies/harrow/quotes/q0001:render?format=" + format
		document := read(t, o, &wattlev1.RenderQuoteResponse{}, http.MethodGet, address, "").GetDocument()
		response, body := o.ask(t, http.MethodGet, address+"&alt=media", "")
		if response.StatusCode != http.StatusOK || body != string(document.GetContent()) || len(body) == 0 ||
			response.Header.Get("Content-Type") != document.GetMediaType() || !strings.Contains(response.Header.Get("Content-Disposition"), document.GetFileName()) {
			t.Errorf("%s: %s, %v, %d bytes, want %d of %s", format, response.Status, response.Header, len(body), len(document.GetContent()), document.GetMediaType())
		}
	}
	drawn, svg := o.ask(t, http.MethodPost, "/v1/layouts:draw?alt=media", `{"site": {"runs": [{"id": "back", "vertices": [{"east": "0 ft", "north": "0 ft"}, {"east": "54 ft 6 in", "north": "0 ft"}]}]}, "spec": {"height": "6 ft"}}`)
	if drawn.StatusCode != http.StatusOK || drawn.Header.Get("Content-Type") != "image/svg+xml" || !strings.Contains(svg, "</svg>") {
		t.Errorf("drawn: %s %v %.100s", drawn.Status, drawn.Header, svg)
	}
}

// What the service answers is what the OpenAPI document says it answers.
func TestAnswersFollowTheDocument(t *testing.T) {
	o := openOffice(t)
	o.importDemo(t)
	doc := served(t, o.base)
	job := clientJob(t, nil)
	yard := `"currency": "USD", "site": {"runs": [{"id": "back", "vertices": [{"east": "0 ft", "north": "0 ft"}, {"east": "54 ft 6 in", "north": "0 ft"}]}]}`
	plan := `{"site": {"runs": [{"id": "back", "vertices": [{"east": "0 ft", "north": "0 ft"}, {"east": "54 ft 6 in", "north": "0 ft"}], "gates": [{"id": "walk", "station": "20 ft", "width": "4 ft"}]}]}, "spec": {"height": "6 ft"}}`
	for _, c := range []struct{ route, address, body string }{
		{"POST /v1/companies/{company}/quotes", "/v1/companies/harrow/quotes", job},
		{"GET /v1/companies/{company}/quotes", "/v1/companies/harrow/quotes", ""},
		{"GET /v1/companies/{company}/quotes/{quote}", "/v1/companies/harrow/quotes/q0001", ""},
		{"GET /v1/companies/{company}/quotes/{quote}:replay", "/v1/companies/harrow/quotes/q0001:replay", ""},
		{"GET /v1/companies/{company}/quotes/{quote}:render", "/v1/companies/harrow/quotes/q0001:render?format=FORMAT_TAKEOFF_CSV", ""},
		{"POST /v1/companies/{company}/prices:resolve", "/v1/companies/harrow/prices:resolve", `{"items": ["gravel", "nothing"], "currency": "USD"}`},
		{"GET /v1/companies/{company}/prices:history", "/v1/companies/harrow/prices:history?item=gravel", ""},
		{"POST /v1/companies/{company}/specs/{spec}:save", "/v1/companies/harrow/specs/low:save", `{"requestId": "low", "spec": {"height": "4 ft"}}`},
		{"GET /v1/companies/{company}/specs", "/v1/companies/harrow/specs?includeStandard=true", ""},
		{"GET /v1/companies/{company}/specs/{spec}", "/v1/companies/harrow/specs/low?version=1", ""},
		{"GET /v1/companies/{company}/specs/{spec}:versions", "/v1/companies/harrow/specs/low:versions", ""},
		{"POST /v1/companies/{company}/specs/{spec}:withdraw", "/v1/companies/harrow/specs/low:withdraw", `{"requestId": "gone"}`},
		{"GET /v1/specs", "/v1/specs?includeStandard=true", ""},
		{"GET /v1/standard/{standard}", "/v1/standard/chain-link-6ft", ""},
		{"GET /v1/families", "/v1/families", ""},
		{"POST /v1/layouts:plan", "/v1/layouts:plan", plan},
		{"POST /v1/takeoffs:compute", "/v1/takeoffs:compute", plan},
		{"POST /v1/companies/{company}/options:compare", "/v1/companies/harrow/options:compare",
			`{` + yard + `, "options": [{"name": "low", "spec": {"height": "6 ft"}}, {"name": "bad", "spec": {"height": "6 ft", "groundClearance": "9 ft"}}]}`},
		{"POST /v1/companies/{company}/options:advise", "/v1/companies/harrow/options:advise", `{` + yard + `, "spec": {"height": "6 ft"}}`},
	} {
		method, _, _ := strings.Cut(c.route, " ")
		response, body := o.ask(t, method, c.address, c.body)
		if response.StatusCode != http.StatusOK {
			t.Errorf("%s: %s %s", c.route, response.Status, body)
			continue
		}
		follows(t, doc, c.route, body)
		if strings.HasSuffix(c.route, "options:compare") && !strings.Contains(body, `"options[1].spec.groundClearance"`) {
			t.Errorf("the option that cannot be: %s", body)
		}
	}
}
