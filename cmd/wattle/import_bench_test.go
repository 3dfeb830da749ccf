package main

import (
	"bytes"
	"context"
	"fmt"
	"log/slog"
	"os"
	"runtime"
	"strconv"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
	"google.golang.org/grpc"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/auth"
	"wattle/internal/events"
	"wattle/internal/postgres/pgtest"
	"wattle/internal/postgres/storetest"
	"wattle/internal/rpc"
	"wattle/internal/webhook"
)

// BenchmarkPriceImport imports a list into an empty book, and another with
// every price changed into the book that then holds as many, over gRPC on
// loopback; and beside it what a connection to Postgres needs for the same
// COPY and INSERT ... SELECT and nothing else: no reading of CSV, no checks, no
// comparison with what holds, no hashes. rows/s of the two compare.
// WATTLE_BENCH_ROWS says how long the lists are, else 1,000,000 rows.
//
//	go test ./cmd/wattle -run '^$' -bench PriceImport -benchtime 3x
func BenchmarkPriceImport(b *testing.B) {
	rows := 1_000_000
	if s := os.Getenv("WATTLE_BENCH_ROWS"); s != "" {
		n, err := strconv.Atoi(s)
		if err != nil {
			b.Fatalf("WATTLE_BENCH_ROWS: %v", err)
		}
		rows = n
	}
	lists := [2][]byte{benchList(rows, 0), benchList(rows, 7)}
	b.Logf("%d CPUs, %s/%s; lists of %d rows, %d MB", runtime.NumCPU(), runtime.GOOS, runtime.GOARCH, rows, len(lists[0])>>20)
	ways := []func(*pgtest.DB) func(list int){
		func(db *pgtest.DB) func(int) { return throughService(b, db, lists) },
		func(db *pgtest.DB) func(int) { return throughPostgres(b, db, rows) },
	}
	for list, book := range []string{"empty", "full"} {
		b.Run(book, func(b *testing.B) {
			var took [2]time.Duration
			var table, index float64
			for b.Loop() { // in turns, since other work on the machine slows both
				for i, way := range ways {
					_, db := storetest.NewWithDB(b)
					run := way(db)
					if list > 0 {
						run(0)
						execute(b, db.AdminURL(), `vacuum analyze price_entry`)
					}
					execute(b, db.AdminURL(), `checkpoint`)
					start := time.Now()
					run(list)
					took[i] += time.Since(start)
					table, index = entrySizes(b, db.AdminURL())
				}
			}
			rate := func(d time.Duration) float64 { return float64(rows*b.N) / d.Seconds() }
			b.ReportMetric(0, "ns/op")
			b.ReportMetric(rate(took[0]), "service-rows/s")
			b.ReportMetric(rate(took[1]), "postgres-rows/s")
			b.ReportMetric(rate(took[0])/rate(took[1]), "ratio")
			b.ReportMetric(table, "table-MB")
			b.ReportMetric(index, "index-MB")
		})
	}
}

// benchList is a list of rows items, one in ten of them with a second break.
func benchList(rows, cents int) []byte {
	var b bytes.Buffer
	b.WriteString("item,effective,unit,price,currency,description,supplier,pack,min_quantity\n")
	for i := range rows {
		item, quantity := i, "0"
		if i%10 == 9 {
			item, quantity = i-1, "100"
		}
		fmt.Fprintf(&b, "item-%07d,2026-03-01,each,%d.%02d,USD,an item of the list,acre,1,%s\n", item, 10+item%90, (i+cents)%100, quantity)
	}
	return b.Bytes()
}

// serviceOn is a connection to a service in this process on a database, with a
// pricer's key of harrow.
func serviceOn(b testing.TB, db *pgtest.DB) *grpc.ClientConn {
	b.Helper()
	store := storetest.Open(b, db)
	server, err := newService(store, slog.New(slog.DiscardHandler), [32]byte{}, nil, webhook.Guard{}, &events.Bell{}, noView(), rpc.Limits{})
	if err != nil {
		b.Fatal(err)
	}
	ctx, stop := context.WithCancel(context.Background())
	lis, err := listen(ctx, "--listen", "127.0.0.1:0", false)
	if err != nil {
		b.Fatal(err)
	}
	served := make(chan error, 1)
	go func() { served <- server.Serve(ctx, lis) }()
	b.Cleanup(func() { stop(); <-served })
	conn, err := dial(lis.Addr().String(), storetest.Key(b, store, "harrow", "main", auth.Pricer))
	if err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() { _ = conn.Close() })
	return conn
}

