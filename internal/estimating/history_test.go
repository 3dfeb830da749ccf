package estimating_test

import (
	"bytes"
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/govalues/decimal"
	"github.com/jackc/pgx/v5"

	"wattle/internal/book"
	"wattle/internal/civil"
	"wattle/internal/estimating"
	"wattle/internal/fault"
	"wattle/internal/measure"
	"wattle/internal/money"
	"wattle/internal/postgres"
	"wattle/internal/postgres/storetest"
	"wattle/internal/quote"
	"wattle/internal/site"
	"wattle/internal/spec"
)

const company = "harrow"

// service is the use cases over one store, with a clock that stands still and
// ids that count.
func service(store *postgres.Store) *estimating.Service {
	var ids atomic.Int64
	return &estimating.Service{
		Quotes: store, Prices: store, Specs: store, Offices: store, Papers: store, Customers: store,
		Now:   func() time.Time { return time.Date(2026, 3, 5, 12, 0, 0, 0, time.UTC) },
		NewID: func() string { return fmt.Sprintf("q-%p-%04d", store, ids.Add(1)) },
	}
}

// scoped is the context of calls that reach everything of the company.
func scoped() context.Context { return storetest.Context(company) }

func key(method, id string) estimating.RequestKey {
	return estimating.RequestKey{Company: company, Principal: "local", Method: method, RequestID: id, Hash: sha256.Sum256([]byte(method + id))}
}

// items of the jobs below, with their unit.
var items = []struct{ name, unit string }{
	{"post-4x4-8ft", "each"}, {"rail-2x4-8ft", "each"}, {"rail-2x4-12ft", "each"}, {"rail-2x4-16ft", "each"},
	{"board-1x6-6ft", "each"}, {"concrete-80lb", "bag"}, {"gravel", "ft3"}, {"nail-8d-ring", "lb"}, {"nail-16d", "lb"},
	{"cap-4x4", "each"}, {"crew-hour", "hour"}, {"rate-fence", "hour/ft"},
}

// list is a price list in which every price moves with n.
func list(n int, effective string) book.Import {
	in := book.Import{Company: company, Office: book.MainOffice, Mode: book.Patch}
	for i, item := range items {
		price := decimal.MustNew(int64(500+130*i+37*n), 2)
		if item.name == "rate-fence" {
			price = decimal.MustParse("0.11")
		}
		in.Entries = append(in.Entries, book.Entry{
			Item: item.name, Office: book.MainOffice, Supplier: "millbrook", Effective: civil.Must(effective), State: book.Priced,
			Description: item.name, Currency: money.USD, Unit: item.unit, Pack: decimal.One,
			Breaks: []book.Break{{Price: price}},
		})
	}
	return in
}

func job(id string, feet measure.Length, asOf string) estimating.CreateQuote {
	return estimating.CreateQuote{
		Key: key("CreateQuote", id), Currency: money.USD, AsOf: civil.Must(asOf), ExternalRef: id,
		Site:    site.Site{Runs: []site.Run{{ID: "back", Vertices: []measure.Point{{}, {East: feet * measure.Foot}}}}},
		Spec:    spec.Spec{Name: "privacy", Height: 6 * measure.Foot},
		Pricing: quote.Pricing{ProfitPercent: decimal.MustParse("25")},
	}
}

