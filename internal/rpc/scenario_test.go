package rpc

import (
	"bytes"
	"context"
	"encoding/hex"
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"buf.build/go/protoyaml"
	"github.com/rogpeppe/go-internal/txtar"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/book"
	"wattle/internal/estimating"
	"wattle/internal/postgres/storetest"
	"wattle/internal/quote"
	"wattle/internal/render"
)

var update = flag.Bool("update", false, "rewrite the expected text of scenarios; read the diff")

const scenarios = "../../testdata/scenarios"

// A scenario is one job as text: job.yaml (a CreateQuoteRequest) and
// prices.csv in; layout.txt, takeoff.txt and quote.txt out. It runs through
// the pure core alone, and through gRPC and Postgres, and both must give the
// expected text and the same document, byte for byte.
func TestScenarios(t *testing.T) {
	files, err := filepath.Glob(filepath.Join(scenarios, "*.txtar"))
	if err != nil || len(files) == 0 {
		t.Fatalf("no scenarios in %s: %v", scenarios, err)
	}
	for _, file := range files {
		t.Run(strings.TrimSuffix(filepath.Base(file), ".txtar"), func(t *testing.T) {
			t.Parallel()
			archive, err := txtar.ParseFile(file)
			if err != nil {
				t.Fatal(err)
			}
			in := map[string][]byte{}
			for _, f := range archive.Files {
				in[f.Name] = f.Data
			}
			req := &wattlev1.CreateQuoteRequest{}
			if err := (protoyaml.UnmarshalOptions{Path: file}).Unmarshal(in["job.yaml"], req); err != nil {
				t.Fatal(err)
			}
			r, q := throughTheCore(t, req, in["prices.csv"])
			pure := quote.Document(r, q)
			out := map[string][]byte{"layout.txt": layoutText(t, r, q), "takeoff.txt": takeoffText(t, q), "quote.txt": quoteText(t, r, q)}
			if *update {
				rewrite(t, file, archive, out)
			} else {
				for name, got := range out {
					if want := in[name]; !bytes.Equal(got, want) {
						t.Errorf("%s differs (-update rewrites it):\n%s", name, firstDifference(string(want), string(got)))
					}
				}
			}

			served := throughTheService(t, req, in["prices.csv"])
			if !bytes.Equal(served, pure) {
				diff, err := quote.DiffDocuments(served, pure)
				t.Errorf("the service's document is not the core's: %v %v", diff, err)
			}
			r2, q2, err := quote.ParseDocument(served)
			if err != nil {
				t.Fatal(err)
			}
			for name, got := range map[string][]byte{"layout.txt": layoutText(t, r2, q2), "takeoff.txt": takeoffText(t, q2), "quote.txt": quoteText(t, r2, q2)} {
				if !bytes.Equal(got, out[name]) {
					t.Errorf("%s of the stored quote differs:\n%s", name, firstDifference(string(out[name]), string(got)))
				}
			}
		})
	}
}

// throughTheCore makes the quote without a server or a database: the price
// list is the first revision of the book.
func throughTheCore(t *testing.T, req *wattlev1.CreateQuoteRequest, csv []byte) (quote.Request, *quote.Quote) {
	t.Helper()
	in, _, err := createQuoteFromProto(t.Context(), req, namedSpec{})
	if err != nil {
		t.Fatal(err)
	}
	entries, _, err := book.ParseCSV(bytes.NewReader(csv), book.CSVOptions{})
	if err != nil {
		t.Fatal(err)
	}
	for i := range entries {
		entries[i].Revision = 1
		entries[i].Office = book.MainOffice
	}
	r := quote.Request{
		Company: in.Key.Company, Offices: []string{"main"}, Customer: in.Customer, ExternalRef: in.ExternalRef,
		Currency: in.Currency, AsOf: in.AsOf, ValidUntil: in.ValidUntil, RulesVersion: quote.RulesVersion,
		Head: book.Head{}.Next(in.Key.Company, book.ContentHash(entries)),
		Site: in.Site, Spec: in.Spec.WithDefaults(), Custom: in.Custom, Pricing: in.Pricing.WithDefaults(),
	}.Normalised()
	l, err := quote.Plan(r)
	if err != nil {
		t.Fatal(err)
	}
	r.Prices = book.Resolve(entries, book.Query{
		Company: r.Company, Offices: r.Offices, Items: r.Job(l).Candidates(),
		AsOf: r.AsOf, Revision: 1, Currency: r.Currency,
	})
	q, err := quote.Price(r, l)
	if err != nil {
		t.Fatal(err)
	}
	return r, q
}

