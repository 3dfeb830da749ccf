package postgres_test

import (
	"cmp"
	"fmt"
	"reflect"
	"slices"
	"testing"
	"time"

	"github.com/govalues/decimal"
	"github.com/jackc/pgx/v5"
	"pgregory.net/rapid"

	"wattle/internal/book"
	"wattle/internal/civil"
	"wattle/internal/estimating"
	"wattle/internal/fault"
	"wattle/internal/money"
	"wattle/internal/postgres"
	"wattle/internal/postgres/pgtest"
	"wattle/internal/postgres/storetest"
)

// The SQL finds between rows what book.Gather, the definition, finds; rows that
// agree become the entries that Gather makes of them, and others are no import.
func TestRowsClashAsInTheBook(t *testing.T) {
	t.Parallel()
	s := storetest.New(t)
	n := 0
	rapid.Check(t, func(t *rapid.T) { // each case in a company of its own
		n++
		company := fmt.Sprint("company", n)
		ctx := storetest.Context(company)
		rows := rapid.SliceOfN(rapid.Custom(rowOf), 1, 8).Draw(t, "rows")
		for i := range rows {
			rows[i].Line = 2 + i
		}
		entries, want := book.Gather(slices.Values(rows))
		byLine := func(a, b book.Clash) int {
			return cmp.Or(cmp.Compare(a.Line, b.Line), cmp.Compare(a.Kind, b.Kind))
		}
		slices.SortFunc(want, byLine)
		cut := rapid.IntRange(1, len(rows)).Draw(t, "cut") // two batches
		id, err := s.Stage(ctx, company, "", rows[:cut])
		if err != nil {
			t.Fatal(err)
		}
		if _, err := s.Stage(ctx, company, id, rows[cut:]); err != nil {
			t.Fatal(err)
		}
		got, err := s.Clashes(ctx, company, id, 1000)
		if err != nil {
			t.Fatal(err)
		}
		slices.SortFunc(got.First, byLine)
		if !slices.Equal(got.First, want) || got.Count != len(want) {
			t.Fatalf("%d %v\nbook %v", got.Count, got.First, want)
		}
		if some, err := s.Clashes(ctx, company, id, 2); err != nil || some.Count != len(want) || len(some.First) != min(2, len(want)) {
			t.Fatalf("at most 2: %v, %v", some, err)
		}
		if slices.ContainsFunc(rows, func(r book.Row) bool { return r.Spoilt }) {
			return // an import is not tried
		}
		out, err := s.Import(ctx, estimating.RequestKey{Company: company}, book.Import{Company: company, Mode: book.Patch, Staged: id, AcceptUnitChanges: true})
		if len(want) > 0 {
			if fault.KindOf(err) != fault.Invalid {
				t.Fatalf("rows that clash: %v, %v", out, err)
			}
			return
		}
		if err != nil || len(out.Changes) != len(entries) {
			t.Fatalf("%v, %v; book %v", out, err, entries)
		}
		for _, e := range entries {
			if !slices.ContainsFunc(out.Changes, func(c book.Change) bool { return c.New.Item == e.Item && c.New.SameContent(e) }) {
				t.Fatalf("%v is not in %v", e, out.Changes)
			}
		}
	})
}

func rowOf(t *rapid.T) book.Row {
	r := book.Row{
		Entry: book.Entry{
			Item: rapid.SampledFrom([]string{"post", "post", "rail"}).Draw(t, "item"), Office: "main", Effective: someDate(t),
			State: rapid.SampledFrom([]book.State{book.Priced, book.Priced, book.Priced, book.Priced, book.Withdrawn, book.Inherit}).Draw(t, "state"),
		},
		Spoilt: rapid.IntRange(0, 9).Draw(t, "spoilt") == 0,
	}
	r.Entry.Effective = r.Entry.Effective.AddDays(-(r.Entry.Effective.Day - 1) / 4 * 4) // a few dates
	if r.Entry.State != book.Priced {
		return r
	}
	few := func(name string, all ...string) string { return rapid.SampledFrom(all).Draw(t, name) }
	r.Entry.Unit, r.Entry.Description = few("unit", "each", "each", "each", "lb"), few("description", "", "", "", "x")
	r.Entry.Currency = money.Currency(few("currency", "USD", "USD", "USD", "CAD"))
	r.Entry.Pack = decimal.MustParse(few("pack", "1", "1.0", "1.00", "2"))
	r.Break.MinQuantity = decimal.MustParse(few("quantity", "0", "0.0", "5", "5.00", "10", "2.5"))
	r.Break.Price = decimal.MustParse(few("price", "1", "2.50", "10"))
	return r
}