func mustImport(t *testing.T, s *estimating.Service, id string, in book.Import) book.Outcome {
	t.Helper()
	out, err := s.ImportPrices(scoped(), key("ImportPrices", id), in)
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// Ten later price lists, some dated back before the quotes, some at the same
// instant from two connections, leave every earlier quote as it was.
func TestLaterListsNeverChangeAnEarlierQuote(t *testing.T) {
	ctx := scoped()
	store, db := storetest.NewWithDB(t)
	here, there := service(store), service(storetest.Open(t, db))
	mustImport(t, here, "first", list(0, "2026-01-05"))

	type made struct {
		id          string
		fingerprint [32]byte
	}
	var quotes []made
	quoteNow := func(id string, feet measure.Length, asOf string) {
		stored, err := here.CreateQuote(ctx, job(id, feet, asOf))
		if err != nil {
			t.Fatal(err)
		}
		quotes = append(quotes, made{stored.Record.ID, stored.Record.Fingerprint})
	}
	for i, asOf := range []string{"2026-01-05", "2026-03-01", "2026-12-31"} {
		quoteNow(fmt.Sprintf("before-%d", i), measure.Length(24+17*i), asOf)
	}
	later := []string{"2026-02-01", "2026-01-05", "2025-06-01", "2026-03-01", "2026-06-01", "2026-01-06", "2026-12-31", "2026-03-01", "2027-01-01", "2026-02-01"}
	for i := 0; i < len(later); i += 2 {
		var both sync.WaitGroup
		for j, s := range []*estimating.Service{here, there} {
			both.Go(func() {
				n := i + j
				if _, err := s.ImportPrices(ctx, key("ImportPrices", fmt.Sprint("later-", n)), list(n+1, later[n])); err != nil {
					t.Error(err)
				}
			})
		}
		both.Wait()
		quoteNow(fmt.Sprintf("between-%d", i), measure.Length(30+i), "2026-03-01")
	}
	head, err := store.Head(ctx, company)
	if err != nil {
		t.Fatal(err)
	}
	if head.Revision != 11 {
		t.Errorf("11 lists that each change something make 11 revisions, found %d", head.Revision)
	}
	totals := map[string]bool{}
	for _, q := range quotes {
		replay, err := there.ReplayQuote(ctx, company, q.id)
		if err != nil {
			t.Fatal(err)
		}
		if !replay.Identical() || replay.Fingerprint != q.fingerprint {
			t.Errorf("quote %s does not replay: %+v", q.id, replay)
		}
		again, err := there.GetQuote(ctx, company, q.id)
		if err != nil {
			t.Fatal(err)
		}
		totals[again.Record.Total.String()] = true
		if !bytes.Equal(quote.Document(again.Request, again.Quote), again.Record.Document) {
			t.Errorf("quote %s does not read back", q.id)
		}
	}
	if len(totals) < 5 {
		t.Errorf("the lists moved hardly anything: totals %v", totals)
	}
	// The same job at the old revision is the old price; at the head it moved.
	old := job("old-again", 24, "2026-01-05")
	old.Revision = new(book.Revision(1))
	was, err := here.CreateQuote(ctx, old)
	if err != nil {
		t.Fatal(err)
	}
	first, err := here.GetQuote(ctx, company, quotes[0].id)
	if err != nil {
		t.Fatal(err)
	}
	if was.Record.Total.Cmp(first.Record.Total) != 0 {
		t.Errorf("at revision 1 the job cost %s, the quote made then says %s", was.Record.Total, first.Record.Total)
	}
}

func TestReplayNoticesAForgedBook(t *testing.T) {
	ctx := scoped()
	store, db := storetest.NewWithDB(t)
	s := service(store)
	mustImport(t, s, "first", list(0, "2026-01-05"))
	stored, err := s.CreateQuote(ctx, job("j", 24, "2026-03-01"))
	if err != nil {
		t.Fatal(err)
	}
	// Only somebody above the service's own role can write this.
	admin, err := pgx.Connect(ctx, db.AdminURL())
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = admin.Close(ctx) }()
	if tag, err := admin.Exec(ctx, `UPDATE price_entry SET prices = ARRAY[1.23] WHERE item = 'gravel'`); err != nil || tag.RowsAffected() != 1 {
		t.Fatal(tag, err)
	}
	replay, err := s.ReplayQuote(ctx, company, stored.Record.ID)
	if err != nil {
		t.Fatal(err)
	}
	if replay.Identical() || len(replay.Resolution) == 0 || len(replay.Arithmetic) != 0 {
		t.Errorf("a forged price must show in the resolution and not in the arithmetic: %+v", replay)
	}
}

func TestOneRequestOneQuote(t *testing.T) {
	ctx := scoped()
	store := storetest.New(t)
	s := service(store)
	mustImport(t, s, "first", list(0, "2026-01-05"))
	ids := make([]string, 8)
	var all sync.WaitGroup
	for i := range ids {
		all.Go(func() {
			stored, err := s.CreateQuote(ctx, job("same", 24, "2026-03-01"))
			if err != nil {
				t.Error(err)
				return
			}
			ids[i] = stored.Record.ID
		})
	}
	all.Wait()
	for _, id := range ids {
		if id != ids[0] {
			t.Fatalf("one request made several quotes: %v", ids)
		}
	}
	// The same request id after the book moved is still the first answer.
	mustImport(t, s, "second", list(5, "2026-02-01"))
	again, err := s.CreateQuote(ctx, job("same", 24, "2026-03-01"))
	if err != nil || again.Record.ID != ids[0] {
		t.Errorf("asked again: %v, %v", again.Record.ID, err)
	}
	other := job("same", 30, "2026-03-01")
	other.Key.Hash = sha256.Sum256([]byte("another body"))
	_, err = s.CreateQuote(ctx, other)
	if e, ok := errors.AsType[*fault.Error](err); !ok || e.Kind != fault.AlreadyExists || e.Reason != "REQUEST_ID_REUSED" {
		t.Errorf("the same id with another body: %v", err)
	}
	list, err := s.ListQuotes(ctx, estimating.QuoteFilter{Company: company, Limit: 10})
	if err != nil || len(list) != 1 {
		t.Errorf("%d quotes stored (%v), expected 1", len(list), err)
	}
}

