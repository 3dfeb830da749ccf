package postgres_test

import (
	"crypto/sha256"
	"fmt"
	"reflect"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"wattle/internal/catalog"
	"wattle/internal/estimating"
	"wattle/internal/fault"
	"wattle/internal/postgres"
	"wattle/internal/postgres/storetest"
)

// saved is a version to save; the store takes any bytes for a document.
func saved(name, document string) estimating.SavedSpec {
	return estimating.SavedSpec{
		Company: company, Ref: catalog.Ref{Name: name}, Office: "main", Title: "Cedar, " + name,
		CreatedAt: time.Date(2026, 3, 1, 12, 0, 0, 1000, time.UTC), RulesVersion: 2,
		Document: []byte(document), Hash: sha256.Sum256([]byte(document)),
	}
}

// save saves under a fresh request id and answers "v2 new", "v2" where nothing
// was saved.
func save(t testing.TB, s *postgres.Store, requestID string, in estimating.SavedSpec) string {
	t.Helper()
	got, applied, err := s.SaveSpec(scoped(), key("SaveSpec", requestID, requestID), in)
	return outcome(t, got, applied, err)
}

func withdraw(t testing.TB, s *postgres.Store, requestID, name string) string {
	t.Helper()
	got, applied, err := s.WithdrawSpec(scoped(), key("WithdrawSpec", requestID, requestID), name, time.Date(2026, 3, 2, 0, 0, 0, 0, time.UTC))
	return outcome(t, got, applied, err)
}

func outcome(t testing.TB, got estimating.SavedSpec, applied bool, err error) string {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
	if applied {
		return fmt.Sprintf("v%d new", got.Version)
	}
	return fmt.Sprintf("v%d", got.Version)
}

func TestSaveSpecsVersionByVersion(t *testing.T) {
	t.Parallel()
	s := storetest.New(t)
	ctx := scoped()
	retitled := saved("cedar", "b")
	retitled.Title = "Another"
	moved := retitled
	moved.Office = "north"
	for i, c := range []struct {
		got, want string
	}{
		{save(t, s, "1", saved("cedar", "a")), "v1 new"},
		{save(t, s, "2", saved("cedar", "a")), "v1"},
		{save(t, s, "3", saved("cedar", "b")), "v2 new"},
		{save(t, s, "4", saved("pine", "b")), "v1 new"},
		{save(t, s, "5", retitled), "v3 new"},
		{save(t, s, "6", moved), "v4 new"},
		{save(t, s, "7", moved), "v4"},
		{withdraw(t, s, "1", "cedar"), "v5 new"},
		{withdraw(t, s, "2", "cedar"), "v5"},
		{save(t, s, "8", moved), "v6 new"}, // it comes back
		{withdraw(t, s, "3", "pine"), "v2 new"},
		// The same requests once more: the first answers, though the entry moved on.
		{save(t, s, "1", saved("cedar", "a")), "v1 new"},
		{save(t, s, "2", saved("cedar", "a")), "v1"},
		{withdraw(t, s, "1", "cedar"), "v5 new"},
	} {
		if c.got != c.want {
			t.Errorf("step %d: %s, want %s", i, c.got, c.want)
		}
	}

	read, err := s.Spec(ctx, company, catalog.Ref{Name: "cedar", Version: 2})
	want := saved("cedar", "b")
	want.Version = 2
	if err != nil || !reflect.DeepEqual(read, want) {
		t.Errorf("version 2 reads back as %+v, %v", read, err)
	}
	gone, err := s.Spec(ctx, company, catalog.Ref{Name: "cedar", Version: 5})
	if err != nil || !gone.Withdrawn || gone.Document != nil || gone.RulesVersion != 0 || gone.Title != "Another" || gone.Office != "north" {
		t.Errorf("the withdrawal reads back as %+v, %v", gone, err)
	}
	for _, r := range []catalog.Ref{{Name: "cedar", Version: 7}, {Name: "oak"}} {
		_, err := s.Spec(ctx, company, r)
		wantFault(t, err, fault.NotFound, "SPEC_NOT_FOUND")
	}
	_, _, err = s.WithdrawSpec(ctx, key("WithdrawSpec", "oak", ""), "oak", time.Now())
	wantFault(t, err, fault.NotFound, "SPEC_NOT_FOUND")
	_, err = s.ListSpecVersions(ctx, estimating.VersionFilter{Company: company, Name: "oak", Limit: 1})
	wantFault(t, err, fault.NotFound, "SPEC_NOT_FOUND")
	_, _, err = s.SaveSpec(ctx, key("SaveSpec", "1", "another body"), saved("oak", "a"))
	wantFault(t, err, fault.AlreadyExists, "REQUEST_ID_REUSED")
}

