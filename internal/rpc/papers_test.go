package rpc

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"image"
	"image/png"
	"slices"
	"strings"
	"testing"

	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/auth"
)

func logo(t *testing.T) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := png.Encode(&b, image.NewNRGBA(image.Rect(0, 0, 30, 20))); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// The papers of a quote that was issued are recorded: made again of the same,
// they are the same bytes; of another template, customer or option they are
// others, and the record says so.
func TestPapersAreRecorded(t *testing.T) {
	o := openOffice(t, Config{})
	if _, err := o.importList(t, "march", market("2026-03-01", "14.97")); err != nil {
		t.Fatal(err)
	}
	templates, customers := wattlev1.NewTemplateServiceClient(o.conn), wattlev1.NewCustomerServiceClient(o.conn)
	person := &wattlev1.Customer{DisplayName: "Pat Example", Address: &wattlev1.PostalAddress{Lines: []string{"7 Orchard Row"}, Locality: "Harrow's Ford"}}
	if _, err := customers.CreateCustomer(t.Context(), &wattlev1.CreateCustomerRequest{Parent: "companies/harrow", RequestId: "c", CustomerId: "cust-17", Customer: person}); err != nil {
		t.Fatal(err)
	}
	name := o.create(t, job("one")).GetName()
	render := func(change func(*wattlev1.RenderQuoteRequest)) (*wattlev1.PaperMaking, []byte) {
		t.Helper()
		req := &wattlev1.RenderQuoteRequest{Name: name, Format: wattlev1.RenderQuoteRequest_FORMAT_PROPOSAL_PDF}
		if change != nil {
			change(req)
		}
		answer, err := o.quotes.RenderQuote(t.Context(), req)
		if err != nil {
			t.Fatal(err)
		}
		sum := sha256.Sum256(answer.GetDocument().GetContent())
		if answer.GetMaking().GetSha256() != hex.EncodeToString(sum[:]) {
			t.Error("the hash is not the document's")
		}
		return answer.GetMaking(), answer.GetDocument().GetContent()
	}
	if m, _ := render(nil); m.GetRecord() != wattlev1.PaperMaking_RECORD_UNSPECIFIED || m.GetRecordTime() != nil || m.GetTemplate() != "standard" || m.GetCustomerVersion() != 1 {
		t.Errorf("a draft's: %v", m)
	}
	if _, err := o.quotes.IssueQuote(t.Context(), &wattlev1.IssueQuoteRequest{Name: name, RequestId: "i"}); err != nil {
		t.Fatal(err)
	}
	first, bytesOfFirst := render(nil)
	again, bytesAgain := render(nil)
	if first.GetRecord() != wattlev1.PaperMaking_RECORD_FIRST || again.GetRecord() != wattlev1.PaperMaking_RECORD_IDENTICAL ||
		!bytes.Equal(bytesOfFirst, bytesAgain) || !again.GetRecordTime().AsTime().Equal(first.GetRecordTime().AsTime()) {
		t.Errorf("first %v, again %v", first, again)
	}
	seen := []string{first.GetSha256()}
	other := func(what string, m *wattlev1.PaperMaking) {
		t.Helper()
		if m.GetRecord() != wattlev1.PaperMaking_RECORD_FIRST || slices.Contains(seen, m.GetSha256()) {
			t.Errorf("%s: %v", what, m)
		}
		seen = append(seen, m.GetSha256())
	}
	metric, _ := render(func(r *wattlev1.RenderQuoteRequest) { r.Measures = wattlev1.Measures_MEASURES_METRIC })
	other("metric", metric)
	a4, _ := render(func(r *wattlev1.RenderQuoteRequest) { r.Paper = wattlev1.Paper_PAPER_A4 })
	other("A4", a4)
	german, _ := render(func(r *wattlev1.RenderQuoteRequest) { r.Locale = "de-DE" })
	other("German numbers", german)
	saved, err := templates.SaveTemplate(t.Context(), &wattlev1.SaveTemplateRequest{Name: "companies/harrow/templates/main", RequestId: "t",
		Template: &wattlev1.Template{Title: "Harrow & Daughters Fence", Logo: logo(t), Terms: []string{"We call before we dig."}, Paper: wattlev1.Paper_PAPER_A4}})
	if err != nil || saved.GetTemplate().GetVersion() != 1 || !saved.GetApplied() || len(saved.GetTemplate().GetLogo()) > 0 {
		t.Fatalf("%v, %v", saved, err)
	}
	ours, _ := render(nil)
	other("our template", ours)
	if ours.GetTemplate() != "companies/harrow/templates/main" || ours.GetTemplateVersion() != 1 {
		t.Errorf("made with %v", ours)
	}
	if m, _ := render(func(r *wattlev1.RenderQuoteRequest) { r.Template = "standard" }); m.GetRecord() != wattlev1.PaperMaking_RECORD_IDENTICAL || m.GetSha256() != first.GetSha256() {
		t.Errorf("the built-in template again: %v", m)
	}
	if _, err := customers.UpdateCustomer(t.Context(), &wattlev1.UpdateCustomerRequest{Customer: &wattlev1.Customer{Name: "companies/harrow/customers/cust-17", DisplayName: "張 Example"}, RequestId: "u"}); err != nil {
		t.Fatal(err)
	}
	moved, _ := render(nil)
	other("another name", moved)
	if c := moved.GetCautions(); len(c) != 1 || c[0].GetCode() != "font-lacks-glyphs" || c[0].GetField() != "customer.display_name" || !strings.Contains(c[0].GetText(), "U+5F35") || moved.GetCustomerVersion() != 2 {
		t.Errorf("a name that the font lacks: %v", moved)
	}
	pair := job("two")
	pair.OptionOf = name
	o.create(t, pair)
	beside, _ := render(nil)
	other("another option", beside)
}