// A quote whose rules this program does not know is not read, let alone priced.
func TestRepriceNeedsKnownRules(t *testing.T) {
	ctx := scoped()
	store := storetest.New(t)
	s := service(store)
	mustImport(t, s, "first", list(0, "2026-01-05"))
	stored, err := s.CreateQuote(ctx, job("old", 24, "2026-03-01"))
	if err != nil {
		t.Fatal(err)
	}
	later := stored.Record
	later.ID, later.RulesVersion = "later", quote.RulesVersion+1
	later.Document = bytes.Replace(later.Document, []byte(`"spec":{`), []byte(`"spec":{"unheard":"of",`), 1)
	later.Fingerprint = quote.Fingerprint(later.Document)
	if _, err := store.InsertQuote(ctx, key("CreateQuote", "later"), later); err != nil {
		t.Fatal(err)
	}
	_, err = s.RepriceQuote(ctx, estimating.Reprice{Company: company, ID: "later"})
	if e, ok := errors.AsType[*fault.Error](err); !ok || e.Kind != fault.Refused || e.Reason != "RULES_UNSUPPORTED" {
		t.Errorf("rules of tomorrow: %v", err)
	}
}

// Items that newer rules take beyond the stored ones are resolved for the
// quote's own day, from the revision it was made at.
func TestRepriceKnowsWhatItemsCostThen(t *testing.T) {
	ctx := scoped()
	store := storetest.New(t)
	s := service(store)
	mustImport(t, s, "first", list(0, "2026-01-05"))
	stored, err := s.CreateQuote(ctx, job("made", 24, "2026-01-10"))
	if err != nil {
		t.Fatal(err)
	}
	mustImport(t, s, "second", list(3, "2026-02-01"))
	// The same quote, stored as if its rules had asked no price for gravel.
	r := stored.Request
	r.Prices = slices.DeleteFunc(slices.Clone(r.Prices), func(p book.Resolved) bool { return p.Item == "gravel" })
	bare := stored.Record
	bare.ID, bare.Document = "bare", quote.Document(r, stored.Quote)
	bare.Fingerprint = quote.Fingerprint(bare.Document)
	if _, err := store.InsertQuote(ctx, key("CreateQuote", "bare"), bare); err != nil {
		t.Fatal(err)
	}
	whole, err := s.RepriceQuote(ctx, estimating.Reprice{Company: company, ID: stored.Record.ID})
	if err != nil {
		t.Fatal(err)
	}
	p, err := s.RepriceQuote(ctx, estimating.Reprice{Company: company, ID: "bare"})
	if err != nil {
		t.Fatal(err)
	}
	if p.By.Rules.Sign() != 0 || p.By.Price.Cmp(whole.By.Price) != 0 || p.Cost.Cmp(whole.Cost) != 0 || !p.Cost.IsPos() {
		t.Errorf("%+v, with all its prices %+v", p.By, whole.By)
	}
}

func TestUnknownItemsAreAllNamed(t *testing.T) {
	s := service(storetest.New(t))
	_, err := s.CreateQuote(scoped(), job("empty book", 24, "2026-03-01"))
	e, ok := errors.AsType[*fault.Error](err)
	if !ok || e.Reason != "PRICES_MISSING" || len(e.Violations) != len(items) {
		t.Fatalf("an empty book prices nothing: %v", err)
	}
	in := job("renamed", 24, "2026-03-01")
	in.Spec.Items = map[string]string{"gravel": "our-own-gravel"}
	mustImport(t, s, "first", list(0, "2026-01-05"))
	_, err = s.CreateQuote(scoped(), in)
	if err == nil || !strings.Contains(err.Error(), "prices[our-own-gravel]: unknown item") {
		t.Errorf("an unknown item must be named: %v", err)
	}
}

func TestADeadContextIsRefused(t *testing.T) {
	store := storetest.New(t)
	s := service(store)
	mustImport(t, s, "first", list(0, "2026-01-05"))
	late, cancel := context.WithDeadline(scoped(), time.Now().Add(-time.Second))
	defer cancel()
	_, err := s.CreateQuote(late, job("late", 24, "2026-03-01"))
	if fault.KindOf(err) != fault.DeadlineExceeded {
		t.Errorf("past the deadline: %v", err)
	}
	gone, cancel := context.WithCancel(scoped())
	cancel()
	if _, _, err := s.PlanLayout(gone, site.Site{}, spec.Spec{}); fault.KindOf(err) != fault.Canceled {
		t.Errorf("cancelled: %v", err)
	}
	if list, err := s.ListQuotes(scoped(), estimating.QuoteFilter{Company: company, Limit: 10}); err != nil || len(list) != 0 {
		t.Errorf("%d quotes stored (%v), expected none", len(list), err)
	}
}

// BenchmarkCreateQuote makes and stores quotes of a 24 ft job, one client.
func BenchmarkCreateQuote(b *testing.B) {
	ctx := scoped()
	store := storetest.New(b)
	s := service(store)
	if _, err := s.ImportPrices(ctx, key("ImportPrices", "first"), list(0, "2026-01-05")); err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	n := 0
	for b.Loop() {
		n++
		stored, err := s.CreateQuote(ctx, job(fmt.Sprint("bench-", n), 160, "2026-03-01"))
		if err != nil {
			b.Fatal(err)
		}
		if n == 1 {
			b.Logf("one quote: %d lines, %d bays, a document of %d bytes", len(stored.Quote.Lines), len(stored.Quote.Layout.Bays), len(stored.Record.Document))
		}
	}
}
