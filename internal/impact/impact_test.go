package impact_test

import (
	"context"
	"crypto/sha256"
	"fmt"
	"log/slog"
	"runtime"
	"slices"
	"sync/atomic"
	"testing"
	"time"

	"github.com/govalues/decimal"
	"github.com/jackc/pgx/v5"
	"github.com/riverqueue/river"

	"wattle/internal/auth"
	"wattle/internal/book"
	"wattle/internal/civil"
	"wattle/internal/estimating"
	"wattle/internal/fault"
	"wattle/internal/impact"
	"wattle/internal/measure"
	"wattle/internal/money"
	"wattle/internal/postgres"
	"wattle/internal/postgres/pgtest"
	"wattle/internal/postgres/storetest"
	"wattle/internal/quote"
	"wattle/internal/site"
	"wattle/internal/spec"
	"wattle/internal/work"
)

const company = "harrow"

// branch is a company whose workers run.
type branch struct {
	*estimating.Service
	ctx   context.Context
	store *postgres.Store
	db    *pgtest.DB
	calls atomic.Int64
}

func open(t testing.TB, workers int) *branch {
	t.Helper()
	store, db := storetest.NewWithDB(t)
	storetest.FirstKey(t, store, company)
	b := &branch{ctx: storetest.Context(company), store: store, db: db}
	var ids atomic.Int64
	b.Service = &estimating.Service{
		Quotes: store, Prices: store, Specs: store, Offices: store, Impacts: store, Now: time.Now,
		NewID: func() string { return fmt.Sprintf("q-%04d", ids.Add(1)) },
	}
	b.work(t, workers)
	return b
}

// work runs workers of the worker's own role until the test ends.
func (b *branch) work(t testing.TB, workers int) {
	t.Helper()
	if workers == 0 {
		return
	}
	store, err := postgres.Open(context.Background(), b.db.WorkerURL())
	if err != nil {
		t.Fatal(err)
	}
	use := &estimating.Service{Prices: store, Impacts: store}
	all := river.NewWorkers()
	river.AddWorker(all, impact.NewSteps(use))
	river.AddWorker(all, impact.NewChunks(use))
	ctx, stop := context.WithCancel(context.Background())
	ended := make(chan error, 1)
	go func() {
		ended <- work.Run(ctx, store.Queue(), work.Config{Workers: all, Count: workers, Log: slog.New(slog.DiscardHandler)})
	}()
	t.Cleanup(func() {
		stop()
		if err := <-ended; err != nil {
			t.Error(err)
		}
		store.Close()
	})
}

func (b *branch) key(method string) estimating.RequestKey {
	id := fmt.Sprint(b.calls.Add(1))
	return estimating.RequestKey{Company: company, Principal: "local", Method: method, RequestID: id, Hash: sha256.Sum256([]byte(id))}
}

// priced is an entry of an item, each or by its unit; withdrawn where the price
// is empty.
func priced(item, office, price string) book.Entry {
	e := book.Entry{Item: item, Office: office, Supplier: "millbrook", Effective: civil.Must("2026-01-05"), State: book.Withdrawn}
	if price != "" {
		units := map[string]string{"concrete-80lb": "bag", "gravel": "ft3", "our-gravel": "ft3", "nail-8d-ring": "lb", "nail-16d": "lb", "crew-hour": "hour", "rate-fence": "hour/ft"}
		unit := units[item]
		if unit == "" {
			unit = "each"
		}
		e.State, e.Currency, e.Unit, e.Pack, e.Description = book.Priced, money.USD, unit, decimal.One, item
		e.Breaks = []book.Break{{Price: decimal.MustParse(price)}}
	}
	return e
}

// list is what every job below takes.
func list() []book.Entry {
	var all []book.Entry
	for i, item := range []string{
		"post-4x4-8ft", "rail-2x4-8ft", "rail-2x4-12ft", "rail-2x4-16ft", "board-1x6-6ft", "concrete-80lb", "gravel", "our-gravel",
		"nail-8d-ring", "nail-16d", "cap-4x4", "crew-hour",
	} {
		all = append(all, priced(item, book.MainOffice, decimal.MustNew(int64(500+130*i), 2).String()))
	}
	return append(all, priced("rate-fence", book.MainOffice, "0.11"))
}

func (b *branch) load(t testing.TB, entries ...book.Entry) book.Revision {
	t.Helper()
	for i := range entries { // a later day, so that it is this one that holds
		entries[i].Effective = entries[i].Effective.AddDays(int(b.calls.Load()))
	}
	out, err := b.ImportPrices(b.ctx, b.key("ImportPrices"), book.Import{Company: company, Mode: book.Patch, Entries: entries, AcceptJumps: true})
	if err != nil {
		t.Fatal(err)
	}
	return out.Head.Revision
}

