package postgres_test

import (
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"strings"
	"testing"

	"github.com/jackc/pgx/v5"

	"wattle/internal/book"
	"wattle/internal/civil"
	"wattle/internal/estimating"
	"wattle/internal/fault"
	"wattle/internal/money"
	"wattle/internal/postgres"
	"wattle/internal/postgres/storetest"
)

const company = "harrow"

// list reads a price list from short lines, "ITEM EFFECTIVE PRICE", with a
// state for the price where there is none.
func list(t testing.TB, mode book.Mode, lines ...string) book.Import {
	t.Helper()
	var csv strings.Builder
	csv.WriteString("item,effective,unit,price,currency,state\n")
	for _, line := range lines {
		f := strings.Fields(line)
		if len(f) != 3 {
			t.Fatalf("%q is not ITEM EFFECTIVE PRICE", line)
		}
		switch f[2] {
		case "withdrawn", "inherit":
			fmt.Fprintf(&csv, "%s,%s,,,,%s\n", f[0], f[1], f[2])
		default:
			fmt.Fprintf(&csv, "%s,%s,each,%s,USD,\n", f[0], f[1], f[2])
		}
	}
	entries, _, err := book.ParseCSV(strings.NewReader(csv.String()), book.CSVOptions{})
	if err != nil {
		t.Fatal(err)
	}
	return book.Import{Company: company, Mode: mode, Entries: entries}
}

// key is a request key; body stands for what the request says.
func key(method, requestID, body string) estimating.RequestKey {
	return estimating.RequestKey{Company: company, Principal: "ann", Method: method, RequestID: requestID, Hash: sha256.Sum256([]byte(body))}
}

func importKey(requestID string) estimating.RequestKey {
	return key("ImportPrices", requestID, requestID)
}

func mustImport(t testing.TB, s *postgres.Store, requestID string, in book.Import) book.Outcome {
	t.Helper()
	out, err := s.Import(scoped(), importKey(requestID), in)
	if err != nil {
		t.Fatalf("import %s: %v (%v)", requestID, err, errors.Unwrap(err))
	}
	return out
}

// price is what one item costs at the main office: "6.48", or the note.
func price(t testing.TB, s *postgres.Store, item, asOf string, r book.Revision) string {
	t.Helper()
	got, _, err := s.Resolve(scoped(), query(asOf, r, item))
	if err != nil {
		t.Fatalf("resolve %s: %v", item, err)
	}
	if _, b, ok := got[0].Pick(one); ok {
		return b.Price.String()
	}
	return got[0].Note
}

func query(asOf string, r book.Revision, items ...string) book.Query {
	return book.Query{
		Company: company, Offices: []string{book.MainOffice}, Items: items,
		AsOf: civil.Must(asOf), Revision: r, Currency: money.USD,
	}
}

// wantFault fails unless err has that kind and reason, and tells nothing of
// the driver.
func wantFault(t testing.TB, err error, kind fault.Kind, reason string) {
	t.Helper()
	f, ok := errors.AsType[*fault.Error](err)
	if !ok {
		t.Fatalf("error %v (%T), want %v %s", err, err, kind, reason)
	}
	if f.Kind != kind || f.Reason != reason {
		t.Fatalf("error %v %s (%v), want %v %s", f.Kind, f.Reason, f, kind, reason)
	}
	for _, word := range []string{"SQLSTATE", "pgconn", "ERROR:", "postgres://", "dial"} {
		if strings.Contains(f.Error(), word) {
			t.Errorf("the message tells %q: %s", word, f.Error())
		}
	}
}

// connect is a plain connection that is closed when t ends.
func connect(t testing.TB, url string) *pgx.Conn {
	t.Helper()
	ctx := scoped()
	conn, err := pgx.Connect(ctx, url)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = conn.Close(ctx) })
	return conn
}

// scoped is the context of calls that reach everything of the company.
func scoped() context.Context { return storetest.Context(company) }

// scopeOf are the settings of a transaction that reaches those offices of a
// company, "*" for all of them.
func scopeOf(company, offices string) string {
	var b strings.Builder
	fmt.Fprintf(&b, "set local wattle.company = '%s';", company)
	for _, setting := range []string{"reads", "below", "quotes", "writes"} {
		fmt.Fprintf(&b, "set local wattle.%s = '%s';", setting, offices)
	}
	return b.String()
}
