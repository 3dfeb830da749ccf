package main

import (
	"context"
	"crypto/rand"
	"fmt"
	"log/slog"
	"os/exec"
	"path"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/govalues/decimal"
	"github.com/jackc/pgx/v5"
	"google.golang.org/grpc"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/auth"
	"wattle/internal/book"
	"wattle/internal/civil"
	"wattle/internal/estimating"
	"wattle/internal/layout"
	"wattle/internal/localpg"
	"wattle/internal/money"
	"wattle/internal/postgres"
	"wattle/internal/postgres/storetest"
	"wattle/internal/rpc"
	"wattle/internal/takeoff"
)

const company = "harrow"

// BenchmarkCreateQuote makes and stores quotes of 60 lines over gRPC, against
// pgbench on the same Postgres with as many clients, in turns of four seconds. What
// pgbench runs was written down from one such call. "statements" is every one of
// them in its own transaction, as the call sends it; "least" is what any program
// must do to price and keep such a quote: one transaction of the as-of query, the
// inserts and the event's job. Postgres is the machine's own and syncs to disk.
func BenchmarkCreateQuote(b *testing.B) {
	d := newDesk(b)
	sent, ids := d.record(b)
	for _, against := range []struct {
		name string
		sent []statement
	}{{"statements", sent}, {"least", least(b, sent)}} {
		b.Run(against.name, func(b *testing.B) {
			bench := pgbenchScript(b, against.sent, ids...)
			load(b, time.Second, d.create(b)) // warm
			var ours, theirs []float64
			for b.Loop() {
				theirs = append(theirs, d.pgbench(b, bench, 4*time.Second))
				ours = append(ours, load(b, 4*time.Second, d.create(b)))
			}
			report(b, "quotes/s", ours, "pgbench-tps", theirs)
		})
	}
}

// BenchmarkCapacity fills a database with quotes of 60 lines from eight clients for
// half a minute at a time: how many there are a second, and what a million of them
// take on disk, indices, events and jobs with them.
func BenchmarkCapacity(b *testing.B) {
	d := newDesk(b)
	load(b, time.Second, d.create(b)) // warm
	before, rows := d.size(b)
	var rate float64
	for b.Loop() {
		rate = load(b, 30*time.Second, d.create(b))
	}
	after, all := d.size(b)
	b.ReportMetric(0, "ns/op")
	b.ReportMetric(rate, "quotes/s")
	b.ReportMetric(float64(after-before)/float64(all-rows)*1e6/1e9, "GB/million-quotes")
}

// desk is a service with a book, and its database.
type desk struct {
	database *localpg.Server
	conn     *grpc.ClientConn
	sent     *recorder
}

func newDesk(b *testing.B) *desk {
	b.Helper()
	database, err := localpg.Start(b.Context(), localpg.Options{Dir: openFolder(b)})
	if err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() {
		if err := database.Close(); err != nil {
			b.Error(err)
		}
	})
	d := &desk{database: database, sent: &recorder{}}
	roles := postgres.Roles{}.WithDefaults()
	if err := postgres.EnsureRoles(b.Context(), database.URL(), roles); err != nil {
		b.Fatal(err)
	}
	if err := postgres.Migrate(b.Context(), database.URLFor(roles.Owner, "postgres"), roles); err != nil {
		b.Fatal(err)
	}
	store, err := postgres.Open(b.Context(), d.url(), postgres.Traced(d.sent))
	if err != nil {
		b.Fatal(err)
	}
	b.Cleanup(store.Close)
	use := &estimating.Service{
		Quotes: store, Prices: store, Specs: store, Offices: store, Papers: store, Customers: store, Events: store,
		Now: time.Now, NewID: rand.Text,
	}
	service, err := rpc.NewServer(use, rpc.Config{Log: slog.New(slog.NewJSONHandler(nowhere{}, nil))})
	if err != nil {
		b.Fatal(err)
	}
	d.conn = connect(b, storetest.Key(b, store, company, "main", auth.Estimator), service.Serve)
	if _, err := use.ImportPrices(storetest.Context(company), estimating.RequestKey{Company: company}, prices(b)); err != nil {
		b.Fatal(err)
	}
	return d
}

// url connects as the service does.
func (d *desk) url() string {
	return d.database.URLFor(postgres.Roles{}.WithDefaults().Service, "postgres")
}

// create makes a quote at each turn.
func (d *desk) create(b *testing.B) func(context.Context, int) error {
	quotes := wattlev1.NewQuoteServiceClient(d.conn)
	run := rand.Text()
	return func(ctx context.Context, turn int) error {
		answer, err := quotes.CreateQuote(ctx, sixtyLines(run+strconv.Itoa(turn)))
		if err == nil && len(answer.GetQuote().GetLines()) != lines {
			return fmt.Errorf("%d lines", len(answer.GetQuote().GetLines()))
		}
		return err
	}
}