func (b *branch) quote(t testing.TB, feet measure.Length, change ...func(*estimating.CreateQuote)) estimating.Stored {
	t.Helper()
	return b.quoteAs(b.ctx, t, feet, change...)
}

// quoteAs is quote by a caller of his own.
func (b *branch) quoteAs(ctx context.Context, t testing.TB, feet measure.Length, change ...func(*estimating.CreateQuote)) estimating.Stored {
	t.Helper()
	in := estimating.CreateQuote{
		Key: b.key("CreateQuote"), Currency: money.USD,
		Site:    site.Site{Runs: []site.Run{{ID: "back", Vertices: []measure.Point{{}, {East: feet * measure.Foot}}}}},
		Spec:    spec.Spec{Name: "privacy", Height: 6 * measure.Foot},
		Pricing: quote.Pricing{ProfitPercent: decimal.MustParse("25")},
	}
	for _, c := range change {
		c(&in)
	}
	stored, err := b.CreateQuote(ctx, in)
	if err != nil {
		t.Fatal(err)
	}
	return stored
}

// done waits until a revision's impact is worked out.
func (b *branch) done(t testing.TB, r book.Revision, patience time.Duration) estimating.ImpactSummary {
	t.Helper()
	deadline := time.Now().Add(patience)
	for {
		sum, err := b.PriceImpact(b.ctx, company, &r)
		if err != nil && fault.KindOf(err) != fault.NotFound {
			t.Fatal(err)
		}
		if !sum.DoneAt.IsZero() {
			return sum
		}
		if time.Now().After(deadline) {
			t.Fatalf("the impact of revision %d is not worked out: %+v", r, sum)
		}
		time.Sleep(50 * time.Millisecond)
	}
}

func (b *branch) impacts(ctx context.Context, t testing.TB, r book.Revision) map[string]estimating.Impact {
	t.Helper()
	all := make(map[string]estimating.Impact)
	after := ""
	for { // pages of two
		page, err := b.PriceImpacts(ctx, company, r, after, 2)
		if err != nil {
			t.Fatal(err)
		}
		if len(page) == 0 {
			return all
		}
		for _, i := range page {
			if _, twice := all[i.Quote]; twice || i.Quote <= after {
				t.Fatalf("%s again, after %q", i.Quote, after)
			}
			all[i.Quote], after = i, i.Quote
		}
	}
}

// told counts the events of a revision's impact.
func (b *branch) told(t testing.TB, r book.Revision) (n int) {
	t.Helper()
	admin, err := pgx.Connect(context.Background(), b.db.AdminURL())
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = admin.Close(context.Background()) }()
	err = admin.QueryRow(context.Background(), `select count(*) from event where type = 'prices.impact' and subject = 'companies/harrow/book' and sequence = $1`, int64(r)).Scan(&n)
	if err != nil {
		t.Fatal(err)
	}
	return n
}

func names(all map[string]estimating.Impact) []string {
	var ids []string
	for id := range all {
		ids = append(ids, id)
	}
	slices.Sort(ids)
	return ids
}

const patience = 30 * time.Second