func staged(t testing.TB, db *pgtest.DB) (rows int) {
	t.Helper()
	if err := connect(t, db.AdminURL()).QueryRow(scoped(), `select count(*) from import_row`).Scan(&rows); err != nil {
		t.Fatal(err)
	}
	return rows
}

// More breaks than an entry may have are counted, and found when they come in
// several batches.
func TestTooManyBreaksAreFound(t *testing.T) {
	t.Parallel()
	s := storetest.New(t)
	var id string
	var err error
	for i := range book.MaxBreaks + 1 {
		r := book.Row{Line: 2 + i, Entry: book.Entry{
			Item: "post", Office: "main", Effective: list(t, book.Patch, "x 2026-01-01 1").Entries[0].Effective,
			State: book.Priced, Currency: "USD", Unit: "each", Pack: one,
		}, Break: book.Break{MinQuantity: decimal.MustNew(int64(i), 0), Price: one}}
		if id, err = s.Stage(scoped(), company, id, []book.Row{r}); err != nil {
			t.Fatal(err)
		}
	}
	got, err := s.Clashes(scoped(), company, id, 10)
	want := book.Clashes{First: []book.Clash{{Kind: book.TooManyBreaks, Line: 2, Other: book.MaxBreaks + 1}}, Count: 1}
	if err != nil || !reflect.DeepEqual(got, want) {
		t.Errorf("%v, %v; want %v", got, err, want)
	}
	_, err = s.Import(scoped(), importKey("many"), book.Import{Company: company, Mode: book.Patch, Staged: id})
	wantFault(t, err, fault.Invalid, estimating.RowsClash)
}

// What needs consent is refused whole, and nothing of it is stored, neither the
// request id; with consent it is an import like any other.
func TestImportsThatNeedConsent(t *testing.T) {
	t.Parallel()
	s, db := storetest.NewWithDB(t)
	mustImport(t, s, "start", list(t, book.Patch, "post 2026-01-01 10.00", "rail 2026-01-01 6.00"))
	in := list(t, book.Patch, "post 2026-02-01 14.00", "rail 2026-02-01 6.10", "gate 2026-02-01 90")
	in.JumpLimit = book.DefaultJumpLimit
	in.Entries[2].Unit = "ft"
	refused := func(in book.Import, reason string) {
		t.Helper()
		out, err := s.Import(scoped(), importKey("list"), in)
		wantFault(t, err, fault.Refused, reason)
		if !reflect.DeepEqual(out, book.Outcome{}) {
			t.Errorf("refused, and answered %v", out)
		}
		if head, err := s.Head(scoped(), company); err != nil || head.Revision != 1 {
			t.Errorf("head %v, %v", head, err)
		}
	}
	refused(in, "PRICE_JUMPS")
	dry := in
	dry.DryRun = true
	if out := mustImport(t, s, "list", dry); out.Counts != (book.Counts{Added: 1, Repriced: 1, Altered: 1, Jumps: 1, UnitChanges: 1, UnknownItems: 1}) ||
		describe(out.Jumps) != "[repriced post 40.00%]" || describe(out.UnitChanges) != "[altered rail]" || !slices.Equal(out.UnknownItems, []string{"gate"}) {
		t.Errorf("dry run: %+v", out)
	}
	in.AcceptJumps = true
	refused(in, "UNIT_CHANGES")
	in.AcceptUnitChanges, in.RefuseUnknownItems = true, true
	refused(in, "UNKNOWN_ITEMS")
	in.RefuseUnknownItems = false
	if out := mustImport(t, s, "list", in); !out.Applied || out.Counts.Jumps != 1 {
		t.Errorf("with consent: %+v", out)
	}
	zero := list(t, book.Patch, "post 2026-03-01 1")
	zero.Entries[0].Breaks[0].Price = decimal.Zero
	_, err := s.Import(scoped(), importKey("zero"), zero)
	wantFault(t, err, fault.Invalid, "INVALID_REQUEST")
	zero.AcceptZeroPrices = true
	mustImport(t, s, "zero", zero)
	if got := price(t, s, "post", "2026-03-01", 3); got != "0" {
		t.Errorf("a price of zero: %s", got)
	}
	if n := staged(t, db); n != 0 {
		t.Errorf("%d rows are left behind", n)
	}
}