// record makes a quote and is the statements that this took, and the ids in them.
func (d *desk) record(b *testing.B) (sent []statement, ids []string) {
	b.Helper()
	quotes := wattlev1.NewQuoteServiceClient(d.conn)
	for _, id := range []string{rand.Text(), rand.Text()} { // the first call reads the offices, once for all
		var err error
		sent, err = d.sent.record(func() error {
			answer, err := quotes.CreateQuote(b.Context(), sixtyLines(id))
			ids = []string{id, path.Base(answer.GetQuote().GetName())}
			return err
		})
		if err != nil {
			b.Fatal(err)
		}
	}
	return sent, ids
}

// pgbench runs a script by as many clients and is how often a second.
func (d *desk) pgbench(b *testing.B, file string, length time.Duration) float64 {
	b.Helper()
	bin, err := exec.LookPath("pgbench")
	if err != nil {
		found, _ := filepath.Glob("/usr/lib/postgresql/*/bin/pgbench")
		if len(found) == 0 {
			b.Fatal("pgbench, which comes with Postgres, is not on this machine")
		}
		bin = found[len(found)-1]
	}
	cmd := exec.CommandContext(b.Context(), bin, "--no-vacuum", "--protocol=prepared", "--client="+strconv.Itoa(clients), "--jobs=2",
		"--time="+strconv.Itoa(int(length.Seconds())), "--file="+file, d.url())
	said, err := cmd.CombinedOutput()
	if err != nil {
		b.Fatalf("%v: %s", err, said)
	}
	for line := range strings.Lines(string(said)) {
		if text, ok := strings.CutPrefix(line, "tps = "); ok {
			tps, err := strconv.ParseFloat(strings.Fields(text)[0], 64)
			if err != nil {
				b.Fatal(err)
			}
			return tps
		}
	}
	b.Fatalf("pgbench says no tps: %s", said)
	return 0
}

// size is that of the database after a checkpoint, and of how many quotes.
func (d *desk) size(b *testing.B) (bytes, quotes int64) {
	b.Helper()
	conn, err := pgx.Connect(b.Context(), d.database.URL())
	if err != nil {
		b.Fatal(err)
	}
	defer func() { _ = conn.Close(b.Context()) }()
	err = conn.QueryRow(b.Context(), `select pg_database_size(current_database()), (select count(*) from quote)`).Scan(&bytes, &quotes)
	if err != nil {
		b.Fatal(err)
	}
	return bytes, quotes
}

// lines is how many the quote has that is made; those that are not the take-off's
// are custom ones.
const (
	lines  = 60
	custom = 37
)

// sixtyLines asks for the quote of a yard with gates, boards on both sides of the
// rails, every option, labour by tasks, and custom lines to make it sixty.
func sixtyLines(id string) *wattlev1.CreateQuoteRequest {
	spec := fence()
	spec.Extras = &wattlev1.Spec_Extras{CapBoard: "2x6", Trim: "1x4", KickBoard: "2x6", Lattice: "1 ft", Stain: &wattlev1.Spec_Stain{Coats: 2, Coverage: "150"}}
	spec.Labour = &wattlev1.Spec_Labour{By: wattlev1.Spec_Labour_BY_TASKS}
	r := &wattlev1.CreateQuoteRequest{
		Parent: "companies/" + company, RequestId: id, ExternalReference: "yard", Currency: "USD", AsOf: "2026-03-02", Site: yard(), Spec: spec,
	}
	for i := range custom {
		r.CustomLines = append(r.CustomLines, &wattlev1.CustomLine{Description: fmt.Sprintf("What the yard asks for besides, %d", i+1), Kind: wattlev1.LineKind_LINE_KIND_SUBCONTRACT, Amount: "12.50"})
	}
	return r
}

// prices has everything that the quote asks for.
func prices(b *testing.B) book.Import {
	b.Helper()
	r := sixtyLines("")
	read, err := rpc.JobFromProto(&wattlev1.PlanLayoutRequest{Site: r.GetSite(), Spec: r.GetSpec()})
	if err != nil {
		b.Fatal(err)
	}
	spec := read.Spec.WithDefaults()
	l, err := layout.Plan(read.Site, spec)
	if err != nil {
		b.Fatal(err)
	}
	in := book.Import{Company: company, Office: book.MainOffice, Mode: book.Patch}
	for i, w := range (takeoff.Job{Layout: l, Spec: spec}).Wanted() {
		in.Entries = append(in.Entries, book.Entry{
			Item: w.Item, Office: book.MainOffice, Supplier: "millbrook", Effective: civil.Must("2026-01-05"), State: book.Priced,
			Description: w.Description, Currency: money.USD, Unit: string(w.Unit), Pack: decimal.One,
			Breaks: []book.Break{{Price: decimal.MustNew(int64(125+50*i), 2)}},
		})
	}
	return in
}