// A list that moves one item moves the open quotes that ask for it, by what
// pricing them again comes to, and no other.
func TestImpactOfALaterList(t *testing.T) {
	t.Parallel()
	b := open(t, 2)
	first := b.load(t, list()...)
	if sum := b.done(t, first, patience); sum.Moved+sum.Lost != 0 || b.told(t, first) != 1 {
		t.Errorf("before any quote: %+v, %d events", sum, b.told(t, first))
	}
	small, large, issued := b.quote(t, 24), b.quote(t, 160), b.quote(t, 48)
	own := b.quote(t, 24, func(in *estimating.CreateQuote) { in.Spec.Items = map[string]string{"gravel": "our-gravel"} })
	accepted, void := b.quote(t, 24), b.quote(t, 24)
	for _, q := range []estimating.Stored{issued, accepted} {
		if _, err := b.IssueQuote(b.ctx, estimating.Move{Key: b.key("IssueQuote"), Quote: q.Record.ID}); err != nil {
			t.Fatal(err)
		}
	}
	accept := estimating.AcceptQuote{Move: estimating.Move{Key: b.key("AcceptQuote"), Quote: accepted.Record.ID}}
	accept.Decision = estimating.Decision{By: quote.Customer, On: civil.Of(time.Now().UTC())}
	if _, err := b.AcceptQuote(b.ctx, accept); err != nil {
		t.Fatal(err)
	}
	if _, err := b.VoidQuote(b.ctx, estimating.Move{Key: b.key("VoidQuote"), Quote: void.Record.ID}); err != nil {
		t.Fatal(err)
	}

	dearer := b.load(t, priced("gravel", book.MainOffice, "19.99"))
	sum, all := b.done(t, dearer, patience), b.impacts(b.ctx, t, dearer)
	want := []string{small.Record.ID, large.Record.ID, issued.Record.ID}
	if got := names(all); !slices.Equal(got, want) {
		t.Fatalf("moved: %v, want %v", got, want)
	}
	var c money.Calc
	var cost, total decimal.Decimal
	for _, q := range []estimating.Stored{small, large, issued} {
		again, err := b.RepriceQuote(b.ctx, estimating.Reprice{Company: company, ID: q.Record.ID, Revision: &dearer})
		if err != nil {
			t.Fatal(err)
		}
		i := all[q.Record.ID]
		if i.Then == nil || i.Now == nil || i.Then.Total.Cmp(q.Record.Total) != 0 || i.Then.Cost.Cmp(again.Was.Cost) != 0 ||
			i.Now.Cost.Cmp(again.Is.Cost) != 0 || i.Now.Total.Cmp(again.Is.Total) != 0 || i.Reason != "" || !i.Difference().Cost.IsPos() {
			t.Errorf("%s: %+v, priced again from %+v to %+v", q.Record.ID, i, again.Was, again.Is)
		}
		cost, total = c.Add(cost, again.Cost), c.Add(total, again.Total)
	}
	if len(sum.Sums) != 1 || sum.Moved != 3 || sum.Lost != 0 || sum.Sums[0].Quotes != 3 || sum.Sums[0].Cost.Cmp(cost) != 0 || sum.Sums[0].Total.Cmp(total) != 0 {
		t.Errorf("%+v, want %s in cost and %s in total", sum, cost, total)
	}
	if n := b.told(t, dearer); n != 1 {
		t.Errorf("%d events", n)
	}

	// An item that open quotes use is withdrawn: they are all told of, with it.
	gone := b.load(t, priced("cap-4x4", book.MainOffice, ""))
	sum, all = b.done(t, gone, patience), b.impacts(b.ctx, t, gone)
	if len(all) != 4 || sum.Lost != 4 || sum.Moved != 0 || len(sum.Missing) != 1 || sum.Missing[0] != (estimating.MissingItem{Item: "cap-4x4", Quotes: 4}) {
		t.Errorf("withdrawn: %+v, %v", sum, all)
	}
	if i := all[own.Record.ID]; i.Reason != "PRICES_MISSING" || i.Now != nil || i.Then == nil || !slices.Equal(i.Missing, []string{"cap-4x4"}) {
		t.Errorf("withdrawn: %+v", i)
	}
	// What is lost already is not lost again; and comes back.
	if all = b.impacts(b.ctx, t, b.worked(t, priced("nail-16d", book.MainOffice, "8.88"))); len(all) != 0 {
		t.Errorf("still without a price: %v", all)
	}
	if all = b.impacts(b.ctx, t, b.worked(t, priced("cap-4x4", book.MainOffice, "9.00"))); len(all) != 4 || all[own.Record.ID].Then != nil || all[own.Record.ID].Now == nil {
		t.Errorf("priced again: %v", all)
	}
	// The same price again is another revision's entry, and moves nothing.
	if all = b.impacts(b.ctx, t, b.worked(t, priced("cap-4x4", book.MainOffice, "9.00"))); len(all) != 0 {
		t.Errorf("confirmed: %v", all)
	}
}

func (b *branch) worked(t testing.TB, entries ...book.Entry) book.Revision {
	t.Helper()
	r := b.load(t, entries...)
	b.done(t, r, patience)
	return r
}

// A list that holds from a later day is compared on that day.
func TestImpactOfAListToCome(t *testing.T) {
	t.Parallel()
	b := open(t, 1)
	b.load(t, list()...)
	q := b.quote(t, 24)
	later := civil.Of(time.Now().UTC()).AddDays(90)
	next := priced("gravel", book.MainOffice, "19.99")
	next.Effective = later
	day := later.AddDays(int(b.calls.Load()))
	r := b.worked(t, next)
	sum := b.done(t, r, patience)
	if all := b.impacts(b.ctx, t, r); sum.AsOf != day || len(all) != 1 || all[q.Record.ID].Now == nil {
		t.Errorf("as of %s, want %s: %v", sum.AsOf, day, all)
	}
}

