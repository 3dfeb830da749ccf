package postgres_test

import (
	"fmt"
	"reflect"
	"slices"
	"sync"
	"testing"
	"time"

	"github.com/govalues/decimal"

	"wattle/internal/book"
	"wattle/internal/civil"
	"wattle/internal/estimating"
	"wattle/internal/fault"
	"wattle/internal/postgres/storetest"
)

func record(id, createdAt string) estimating.Record {
	at, err := time.Parse(time.RFC3339Nano, createdAt)
	if err != nil {
		panic(err)
	}
	return estimating.Record{
		Company: company, ID: id, Office: "main", Customer: "cust-7", ExternalRef: "CRM-4411",
		CreatedAt: at.UTC(), AsOf: civil.Must("2026-03-01"), ValidUntil: civil.Must("2026-03-31"),
		Head: book.Head{Revision: 3, Hash: [32]byte{1, 2, 3}}, RulesVersion: 1, FingerprintVersion: 1,
		Fingerprint: [32]byte{9}, Currency: "USD", Total: decimal.MustParse("12345.60"), SavedSpec: "cedar-privacy@3",
		Document: []byte("{\"n\":\"\xc3\xa9\"}\n"), Life: estimating.Begin(id, at.UTC()),
	}
}

func TestAQuoteComesBackAsItWas(t *testing.T) {
	t.Parallel()
	s := storetest.New(t)
	ctx := scoped()
	want := record("q1", "2026-03-01T12:00:00.123456Z")
	if _, err := s.QuoteByRequest(ctx, key("CreateQuote", "r1", "a")); fault.KindOf(err) != fault.NotFound {
		t.Errorf("before: %v, want not found", err)
	}
	kept, err := s.InsertQuote(ctx, key("CreateQuote", "r1", "a"), want)
	if err != nil || !reflect.DeepEqual(kept, want) {
		t.Fatalf("kept %v, %v", kept, err)
	}
	for name, get := range map[string]func() (estimating.Record, error){
		"by id":      func() (estimating.Record, error) { return s.Quote(ctx, company, "q1") },
		"by request": func() (estimating.Record, error) { return s.QuoteByRequest(ctx, key("CreateQuote", "r1", "a")) },
		"a repeated insert": func() (estimating.Record, error) {
			return s.InsertQuote(ctx, key("CreateQuote", "r1", "a"), record("q2", "2026-03-02T00:00:00Z"))
		},
	} {
		if got, err := get(); err != nil || !reflect.DeepEqual(got, want) {
			t.Errorf("%s: %v, %v\nwant %v", name, got, err, want)
		}
	}
	_, err = s.Quote(ctx, company, "q2")
	wantFault(t, err, fault.NotFound, "QUOTE_NOT_FOUND")
	_, err = s.InsertQuote(ctx, key("CreateQuote", "r1", "another body"), record("q3", "2026-03-02T00:00:00Z"))
	wantFault(t, err, fault.AlreadyExists, "REQUEST_ID_REUSED")
	_, err = s.QuoteByRequest(ctx, key("CreateQuote", "r1", "another body"))
	wantFault(t, err, fault.AlreadyExists, "REQUEST_ID_REUSED")
	_, err = s.InsertQuote(ctx, key("CreateQuote", "r2", "a"), want)
	wantFault(t, err, fault.AlreadyExists, "QUOTE_EXISTS")
	// The failed call left no key behind.
	if _, err := s.InsertQuote(ctx, key("CreateQuote", "r2", "a"), record("q4", "2026-03-02T00:00:00Z")); err != nil {
		t.Error(err)
	}
	// The same request id of another principal or method is another key.
	other := key("CreateQuote", "r1", "b")
	other.Principal = "ben"
	if _, err := s.InsertQuote(ctx, other, record("q5", "2026-03-02T00:00:00Z")); err != nil {
		t.Error(err)
	}
	if _, err := s.InsertQuote(ctx, key("ReviseQuote", "r1", "b"), record("q6", "2026-03-02T00:00:00Z")); err != nil {
		t.Error(err)
	}
}

// Eight calls with one key at once store one quote, and all get it.
func TestARaceOfTheSameQuote(t *testing.T) {
	t.Parallel()
	s, db := storetest.NewWithDB(t)
	other := storetest.Open(t, db)
	got := make([]estimating.Record, 8)
	var wg sync.WaitGroup
	for i := range got {
		store := s
		if i%2 == 1 {
			store = other
		}
		wg.Go(func() {
			kept, err := store.InsertQuote(scoped(), key("CreateQuote", "race", "a"), record(fmt.Sprint("q", i), "2026-03-01T12:00:00Z"))
			if err != nil {
				t.Error(err)
			}
			got[i] = kept
		})
	}
	wg.Wait()
	for _, r := range got {
		if !reflect.DeepEqual(r, got[0]) {
			t.Errorf("got %s and %s", r.ID, got[0].ID)
		}
	}
	all, err := s.ListQuotes(scoped(), estimating.QuoteFilter{Company: company, Limit: 10})
	if err != nil || len(all) != 1 || all[0].ID != got[0].ID {
		t.Errorf("stored %v, %v", all, err)
	}
}

func TestListQuotesPageByPage(t *testing.T) {
	t.Parallel()
	s := storetest.New(t)
	ctx := scoped()
	var want []string // newest first; quotes of one instant by id
	for i := range 7 {
		r := record(fmt.Sprint("q", i), fmt.Sprintf("2026-03-01T12:00:0%dZ", i/2))
		if i%3 == 0 {
			r.ExternalRef, r.Customer = "CRM-1", "cust-1"
		}
		if _, err := s.InsertQuote(ctx, estimating.RequestKey{Company: company}, r); err != nil {
			t.Fatal(err)
		}
		want = append(want, r.ID)
	}
	slices.Reverse(want)
	for _, size := range []int{1, 2, 3, 10} {
		var got []string
		f := estimating.QuoteFilter{Company: company, Limit: size}
		for {
			page, err := s.ListQuotes(ctx, f)
			if err != nil {
				t.Fatal(err)
			}
			if len(page) == 0 {
				break
			}
			for _, r := range page {
				if r.Document != nil {
					t.Errorf("%s comes with its document", r.ID)
				}
				got = append(got, r.ID)
			}
			last := page[len(page)-1]
			f.BeforeCreatedAt, f.BeforeID = last.CreatedAt, last.ID
		}
		if !slices.Equal(got, want) {
			t.Errorf("pages of %d: %v, want %v", size, got, want)
		}
	}
	for _, f := range []estimating.QuoteFilter{{ExternalRef: "CRM-1"}, {Customer: "cust-1"}, {ExternalRef: "CRM-1", Customer: "cust-1"}} {
		f.Company, f.Limit = company, 10
		page, err := s.ListQuotes(ctx, f)
		if err != nil || len(page) != 3 {
			t.Errorf("%v: %d quotes, %v; want 3", f, len(page), err)
		}
	}
}