// throughTheService imports the price list and makes the quote over gRPC, and
// answers with the stored document.
func throughTheService(t *testing.T, req *wattlev1.CreateQuoteRequest, csv []byte) []byte {
	t.Helper()
	store := storetest.New(t)
	conn, _ := serve(t, &estimating.Service{
		Quotes: store, Prices: store, Offices: store,
		Now:   func() time.Time { return time.Date(2026, 3, 5, 12, 0, 0, 0, time.UTC) },
		NewID: func() string { return "scenario" },
	}, Config{})
	ctx := context.Background()
	importScenario(t, wattlev1.NewPriceBookServiceClient(conn), req.GetParent(), csv)
	quotes := wattlev1.NewQuoteServiceClient(conn)
	made, err := quotes.CreateQuote(ctx, req)
	if err != nil {
		t.Fatal(err)
	}
	name := made.GetQuote().GetName()
	replay, err := quotes.ReplayQuote(ctx, &wattlev1.ReplayQuoteRequest{Name: name})
	if err != nil || !replay.GetIdentical() {
		t.Errorf("the quote does not replay: %v %v", replay, err)
	}
	doc, err := quotes.RenderQuote(ctx, &wattlev1.RenderQuoteRequest{Name: name, Format: wattlev1.RenderQuoteRequest_FORMAT_CANONICAL_JSON})
	if err != nil {
		t.Fatal(err)
	}
	sum := quote.Fingerprint(doc.GetDocument().GetContent())
	if got := hex.EncodeToString(sum[:]); got != made.GetQuote().GetFingerprint() {
		t.Errorf("the document hashes to %s, the quote's fingerprint is %s", got, made.GetQuote().GetFingerprint())
	}
	return doc.GetDocument().GetContent()
}

func layoutText(t *testing.T, r quote.Request, q *quote.Quote) []byte {
	return rendered(t, func(w *bytes.Buffer) error { return render.LayoutText(w, r.Site, q.Layout) })
}

func takeoffText(t *testing.T, q *quote.Quote) []byte {
	return rendered(t, func(w *bytes.Buffer) error {
		if err := render.TakeoffText(w, q.Takeoff); err != nil {
			return err
		}
		for _, l := range q.Takeoff.Lines {
			w.WriteString("\n")
			if err := render.WhyText(w, l); err != nil {
				return err
			}
		}
		w.WriteString("\n")
		return render.CutListText(w, q.Takeoff)
	})
}

func quoteText(t *testing.T, r quote.Request, q *quote.Quote) []byte {
	h := render.QuoteHeader{ID: "scenario", CreatedAt: "2026-03-05 12:00 UTC", Fingerprint: quote.Fingerprint(quote.Document(r, q))}
	return rendered(t, func(w *bytes.Buffer) error { return render.QuoteText(w, h, r, q) })
}

func rendered(t *testing.T, write func(*bytes.Buffer) error) []byte {
	t.Helper()
	var w bytes.Buffer
	if err := write(&w); err != nil {
		t.Fatal(err)
	}
	return w.Bytes()
}

func rewrite(t *testing.T, file string, archive *txtar.Archive, out map[string][]byte) {
	t.Helper()
	kept := archive.Files[:0]
	for _, f := range archive.Files {
		if _, is := out[f.Name]; !is {
			kept = append(kept, f)
		}
	}
	for _, name := range []string{"layout.txt", "takeoff.txt", "quote.txt"} {
		kept = append(kept, txtar.File{Name: name, Data: out[name]})
	}
	archive.Files = kept
	if err := os.WriteFile(file, txtar.Format(archive), 0o644); err != nil {
		t.Fatal(err)
	}
}

func firstDifference(want, got string) string {
	w, g := strings.Split(want, "\n"), strings.Split(got, "\n")
	for i := range max(len(w), len(g)) {
		var a, b string
		if i < len(w) {
			a = w[i]
		}
		if i < len(g) {
			b = g[i]
		}
		if a != b {
			return "  expected: " + a + "\n  got:      " + b
		}
	}
	return "  (only line ends differ)"
}