// An office's list moves the quotes of that office and below it; and each caller
// is told of the quotes that he sees.
func TestImpactByOffice(t *testing.T) {
	t.Parallel()
	b := open(t, 2)
	for _, o := range [][2]string{{"north", "main"}, {"north-yard", "north"}, {"south", "main"}} {
		storetest.Office(t, b.store, company, o[0], o[1])
	}
	caller := func(at string) context.Context {
		c, err := b.store.Caller(context.Background(), auth.Hash(storetest.Key(t, b.store, company, at, auth.Admin)))
		if err != nil {
			t.Fatal(err)
		}
		return estimating.WithCaller(context.Background(), c)
	}
	head := caller("main")
	b.load(t, list()...)
	at := map[string]string{}
	for _, office := range []string{"main", "north", "north-yard", "south"} {
		at[office] = b.quoteAs(caller(office), t, 24).Record.ID
	}
	r := b.worked(t, priced("gravel", "north", "1.00"))
	for _, c := range []struct {
		office string
		want   []string
	}{
		{"main", []string{at["north"], at["north-yard"]}},
		{"north", []string{at["north"], at["north-yard"]}},
		{"north-yard", []string{at["north-yard"]}},
		{"south", nil},
	} {
		ctx := head
		if c.office != "main" {
			ctx = caller(c.office)
		}
		if got := names(b.impacts(ctx, t, r)); !slices.Equal(got, c.want) {
			t.Errorf("%s is told of %v, want %v", c.office, got, c.want)
		}
		sum, err := b.PriceImpact(ctx, company, &r)
		if err != nil || sum.Moved != len(c.want) {
			t.Errorf("%s: %+v, %v", c.office, sum, err)
		}
	}
}

// A quote from before the list that was stored while chunks were at work is
// found when they are done.
func TestImpactFindsALatecomer(t *testing.T) {
	t.Parallel()
	b := open(t, 0)
	first := b.load(t, list()...)
	b.quote(t, 24)
	r := b.load(t, priced("gravel", book.MainOffice, "19.99"))
	advance := func() {
		t.Helper()
		if err := b.AdvanceImpact(b.ctx, company, r, time.Now()); err != nil {
			t.Fatal(err)
		}
	}
	chunk := func(n int) {
		t.Helper()
		for range 2 { // once is enough, and twice does no harm
			if err := b.WorkImpact(b.ctx, company, r, n, time.Now()); err != nil {
				t.Fatal(err)
			}
		}
	}
	advance()
	late := b.quote(t, 30, func(in *estimating.CreateQuote) { in.Revision = &first })
	advance() // the first chunk is still to be done
	chunk(1)
	advance()
	if n := b.told(t, r); n != 0 {
		t.Fatalf("told %d times before all is worked out", n)
	}
	chunk(2)
	advance()
	advance()
	if all := b.impacts(b.ctx, t, r); len(all) != 2 || all[late.Record.ID].Now == nil || b.told(t, r) != 1 {
		t.Errorf("%v, %d events", names(all), b.told(t, r))
	}
}

// BenchmarkImpact works out what a list does to 100,000 open quotes of a yard of
// 160 ft: rails move, so each is cut anew.
func BenchmarkImpact(b *testing.B) {
	const quotes = 100_000
	o := open(b, 0)
	o.load(b, list()...)
	q := o.quote(b, 160)
	storetest.Copies(b, o.db, company, q.Record.ID, quotes-1)
	b.Logf("%d processors, %s/%s; %d open quotes of %d bays and %d lines, documents of %d bytes", runtime.NumCPU(), runtime.GOOS, runtime.GOARCH,
		quotes, len(q.Quote.Layout.Bays), len(q.Quote.Lines), len(q.Record.Document))
	o.work(b, runtime.NumCPU())
	for i := 0; b.Loop(); i++ {
		for _, c := range []struct {
			about   string
			entries []book.Entry
		}{
			{"rails and boards", []book.Entry{priced("rail-2x4-8ft", book.MainOffice, fmt.Sprintf("7.%02d", i)), priced("rail-2x4-16ft", book.MainOffice, fmt.Sprintf("12.%02d", i)), priced("board-1x6-6ft", book.MainOffice, fmt.Sprintf("11.%02d", i))}},
			{"posts", []book.Entry{priced("post-4x4-8ft", book.MainOffice, fmt.Sprintf("6.%02d", i))}},
			{"nothing that is used", []book.Entry{priced("our-gravel", book.MainOffice, fmt.Sprintf("6.%02d", i))}},
		} {
			start := time.Now()
			sum := o.done(b, o.load(b, c.entries...), time.Hour)
			b.Logf("%s: %d quotes moved in %s", c.about, sum.Moved, time.Since(start).Round(100*time.Millisecond))
		}
	}
}