// The book moves while an import waits for its lock: a price that was no jump
// from the price before is one from the price that came between.
func TestJumpsAreLookedForUnderTheLock(t *testing.T) {
	t.Parallel()
	s, db := storetest.NewWithDB(t)
	mustImport(t, s, "start", list(t, book.Patch, "post 2026-01-01 10.00"))
	ctx := scoped()
	tx, err := connect(t, db.AdminURL()).Begin(ctx)
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = tx.Rollback(ctx) }()
	if _, err := tx.Exec(ctx, `select from book_head for update`); err != nil {
		t.Fatal(err)
	}
	failed := make(chan error)
	go func() {
		in := list(t, book.Patch, "post 2026-01-01 11.00")
		in.JumpLimit = book.DefaultJumpLimit
		_, err := s.Import(ctx, importKey("waits"), in)
		failed <- err
	}()
	waitForLock(t, db)
	for _, sql := range []string{
		`insert into book_revision (company, revision, principal, request_id, mode, entries, latest_effective, content_hash, chain_hash)
		 values ('harrow', 2, '', '', 'patch', 1, '2026-01-01', sha256('a'), sha256('b'))`,
		`insert into price_entry (company, item, effective, revision, state, currency, unit, pack, min_quantities, prices)
		 values ('harrow', 'post', '2026-01-01', 2, 'priced', 'USD', 'each', 1, '{0}', '{20}')`,
		`update book_head set revision = 2, hash = sha256('b')`,
	} {
		if _, err := tx.Exec(ctx, sql); err != nil {
			t.Fatal(err)
		}
	}
	if err := tx.Commit(ctx); err != nil {
		t.Fatal(err)
	}
	wantFault(t, <-failed, fault.Refused, "PRICE_JUMPS")
}

// waitForLock returns once the service waits for a lock.
func waitForLock(t *testing.T, db *pgtest.DB) {
	t.Helper()
	admin := connect(t, db.AdminURL())
	for waiting := 0; waiting == 0; time.Sleep(20 * time.Millisecond) {
		err := admin.QueryRow(scoped(), `
			select count(*) from pg_stat_activity
			where datname = current_database() and usename = 'wattle_service' and wait_event_type = 'Lock'`).Scan(&waiting)
		if err != nil {
			t.Fatal(err)
		}
	}
}

