package main

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/apache/arrow-go/v18/arrow/memory"
	"github.com/apache/arrow-go/v18/parquet/file"
	"github.com/apache/arrow-go/v18/parquet/pqarrow"
	"google.golang.org/grpc"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/export"
	"wattle/internal/postgres/storetest"
)

// exportPrices exports in small pages; between is called after each of them.
func exportPrices(t *testing.T, conn *grpc.ClientConn, f export.Format, since int64, until *int64, header bool, between func()) (content []byte, reached int64) {
	t.Helper()
	request := &wattlev1.ExportPricesRequest{Parent: "companies/harrow", SinceRevision: since, UntilRevision: until, PageSize: 7}
	var b bytes.Buffer
	_, err := writeExport(&b, export.Prices, f, header, io.Discard, func(token string) (page exportPage, err error) {
		page, reached, err = readPrices(t.Context(), conn, request, token)
		between()
		return page, err
	})
	if err != nil {
		t.Fatal(err)
	}
	return b.Bytes(), reached
}

// Two increments, the one after the other, are what one export of all is, byte by
// byte, though lists come in between the pages of both.
func TestIncrementsAddUp(t *testing.T) {
	_, db := storetest.NewWithDB(t)
	conn := serviceOn(t, db)
	lists := 0
	add := func() {
		t.Helper()
		list := fmt.Sprintf("item,effective,unit,price,currency,min_quantity\n=odd-%02d,2026-03-01,each,%d,USD,\na-%02d,2026-03-01,each,3,USD,\na-%02d,2026-03-01,each,2,USD,10\n", lists, lists+1, lists, lists)
		lists++
		answer, err := importList(t.Context(), conn, &wattlev1.ImportPricesRequest_Header{
			Parent: "companies/harrow", RequestId: fmt.Sprint(lists), Mode: wattlev1.ImportPricesRequest_MODE_PATCH,
		}, strings.NewReader(list), nil)
		if err != nil || answer.GetRevision() != int64(lists) {
			t.Fatal(answer.GetRevision(), err)
		}
	}
	for range 10 {
		add()
	}
	for _, f := range []export.Format{export.CSV, export.Lines} {
		first, reached := exportPrices(t, conn, f, 0, nil, true, add)
		if want := int64(lists); reached >= want || reached < 10 {
			t.Errorf("the export went up to revision %d of %d", reached, want)
		}
		second, until := exportPrices(t, conn, f, reached, nil, false, add)
		whole, _ := exportPrices(t, conn, f, 0, &until, true, func() {})
		if got := string(first) + string(second); got != string(whole) || len(second) == 0 {
			t.Errorf("%s: the increments differ from the whole:\n%s\n%s", f, got, whole)
		}
	}
	until := int64(10)
	once, _ := exportPrices(t, conn, export.Parquet, 0, &until, true, add)
	again, _ := exportPrices(t, conn, export.Parquet, 0, &until, true, add)
	if !bytes.Equal(once, again) {
		t.Error("the same export gave other bytes")
	}
	if n, _ := parquetRows(t, once); n != 30 {
		t.Errorf("%d rows in Parquet", n)
	}
}

