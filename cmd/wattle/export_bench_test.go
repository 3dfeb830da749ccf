package main

import (
	"io"
	"os"
	"runtime"
	"strconv"
	"testing"
	"time"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/export"
	"wattle/internal/postgres/storetest"
)

// BenchmarkExport exports a book of WATTLE_BENCH_ROWS entries, else 1,000,000, over
// gRPC on loopback to CSV and to Parquet. rows/s includes the database, the
// service and the file, all on this machine; heap-MB is the most that service and
// client, which share the process, had in use at the end of a page.
//
//	go test ./cmd/wattle -run '^$' -bench Export -benchtime 1x
func BenchmarkExport(b *testing.B) {
	rows := 1_000_000
	if s := os.Getenv("WATTLE_BENCH_ROWS"); s != "" {
		n, err := strconv.Atoi(s)
		if err != nil {
			b.Fatalf("WATTLE_BENCH_ROWS: %v", err)
		}
		rows = n
	}
	_, db := storetest.NewWithDB(b)
	throughService(b, db, [2][]byte{benchList(rows, 0)})(0)
	execute(b, db.AdminURL(), `vacuum analyze price_entry`)
	conn := serviceOn(b, db)
	for _, f := range []export.Format{export.CSV, export.Lines, export.Parquet} {
		b.Run(string(f), func(b *testing.B) {
			var most uint64
			var written int64
			size := &counted{}
			start := time.Now()
			for b.Loop() {
				request := &wattlev1.ExportPricesRequest{Parent: "companies/harrow", PageSize: mostExportPage}
				n, err := writeExport(size, export.Prices, f, true, io.Discard, func(token string) (exportPage, error) {
					page, _, err := readPrices(b.Context(), conn, request, token)
					var m runtime.MemStats
					runtime.ReadMemStats(&m)
					most = max(most, m.HeapInuse)
					return page, err
				})
				if err != nil || n != int64(rows) {
					b.Fatal(n, err)
				}
				written += n
			}
			b.ReportMetric(0, "ns/op")
			b.ReportMetric(float64(written)/time.Since(start).Seconds(), "rows/s")
			b.ReportMetric(float64(size.n)/float64(b.N)/1e6, "file-MB")
			b.ReportMetric(float64(most)/1e6, "heap-MB")
		})
	}
}

type counted struct{ n int64 }

func (c *counted) Write(p []byte) (int, error) {
	c.n += int64(len(p))
	return len(p), nil
}