func TestListSpecs(t *testing.T) {
	t.Parallel()
	s := storetest.New(t)
	ctx := scoped()
	for i, name := range []string{"cedar", "pine-8", "pine", "oak", "cedar"} {
		save(t, s, fmt.Sprint(i), saved(name, fmt.Sprint(i)))
	}
	withdraw(t, s, "w", "oak")
	for size := 1; size < 5; size++ {
		var got []string
		f := estimating.SpecFilter{Company: company, Limit: size}
		for {
			page, err := s.ListSpecs(ctx, f)
			if err != nil {
				t.Fatal(err)
			}
			if len(page) == 0 {
				break
			}
			for _, p := range page {
				if p.Document != nil {
					t.Errorf("%s comes with its document", p.Ref)
				}
				got = append(got, p.String())
			}
			f.After = page[len(page)-1].Name
		}
		if want := []string{"cedar@2", "pine@1", "pine-8@1"}; !slices.Equal(got, want) {
			t.Errorf("pages of %d: %v, want %v", size, got, want)
		}
	}
	versions, err := s.ListSpecVersions(ctx, estimating.VersionFilter{Company: company, Name: "oak", Limit: 9})
	if err != nil || len(versions) != 2 || !versions[0].Withdrawn || versions[0].Version != 2 || versions[1].Withdrawn || versions[1].Hash != sha256.Sum256([]byte("3")) {
		t.Errorf("versions %+v, %v", versions, err)
	}
	versions, err = s.ListSpecVersions(ctx, estimating.VersionFilter{Company: company, Name: "oak", Limit: 9, Before: 2})
	if err != nil || len(versions) != 1 || versions[0].Version != 1 {
		t.Errorf("versions before 2: %+v, %v", versions, err)
	}
}

// Twelve saves at once, of four contents: a version for each change, numbered
// without a gap, and none the same as the one before it.
func TestSavesAtOnceLeaveNoGap(t *testing.T) {
	t.Parallel()
	s, db := storetest.NewWithDB(t)
	stores := []*postgres.Store{s, storetest.Open(t, db)}
	var made sync.Map
	var wg sync.WaitGroup
	for i := range 12 {
		wg.Go(func() {
			document := fmt.Sprint("content ", i%4)
			got, applied, err := stores[i%2].SaveSpec(scoped(), key("SaveSpec", fmt.Sprint(i), ""), saved("cedar", document))
			switch {
			case err != nil:
				t.Error(err)
			case string(got.Document) != document:
				t.Errorf("saved %q and got %q", document, got.Document)
			case applied:
				if _, twice := made.LoadOrStore(got.Version, true); twice {
					t.Errorf("version %d was made twice", got.Version)
				}
			}
		})
	}
	wg.Wait()
	versions, err := s.ListSpecVersions(scoped(), estimating.VersionFilter{Company: company, Name: "cedar", Limit: 100})
	if err != nil || len(versions) < 4 {
		t.Fatalf("%d versions, %v", len(versions), err)
	}
	for i, v := range versions {
		if want := len(versions) - i; v.Version != want {
			t.Errorf("version %d stands where %d should", v.Version, want)
		}
		if _, ok := made.Load(v.Version); !ok {
			t.Errorf("nobody was told that he made version %d", v.Version)
		}
		if i > 0 && v.Hash == versions[i-1].Hash {
			t.Errorf("versions %d and %d are the same", v.Version, versions[i-1].Version)
		}
	}
}