// Everything wrong with a template is told at once, by field.
func TestBadTemplates(t *testing.T) {
	o := openOffice(t, Config{})
	templates := wattlev1.NewTemplateServiceClient(o.conn)
	_, err := templates.SaveTemplate(t.Context(), &wattlev1.SaveTemplateRequest{Name: "companies/harrow/templates/main", RequestId: "t", Template: &wattlev1.Template{
		Title: "two\nlines", Logo: []byte("GIF89a, or so it says"), Font: []byte("\x00\x01\x00\x00 no font"), Locale: "!", Terms: []string{strings.Repeat("x", 129<<10)},
	}})
	got := describe(wants(t, err, codes.InvalidArgument, "INVALID_REQUEST"))
	for i, want := range []string{"template.title: ", "template.terms: at most 131072 bytes", "template.locale: ", "template.logo: a PNG or JPEG image is expected", "template.font: a TrueType font is expected"} {
		if len(got) != 5 || !strings.HasPrefix(got[i], want) {
			t.Fatalf("%q, want %q as number %d", got, want, i+1)
		}
	}
	if _, err := templates.SaveTemplate(t.Context(), &wattlev1.SaveTemplateRequest{Name: "companies/harrow/templates/nowhere", RequestId: "t", Template: &wattlev1.Template{}}); err == nil {
		t.Error("an office that is not there has a template")
	}
	shown, err := templates.GetTemplate(t.Context(), &wattlev1.GetTemplateRequest{Name: "companies/harrow/templates/main", Inherited: true})
	if err != nil || shown.GetTemplate().GetName() != "standard" {
		t.Errorf("nothing was saved: %v, %v", shown, err)
	}
	_, err = templates.GetTemplate(t.Context(), &wattlev1.GetTemplateRequest{Name: "companies/harrow/templates/main"})
	wants(t, err, codes.NotFound, "TEMPLATE_NOT_FOUND")
	if _, err := o.importList(t, "march", market("2026-03-01", "14.97")); err != nil {
		t.Fatal(err)
	}
	_, err = o.quotes.RenderQuote(t.Context(), &wattlev1.RenderQuoteRequest{Name: o.create(t, job("one")).GetName(), Format: wattlev1.RenderQuoteRequest_FORMAT_CUT_LIST_PDF, Locale: "!"})
	if got := describe(wants(t, err, codes.InvalidArgument, "INVALID_REQUEST")); len(got) != 1 || !strings.HasPrefix(got[0], "locale: ") {
		t.Errorf("a locale that is none: %q", got)
	}
}

// A reader's proposal has no details of the customer.
func TestReadersProposal(t *testing.T) {
	t.Parallel()
	b := openBranches(t)
	estimator := b.at(t, "north", auth.Estimator)
	if _, err := wattlev1.NewCustomerServiceClient(estimator).CreateCustomer(t.Context(), &wattlev1.CreateCustomerRequest{
		Parent: "companies/harrow", RequestId: "c", CustomerId: "cust-17", Customer: &wattlev1.Customer{DisplayName: "Pat Example"},
	}); err != nil {
		t.Fatal(err)
	}
	for conn, version := range map[*grpc.ClientConn]int32{b.at(t, "north", auth.Reader): 0, estimator: 1} {
		answer, err := wattlev1.NewQuoteServiceClient(conn).RenderQuote(t.Context(), &wattlev1.RenderQuoteRequest{Name: b.quote, Format: wattlev1.RenderQuoteRequest_FORMAT_PROPOSAL_PDF})
		if err != nil || answer.GetMaking().GetCustomerVersion() != version {
			t.Errorf("want version %d of the customer: %v, %v", version, answer.GetMaking(), err)
		}
	}
	// Who sees an issued quote has its papers recorded, though he writes nothing else.
	for who, conn := range map[string]*grpc.ClientConn{"a reader of north": b.at(t, "north", auth.Reader), "a reader of main": b.at(t, "main", auth.Reader)} {
		answer, err := wattlev1.NewQuoteServiceClient(conn).RenderQuote(t.Context(), &wattlev1.RenderQuoteRequest{Name: b.issued[0], Format: wattlev1.RenderQuoteRequest_FORMAT_CREW_SHEET_PDF})
		if err != nil || answer.GetMaking().GetRecordTime() == nil {
			t.Errorf("%s: %v, %v", who, answer.GetMaking(), err)
		}
	}
}