// What imports that died left behind goes, of every company, when it is old
// enough; what is under way stays.
func TestSweeping(t *testing.T) {
	t.Parallel()
	s, db := storetest.NewWithDB(t)
	admin := connect(t, db.AdminURL())
	for _, name := range []string{company, "larch"} {
		fill(t, s, name) // which starts an upload
		in := list(t, book.Patch, "post 2026-01-01 10.00")
		if _, err := s.Stage(storetest.Context(name), name, "", slices.Collect(in.Rows())); err != nil {
			t.Fatal(err)
		}
	}
	count := func() (rows, uploads, parts int) {
		t.Helper()
		err := admin.QueryRow(scoped(), `select (select count(*) from import_row), (select count(*) from price_import), (select count(*) from import_part)`).
			Scan(&rows, &uploads, &parts)
		if err != nil {
			t.Fatal(err)
		}
		return rows, uploads, parts
	}
	for _, c := range []struct {
		sql           string
		removed, left int64 // of each kind
	}{
		{`select 1`, 0, 2},
		{`update import_row set staged_at = now() - interval '25 hours' where company = 'larch'`, 1, 2},
		{`update price_import set started_at = now() - interval '25 hours' where company = 'larch'`, 1, 1},
	} {
		if _, err := admin.Exec(scoped(), c.sql); err != nil {
			t.Fatal(err)
		}
		if n, err := s.SweepImports(scoped(), 24*time.Hour); err != nil || n != c.removed {
			t.Errorf("after %s: %d removed, %v; want %d", c.sql, n, err, c.removed)
		}
		if rows, uploads, parts := count(); uploads != parts || int64(uploads) != c.left {
			t.Errorf("after %s: %d rows, %d uploads, %d parts left", c.sql, rows, uploads, parts)
		}
	}
	if n, err := s.SweepImports(scoped(), 0); err != nil || n != 0 { // nobody can sweep what is under way
		t.Errorf("of any age: %d removed, %v", n, err)
	}
	if rows, uploads, _ := count(); rows != 1 || uploads != 1 {
		t.Errorf("%d rows and %d uploads left, want harrow's", rows, uploads)
	}
}

// Parts of a file come in any order and once; whoever is of another company or
// office knows of none.
func TestUploads(t *testing.T) {
	t.Parallel()
	s := storetest.New(t)
	ctx := scoped()
	base := book.Revision(4)
	u := estimating.Upload{ID: "u1", Key: importKey("upload"), Import: book.Import{
		Company: company, Office: "main", Mode: book.Replace, DryRun: true, Base: &base, JumpLimit: decimal.MustParse("12.5"),
		AcceptJumps: true, AcceptZeroPrices: true, AcceptUnitChanges: true, RefuseUnknownItems: true,
	}}
	for _, id := range []string{"u1", "u2"} { // the second is the same call once more
		u.ID = id
		if got, err := s.StartUpload(ctx, u.Key, u); err != nil || got != "u1" {
			t.Fatalf("%s, %v", got, err)
		}
	}
	_, err := s.StartUpload(ctx, key("ImportPrices", "upload", "another body"), u)
	wantFault(t, err, fault.AlreadyExists, "REQUEST_ID_REUSED")
	u.ID = "u1"
	got, err := s.Upload(ctx, company, "u1")
	got.Key.Principal, got.Key.Method = u.Key.Principal, u.Key.Method // of who comes next
	if err != nil || !reflect.DeepEqual(got, u) {
		t.Errorf("%+v, %v\nwant %+v", got, err, u)
	}
	_, err = s.Parts(ctx, company, "u1")
	wantFault(t, err, fault.Invalid, "INVALID_REQUEST")
	for _, part := range []int{3, 1} {
		if err := s.AddPart(ctx, company, "u1", part, fmt.Append(nil, "part", part), 15); err != nil {
			t.Fatal(err)
		}
	}
	_, err = s.Parts(ctx, company, "u1")
	wantFault(t, err, fault.Invalid, "INVALID_REQUEST") // 2 is missing
	wantFault(t, s.AddPart(ctx, company, "u1", 2, []byte("longer"), 15), fault.Exhausted, "PRICE_LIST_TOO_LARGE")
	for range 2 {
		if err := s.AddPart(ctx, company, "u1", 2, []byte("part2"), 15); err != nil {
			t.Fatal(err)
		}
	}
	wantFault(t, s.AddPart(ctx, company, "u1", 2, []byte("other"), 99), fault.AlreadyExists, "PART_DIFFERS")
	if n, err := s.Parts(ctx, company, "u1"); err != nil || n != 3 {
		t.Errorf("%d parts, %v", n, err)
	}
	if b, err := s.Part(ctx, company, "u1", 3); err != nil || string(b) != "part3" {
		t.Errorf("%s, %v", b, err)
	}
	for _, other := range []string{"larch"} {
		_, err := s.Upload(storetest.Context(other), other, "u1")
		wantFault(t, err, fault.NotFound, "IMPORT_NOT_FOUND")
		wantFault(t, s.AddPart(storetest.Context(other), other, "u1", 4, []byte("x"), 99), fault.NotFound, "IMPORT_NOT_FOUND")
	}
	if err := s.DropParts(ctx, company, "u1"); err != nil {
		t.Fatal(err)
	}
	_, err = s.Part(ctx, company, "u1", 1)
	wantFault(t, err, fault.NotFound, "IMPORT_NOT_FOUND")
}