// Eight calls with one key at once save one version, and all are told so.
func TestARaceOfTheSameSave(t *testing.T) {
	t.Parallel()
	s := storetest.New(t)
	var wg sync.WaitGroup
	for range 8 {
		wg.Go(func() {
			got, applied, err := s.SaveSpec(scoped(), key("SaveSpec", "race", ""), saved("cedar", "a"))
			if err != nil || got.Version != 1 || !applied {
				t.Errorf("%s, %t, %v", got.Ref, applied, err)
			}
		})
	}
	wg.Wait()
	if got := save(t, s, "after", saved("cedar", "a")); got != "v1" {
		t.Errorf("after the race: %s", got)
	}
}

// One request id on two entries at once: one is saved, and of the other nothing
// stays.
func TestARaceOfARequestIDReused(t *testing.T) {
	t.Parallel()
	s := storetest.New(t)
	errs := make([]error, 2)
	var wg sync.WaitGroup
	for i, name := range []string{"cedar", "pine"} {
		wg.Go(func() {
			_, _, errs[i] = s.SaveSpec(scoped(), key("SaveSpec", "one", name), saved(name, "a"))
		})
	}
	wg.Wait()
	if (errs[0] == nil) == (errs[1] == nil) {
		t.Fatalf("errors %v", errs)
	}
	for i, name := range []string{"cedar", "pine"} {
		_, err := s.Spec(scoped(), company, catalog.Ref{Name: name})
		if errs[i] == nil {
			if err != nil {
				t.Errorf("%s was saved: %v", name, err)
			}
			continue
		}
		wantFault(t, errs[i], fault.AlreadyExists, "REQUEST_ID_REUSED")
		wantFault(t, err, fault.NotFound, "SPEC_NOT_FOUND")
	}
}

// The schema holds what a version is, whoever writes it.
func TestTheSchemaRefusesABadVersion(t *testing.T) {
	t.Parallel()
	s, db := storetest.NewWithDB(t)
	save(t, s, "1", saved("cedar", "a"))
	service := connect(t, db.ServiceURL())
	ctx := scoped()
	const columns = `(company, name, version, created_at, rules_version, hash, document)`
	for values, want := range map[string]string{
		`'cedar', 2, now(), 2, sha256('b'), 'b'`:         "",
		`'cedar', 2, now(), null, null, null`:            "",
		`'cedar', 1, now(), 2, sha256('b'), 'b'`:         "saved_spec_pkey",
		`'cedar', 3, now(), 2, sha256('b'), 'b'`:         "saved_spec_previous_fkey",
		`'pine', 2, now(), 2, sha256('b'), 'b'`:          "saved_spec_previous_fkey",
		`'pine', 0, now(), 2, sha256('b'), 'b'`:          "saved_spec_version_check",
		`'pine', -1, now(), 2, sha256('b'), 'b'`:         "saved_spec_version_check",
		`'Pine', 1, now(), 2, sha256('b'), 'b'`:          "saved_spec_name_check",
		`'pine--8', 1, now(), 2, sha256('b'), 'b'`:       "saved_spec_name_check",
		`'standard/pine', 1, now(), 2, sha256('b'), 'b'`: "saved_spec_name_check",
		`repeat('p', 65), 1, now(), 2, sha256('b'), 'b'`: "saved_spec_name_check",
		`'pine', 1, now(), 2, sha256('c'), 'b'`:          "saved_spec_hash_check",
		`'pine', 1, now(), 2, null, 'b'`:                 "saved_spec_withdrawn_check",
		`'pine', 1, now(), 2, null, null`:                "saved_spec_withdrawn_check",
		`'pine', 1, now(), null, sha256('b'), 'b'`:       "saved_spec_withdrawn_check",
	} {
		err := pgx.BeginFunc(ctx, service, func(tx pgx.Tx) error {
			if _, err := tx.Exec(ctx, scopeOf("harrow", "*")); err != nil {
				return err
			}
			if _, err := tx.Exec(ctx, `insert into saved_spec `+columns+` values ('harrow', `+values+`)`); err != nil {
				return err
			}
			return pgx.ErrTxClosed // roll back
		})
		switch {
		case want == "" && err != pgx.ErrTxClosed: //nolint:errorlint // it is returned above, as it is
			t.Errorf("%s: %v", values, err)
		case want != "" && !strings.Contains(err.Error(), want):
			t.Errorf("%s: %v, want %s", values, err, want)
		}
	}
}