// parquetRows are how many rows a file has, as Apache Arrow reads it, and what it
// says of itself.
func parquetRows(t *testing.T, content []byte) (int64, func(key string) string) {
	t.Helper()
	reader, err := file.NewParquetReader(bytes.NewReader(content))
	if err != nil {
		t.Fatal(err)
	}
	rows, err := pqarrow.NewFileReader(reader, pqarrow.ArrowReadProperties{}, memory.DefaultAllocator)
	if err != nil {
		t.Fatal(err)
	}
	table, err := rows.ReadTable(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	defer table.Release()
	return table.NumRows(), func(key string) string {
		if v := reader.MetaData().KeyValueMetadata().FindValue("wattle." + key); v != nil {
			return *v
		}
		return ""
	}
}

// An export that fails on its way leaves the file as it was.
func TestACutExportLeavesNoFile(t *testing.T) {
	path := filepath.Join(t.TempDir(), "prices.csv")
	cut := errors.New("the line broke")
	err := writeWhole(path, nil, func(w io.Writer) error {
		_, err := writeExport(w, export.Prices, export.CSV, true, io.Discard, func(token string) (exportPage, error) {
			if token != "" {
				return exportPage{}, cut
			}
			return exportPage{rows: make([]export.Row, 0), next: "more"}, nil
		})
		return err
	})
	if _, gone := os.Stat(path); !errors.Is(err, cut) || !errors.Is(gone, os.ErrNotExist) {
		t.Errorf("%v; the file: %v", err, gone)
	}
}

// TestExportCommands: files by each format, to a file and to standard output, and
// what is refused.
func TestExportCommands(t *testing.T) {
	dir, files := dataDir(t), t.TempDir()
	s := start(t, "--local", "--data-dir", dir)
	server := s.harrow(t, dir)
	run := func(want int, args ...string) (stdout, stderr string) {
		t.Helper()
		return wattle(t, want, append(append([]string{"export"}, args...), server...)...)
	}
	has := func(text string, parts ...string) {
		t.Helper()
		for _, part := range parts {
			if !strings.Contains(text, part) {
				t.Errorf("no %q in:\n%s", part, text)
			}
		}
	}
	out := func(name string) string { return filepath.Join(files, name) }
	read := func(name string) []byte {
		t.Helper()
		content, err := os.ReadFile(out(name))
		if err != nil {
			t.Fatal(err)
		}
		return content
	}

	said, _ := run(exitDone, "prices", "--out", out("empty.csv"))
	has(said, "0 rows of the revisions after 0, up to 0.\nGo on with --since 0.\n")
	wattle(t, exitDone, append([]string{"prices", "import", demoMarch, "--mode", "patch"}, server...)...)
	said, _ = run(exitDone, "prices", "--out", out("first.csv"))
	has(said, "up to 1.\nGo on with --since 1.\n")
	wattle(t, exitDone, append([]string{"prices", "import", demoSept, "--mode", "patch"}, server...)...)
	said, _ = run(exitDone, "prices", "--out", out("second.csv"), "--since", "1", "--no-header")
	has(said, "of the revisions after 1, up to 2.\nGo on with --since 2.\n")
	whole, told := run(exitDone, "prices", "--out", "-")
	has(told, "Go on with --since 2.")
	if both := string(read("first.csv")) + string(read("second.csv")); both != whole || len(read("second.csv")) == 0 {
		t.Errorf("two increments are\n%s\nand the whole is\n%s", both, whole)
	}
	rows, err := csv.NewReader(strings.NewReader(whole)).ReadAll()
	if err != nil || strings.Join(rows[0], " ") != strings.Join(export.Prices.Names(), " ") {
		t.Fatal(rows[0], err)
	}
	run(exitDone, "prices", "--out", out("prices.parquet"))
	n, fact := parquetRows(t, read("prices.parquet"))
	if int(n) != len(rows)-1 || fact("company") != "harrow" || fact("until_revision") != "2" || fact("since_revision") != "0" || len(fact("head_hash")) != 64 {
		t.Errorf("%d rows in Parquet and %d in CSV; company %q", n, len(rows)-1, fact("company"))
	}

	said, _ = run(exitDone, "price-list", "--as-of", "2026-03-15", "--out", out("march.json"))
	has(said, "the prices at office main on 2026-03-15, as known at revision 2.")
	var list []map[string]any
	if err := json.Unmarshal(read("march.json"), &list); err != nil || len(list) < 10 || list[0]["as_of"] != "2026-03-15" || list[0]["price"] == nil {
		t.Errorf("%v, %v", list, err)
	}
	later, _ := run(exitDone, "price-list", "--as-of", "2026-09-16", "--out", "-", "--format", "jsonl", "--columns", "item,price")
	has(later, `{"item":"rail-2x4-16ft","price":"14.75"}`)

	wattle(t, exitDone, append([]string{"quote", "create", demoJob}, server...)...)
	said, _ = run(exitDone, "quote-lines", "--out", out("lines.csv"), "--status", "draft")
	has(said, "lines of 1 quote.")
	lines, err := csv.NewReader(bytes.NewReader(read("lines.csv"))).ReadAll()
	if err != nil || len(lines) < 10 || len(lines[1]) != len(export.QuoteLines.Columns) || lines[1][1] != "1" {
		t.Errorf("%v, %v", lines, err)
	}
	run(exitDone, "quote-lines", "--out", out("lines.parquet"))
	if n, _ := parquetRows(t, read("lines.parquet")); int(n) != len(lines)-1 {
		t.Errorf("%d lines in Parquet", n)
	}
	said, _ = run(exitDone, "quote-lines", "--out", out("none.csv"), "--created-before", "2026-01-01")
	has(said, "0 lines of 0 quotes.")

	for _, c := range []struct {
		exit int
		says string
		args []string
	}{
		{exitWrongUse, "name the file with --out", []string{"prices"}},
		{exitWrongUse, "csv, json, jsonl, parquet", []string{"prices", "--out", "-", "--format", "xml"}},
		{exitWrongUse, `found "colour"`, []string{"prices", "--out", "-", "--columns", "item,colour"}},
		{exitWrongUse, "--created-since: expected a time", []string{"quote-lines", "--out", "-", "--created-since", "yesterday"}},
		{exitWrongUse, "--status: expected draft", []string{"quote-lines", "--out", "-", "--status", "new"}},
		{exitFailed, "since_revision: expected at most 1", []string{"prices", "--out", out("no.csv"), "--since", "2", "--revision", "1"}},
		{exitFailed, "until_revision: expected 0 to 2", []string{"prices", "--out", out("no.csv"), "--revision", "3"}},
		{exitFailed, "since_revision", []string{"prices", "--out", out("no.csv"), "--since", "-1"}},
		{exitFailed, "as_of", []string{"price-list", "--out", out("no.csv"), "--as-of", "2026-02-30"}},
		{exitRefused, "reads prices at office main", []string{"price-list", "--out", out("no.csv"), "--office", "nowhere"}},
		{exitFailed, "no such file", []string{"prices", "--out", out("nothere/no.csv")}},
	} {
		_, said := run(c.exit, c.args...)
		has(said, c.says)
	}
	left, err := os.ReadDir(files)
	if err != nil || len(left) != 8 {
		t.Errorf("files: %v, %v", left, err)
	}
	columns, _ := wattle(t, exitDone, "export", "columns", "--format", "csv")
	has(columns, "export,column,type,null,unit,meaning\n", "prices,revision,integer,no,,", "quote-lines,cost,\"decimal(38,19)\",yes,currency,")
}
