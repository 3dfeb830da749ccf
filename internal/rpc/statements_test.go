package rpc

import (
	"context"
	"fmt"
	"maps"
	"os"
	"slices"
	"strings"
	"sync/atomic"
	"testing"

	"github.com/jackc/pgx/v5"
	"google.golang.org/protobuf/reflect/protoreflect"

	"wattle/internal/auth"
	"wattle/internal/postgres"
	"wattle/internal/postgres/storetest"
)

// statements counts what is sent to the database: statements, begin and commit
// among them, and batches as one each.
type statements struct{ atomic.Int64 }

// TraceQueryStart leaves out what depends on the clock: what the pool sends to a
// connection that was idle, and River's notice of a job, of which there is one in
// a while.
func (s *statements) TraceQueryStart(ctx context.Context, _ *pgx.Conn, q pgx.TraceQueryStartData) context.Context {
	if text := strings.TrimSpace(q.SQL); !strings.HasPrefix(text, "-- ping") && !strings.HasPrefix(text, "-- name: PGNotifyMany") {
		s.Add(1)
	}
	return ctx
}

func (*statements) TraceQueryEnd(context.Context, *pgx.Conn, pgx.TraceQueryEndData) {}

func (s *statements) TraceBatchStart(ctx context.Context, _ *pgx.Conn, _ pgx.TraceBatchStartData) context.Context {
	s.Add(1)
	return ctx
}

func (*statements) TraceBatchQuery(context.Context, *pgx.Conn, pgx.TraceBatchQueryData) {}

func (*statements) TraceBatchEnd(context.Context, *pgx.Conn, pgx.TraceBatchEndData) {}

// counted is a caller that tells how many statements its calls took.
func counted(t *testing.T) (b *branches, north func(method string, messages ...string) int64) {
	t.Helper()
	var sent statements
	b = openBranches(t, postgres.Traced(&sent))
	b.furnish(t)
	conn := b.as(t, storetest.Key(t, b.store, "harrow", "north", auth.Admin))
	methods := make(map[string]protoreflect.MethodDescriptor)
	for _, m := range b.methods {
		methods[strings.TrimPrefix(path(m), "/wattle.v1.")] = m
	}
	north = func(method string, messages ...string) int64 {
		t.Helper()
		before := sent.Load()
		if err := call(t, conn, methods[method], messages...); err != nil {
			t.Errorf("%s: %v (%s)", method, err, reasonOf(err))
		}
		return sent.Load() - before
	}
	for name, message := range b.before() {
		north(name, message)
	}
	return b, north
}

// Every call takes as many statements as it took: what adds one to a call is seen
// here. A watch, which asks again and again, is left out.
func TestStatementsOfEveryMethod(t *testing.T) {
	t.Parallel()
	b, north := counted(t)
	table := reaches(b)
	order := slices.SortedFunc(maps.Keys(table), func(a, b string) int { return strings.Compare(last(a)+a, last(b)+b) })
	var lines []string
	for _, name := range order {
		if name != "EventService/WatchEvents" && table[name].messages != nil {
			lines = append(lines, fmt.Sprintf("%s %d\n", name, north(name, table[name].messages...)))
		}
	}
	slices.Sort(lines)
	got := strings.Join(lines, "")
	const golden = "testdata/statements.txt"
	if *update {
		if err := os.WriteFile(golden, []byte(got), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(golden)
	if err != nil || got != string(want) {
		t.Errorf("%v; got\n%swant\n%s(-update rewrites it; look at the difference)", err, got, want)
	}
}

// A list asks as much for a page of one as for a page of all, a quote as much for
// one run as for four, and a comparison as much for two options as for six:
// nothing is fetched one by one.
func TestNothingIsFetchedOneByOne(t *testing.T) {
	t.Parallel()
	b, north := counted(t)
	north("EventService/ListEvents", `{"parent":"companies/harrow"}`) // gives events their places, once
	same := func(method, little, much string) {
		t.Helper()
		if a, z := north(method, little), north(method, much); a != z {
			t.Errorf("%s: %d statements for little, %d for much", method, a, z)
		}
	}
	paged := 0
	for _, m := range b.methods {
		name := strings.TrimPrefix(path(m), "/wattle.v1.")
		row := reaches(b)[name]
		if m.Input().Fields().ByName("page_size") == nil || len(row.messages) != 1 {
			continue
		}
		paged++
		with := func(size string) string {
			return strings.TrimSuffix(row.messages[0], "}") + `,"pageSize":` + size + "}"
		}
		same(name, with("1"), with("100"))
	}
	if paged < 12 {
		t.Errorf("only %d lists", paged)
	}
	run := func(n int) string {
		return fmt.Sprintf(`{"id":"r%d","vertices":[{"east":"0 ft","north":"%d ft"},{"east":"%d ft","north":"%d ft"}]}`, n, 50*n, 40+10*n, 50*n)
	}
	quoteOf := func(id string, runs ...string) string {
		return `{"parent":"companies/harrow","requestId":"` + id + `","office":"north","currency":"USD","asOf":"2026-03-05","spec":{"height":"6 ft"},"site":{"runs":[` + strings.Join(runs, ",") + `]}}`
	}
	same("QuoteService/CreateQuote", quoteOf("one", run(1)), quoteOf("four", run(1), run(2), run(3), run(4)))
	options := func(n int) string {
		var all []string
		for i := range n {
			all = append(all, fmt.Sprintf(`{"name":"o%d","spec":{"height":"6 ft","layout":{"maxBay":"%d in"}}}`, i, 90+i))
		}
		return `{"parent":"companies/harrow","office":"north","currency":"USD","asOf":"2026-03-05","options":[` + strings.Join(all, ",") + `],"site":{"runs":[` + run(1) + `]}}`
	}
	same("AdviceService/CompareOptions", options(2), options(6))
}
