package main

import (
	"bytes"
	"context"
	"crypto/sha256"
	"fmt"
	"os/exec"
	"syscall"
	"testing"
	"time"

	"github.com/govalues/decimal"
	"github.com/jackc/pgx/v5"

	"wattle/internal/book"
	"wattle/internal/estimating"
	"wattle/internal/measure"
	"wattle/internal/money"
	"wattle/internal/postgres/storetest"
	"wattle/internal/quote"
	"wattle/internal/site"
	"wattle/internal/spec"
	"wattle/testdata/demo"
)

// TestImpactSurvivesKill: of two worker processes one is killed while it works
// out what a list does to open quotes, and then the other. A third goes on where
// they were: each quote is told of once, and that all is done is told once.
func TestImpactSurvivesKill(t *testing.T) {
	t.Parallel()
	const quotes = 3000 // six chunks
	store, db := storetest.NewWithDB(t)
	storetest.FirstKey(t, store, "harrow")
	ctx := storetest.Context("harrow")
	use := &estimating.Service{
		Quotes: store, Prices: store, Offices: store, Impacts: store, Now: time.Now, NewID: func() string { return "first" },
	}
	load := func(id string, list []byte, more ...book.Entry) book.Revision {
		entries, _, err := book.ParseCSV(bytes.NewReader(list), book.CSVOptions{})
		if err != nil {
			t.Fatal(err)
		}
		out, err := use.ImportPrices(ctx, killKey("ImportPrices", id), book.Import{Company: "harrow", Mode: book.Patch, Entries: append(entries, more...)})
		if err != nil {
			t.Fatal(err)
		}
		return out.Head.Revision
	}
	load("march", demo.March)
	q, err := use.CreateQuote(ctx, estimating.CreateQuote{
		Key: killKey("CreateQuote", "first"), Currency: money.USD,
		Site:    site.Site{Runs: []site.Run{{ID: "back", Vertices: []measure.Point{{}, {East: 160 * measure.Foot}}}}},
		Spec:    spec.Spec{Name: "privacy", Height: 6 * measure.Foot},
		Pricing: quote.Pricing{ProfitPercent: decimal.MustParse("25")},
	})
	if err != nil {
		t.Fatal(err)
	}
	storetest.Copies(t, db, "harrow", q.Record.ID, quotes-1)
	september := load("september", demo.September)

	admin, err := pgx.Connect(context.Background(), db.AdminURL())
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = admin.Close(context.Background()) }()
	count := func(sql string) (n int) {
		t.Helper()
		if err := admin.QueryRow(context.Background(), sql, int64(september)).Scan(&n); err != nil {
			t.Fatal(err)
		}
		return n
	}
	const chunksDone = `select count(*) from impact_chunk_done where revision = $1`
	var log processLog
	worker := func(count string) *exec.Cmd {
		cmd := exec.CommandContext(t.Context(), "wattle", "work", "--worker-database-url", db.WorkerURL(), "--workers", count, "--job-timeout", "40s", "--rescue-after", "41s")
		cmd.Stderr = &log
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		return cmd
	}
	await := func(what string, is func() bool) {
		t.Helper()
		deadline := time.Now().Add(3 * time.Minute)
		for !is() {
			if time.Now().After(deadline) {
				t.Fatalf("%s does not come:\n%s", what, &log)
			}
			time.Sleep(5 * time.Millisecond)
		}
	}
	kill := func(cmd *exec.Cmd) {
		if err := cmd.Process.Kill(); err != nil {
			t.Fatal(err)
		}
		_ = cmd.Wait()
	}
	a, b := worker("1"), worker("1")
	await("the first chunk", func() bool { return count(chunksDone) > 0 })
	kill(a)
	await("the next chunk", func() bool { return count(chunksDone) > 1 })
	kill(b)
	done := count(chunksDone)
	if done >= quotes/500 {
		t.Fatalf("all %d chunks were done before the kill", done)
	}
	if n := count(`select count(*) from river_job where kind = 'impact_chunk' and state = 'running' and $1 > 0`); n == 0 {
		t.Error("no chunk was being worked out when the workers were killed")
	}
	if n := count(`select count(*) from impact_quote where revision = $1`); n != 500*done {
		t.Errorf("%d quotes of %d chunks are stored", n, done)
	}
	last := worker("2")
	await("the end", func() bool { return count(`select count(*) from impact_done where revision = $1`) == 1 })
	if n := count(chunksDone); n != quotes/500 {
		t.Errorf("%d chunks done, want %d", n, quotes/500)
	}
	if n := count(`select count(*) from impact_quote where revision = $1 and now_total <> then_total`); n != quotes {
		t.Errorf("%d quotes move, want %d", n, quotes)
	}
	if n := count(`select count(distinct (now_cost, now_total, then_cost, then_total)) from impact_quote where revision = $1`); n != 1 {
		t.Errorf("one job moves in %d ways", n)
	}
	if n := count(`select count(*) from event where type = 'prices.impact' and sequence = $1`); n != 1 {
		t.Errorf("%d events", n)
	}
	if err := last.Process.Signal(syscall.SIGTERM); err != nil {
		t.Fatal(err)
	}
	if err := last.Wait(); err != nil {
		t.Errorf("asked to stop, the worker ended with %v:\n%s", err, &log)
	}
}

func killKey(method, id string) estimating.RequestKey {
	return estimating.RequestKey{Company: "harrow", Principal: "local", Method: method, RequestID: id, Hash: sha256.Sum256([]byte(fmt.Sprint(method, id)))}
}