// A list that is planned again under the lock, because another got there
// first, is stored as of then, and the head is that of its content.
func TestAnImportThatWaitsIsPlannedAgain(t *testing.T) {
	t.Parallel()
	s, db := storetest.NewWithDB(t)
	mustImport(t, s, "start", list(t, book.Patch, "post 2026-01-01 10.00"))
	ctx := scoped()
	var outs [2]book.Outcome
	tx := hold(t, db)
	done := make(chan error, 2)
	for i := range outs {
		go func() {
			in := list(t, book.Patch, "post 2026-01-01 11.00", fmt.Sprintf("rail 2026-01-01 %d", 6+i))
			out, err := s.Import(ctx, importKey(fmt.Sprint("at-once", i)), in)
			outs[i] = out
			done <- err
		}()
	}
	waitForLock(t, db)
	if err := tx.Rollback(ctx); err != nil {
		t.Fatal(err)
	}
	for range outs {
		if err := <-done; err != nil {
			t.Fatal(err)
		}
	}
	first, second := outs[0], outs[1]
	if first.Head.Revision > second.Head.Revision {
		first, second = second, first
	}
	if first.Head.Revision != 2 || describe(first.Changes) != "[repriced post 10.00% added rail]" ||
		second.Head.Revision != 3 || second.Unchanged != 1 || second.Counts.Changes() != 1 {
		t.Errorf("first %s\nsecond %s", dump(first), dump(second))
	}
	if want := first.Head.Next(company, book.ContentHash([]book.Entry{*second.Changes[0].New})); second.Head != want {
		t.Errorf("head %v, want %v", second.Head, want)
	}
}

func hold(t *testing.T, db *pgtest.DB) pgx.Tx {
	t.Helper()
	tx, err := connect(t, db.AdminURL()).Begin(scoped())
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = tx.Rollback(scoped()) })
	if _, err := tx.Exec(scoped(), `select from book_head for update`); err != nil {
		t.Fatal(err)
	}
	return tx
}

var _ estimating.ImportStore = (*postgres.Store)(nil)

// What COPY would take for the end of a column, or for no value, comes through as
// it was written.
func TestStagedTextComesThrough(t *testing.T) {
	t.Parallel()
	s := storetest.New(t)
	e := book.Entry{
		Item: `\N`, Supplier: `a\tb\\`, Effective: civil.Must("2026-03-01"), State: book.Priced, Description: `5/8 \. "galvanised" ünd \x41`,
		Currency: "USD", Unit: `each\n`, Pack: decimal.One, Breaks: []book.Break{{Price: decimal.MustParse("0.000001")}, {MinQuantity: decimal.MustParse("999999999.5"), Price: decimal.Zero}},
	}
	out, err := s.Import(scoped(), estimating.RequestKey{Company: company, RequestID: "staged"}, book.Import{Company: company, Office: "main", Mode: book.Patch, AcceptZeroPrices: true, Entries: []book.Entry{e}})
	if err != nil || !out.Applied {
		t.Fatal(out, err)
	}
	got := out.Changes[0].New
	if got.Item != e.Item || got.Supplier != e.Supplier || got.Description != e.Description || got.Unit != e.Unit || got.Effective != e.Effective || !reflect.DeepEqual(got.Breaks, e.Breaks) {
		t.Errorf("%+v, expected %+v", got, e)
	}
}