func throughService(b *testing.B, db *pgtest.DB, lists [2][]byte) func(int) {
	conn := serviceOn(b, db)
	return func(list int) {
		answer, err := importList(context.Background(), conn, &wattlev1.ImportPricesRequest_Header{
			Parent: "companies/harrow", RequestId: fmt.Sprint(list), Mode: wattlev1.ImportPricesRequest_MODE_PATCH, AcceptJumps: true,
		}, bytes.NewReader(lists[list]), nil)
		if err != nil || answer.GetRevision() != int64(list+1) {
			b.Fatalf("%v, %v", answer.GetCounts(), err)
		}
	}
}

func throughPostgres(b *testing.B, db *pgtest.DB, rows int) func(int) {
	ctx := context.Background()
	conn, err := pgx.Connect(ctx, db.ServiceURL())
	if err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() { _ = conn.Close(ctx) })
	execute(b, db.AdminURL(), `
		insert into book_revision (company, revision, principal, request_id, mode, entries, latest_effective, content_hash, chain_hash)
		select 'harrow', r, '', r::text, 'patch', 1, '2026-03-01', sha256('a'), sha256('b') from generate_series(1, 2) r`)
	files := [2][]byte{copyFile(rows, 0), copyFile(rows, 7)}
	return func(list int) {
		// In parts, as the service does it.
		for rest := files[list]; len(rest) > 0; {
			part := rest[:min(len(rest), 1<<20)]
			part = part[:bytes.LastIndexByte(part, '\n')+1]
			rest = rest[len(part):]
			_, err := conn.PgConn().CopyFrom(ctx, bytes.NewReader(part), `
				copy import_row (company, import, line, item, office, supplier, effective, state, description, currency, unit, pack, min_quantity, price, spoilt) from stdin`)
			if err != nil {
				b.Fatal(err)
			}
		}
		err := pgx.BeginFunc(ctx, conn, func(tx pgx.Tx) error {
			for _, sql := range []string{`set local wattle.company = 'harrow'`, `set local wattle.reads = '*'`, `set local wattle.writes = '*'`, `set local work_mem = '64MB'`, `set local jit = off`} {
				if _, err := tx.Exec(ctx, sql); err != nil {
					return err
				}
			}
			tag, err := tx.Exec(ctx, `
				insert into price_entry (company, item, office, supplier, effective, revision, state, description, currency, unit, pack, min_quantities, prices)
				select company, item, office, supplier, effective, $1, state, description, currency, unit, pack, array_agg(min_quantity), array_agg(price)
				from (select * from import_row order by company, item, office, supplier, effective, state, description, currency, unit, pack, min_quantity) r
				group by company, item, office, supplier, effective, state, description, currency, unit, pack`, list+1)
			if err == nil && tag.RowsAffected() < int64(rows/2) {
				b.Fatalf("%d rows", tag.RowsAffected())
			}
			return err
		})
		if err != nil {
			b.Fatal(err)
		}
		if _, err := conn.Exec(ctx, `delete from import_row`); err != nil {
			b.Fatal(err)
		}
	}
}

// copyFile is benchList as COPY reads it.
func copyFile(rows, cents int) []byte {
	var b bytes.Buffer
	for i := range rows {
		item, quantity := i, "0"
		if i%10 == 9 {
			item, quantity = i-1, "100"
		}
		fmt.Fprintf(&b, "harrow\t00000000-0000-0000-0000-000000000001\t%d\titem-%07d\tmain\tacre\t2026-03-01\tpriced\tan item of the list\tUSD\teach\t1\t%s\t%d.%02d\tf\n",
			i, item, quantity, 10+item%90, (i+cents)%100)
	}
	return b.Bytes()
}

// entrySizes are the megabytes of the book and of its primary key.
func entrySizes(b *testing.B, url string) (table, index float64) {
	b.Helper()
	ctx := context.Background()
	conn, err := pgx.Connect(ctx, url)
	if err != nil {
		b.Fatal(err)
	}
	defer func() { _ = conn.Close(ctx) }()
	err = conn.QueryRow(ctx, `select pg_table_size('price_entry') / 1e6, pg_relation_size('price_entry_pkey') / 1e6`).Scan(&table, &index)
	if err != nil {
		b.Fatal(err)
	}
	return table, index
}

func execute(b *testing.B, url, sql string) {
	b.Helper()
	ctx := context.Background()
	conn, err := pgx.Connect(ctx, url)
	if err != nil {
		b.Fatal(err)
	}
	defer func() { _ = conn.Close(ctx) }()
	if _, err := conn.Exec(ctx, sql); err != nil {
		b.Fatal(err)
	}
}
