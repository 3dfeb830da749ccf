package postgres_test

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/govalues/decimal"
	"github.com/jackc/pgx/v5"

	"wattle/internal/auth"
	"wattle/internal/book"
	"wattle/internal/civil"
	"wattle/internal/estimating"
	"wattle/internal/fault"
	"wattle/internal/postgres"
	"wattle/internal/postgres/pgtest"
	"wattle/internal/postgres/storetest"
)

// verify is what a verification says: "3:row-content 4:quote", or "".
func verify(t testing.TB, s *postgres.Store, expected ...book.Head) string {
	t.Helper()
	report, err := s.VerifyBook(scoped(), company, book.NewVerification(company, expected), func(estimating.VerifyProgress) error { return nil })
	if err != nil {
		t.Fatalf("%v (%v)", err, errors.Unwrap(err))
	}
	var all []string
	for _, p := range report.Problems {
		all = append(all, fmt.Sprintf("%d:%s", p.Revision, p.Kind))
	}
	return strings.Join(all, " ")
}

// fiveRevisions is a book with rows of two offices, and quotes priced from
// revisions 2 and 4. It answers the heads, by revision.
func fiveRevisions(t testing.TB) (*postgres.Store, *pgtest.DB, []book.Head) {
	t.Helper()
	s, db := storetest.NewWithDB(t)
	heads := []book.Head{{}}
	for i := range 5 {
		in := list(t, []book.Mode{book.Patch, book.Replace}[i%2],
			fmt.Sprintf("post 2026-01-01 %d.50", 10+i), fmt.Sprintf("rail-%d 2026-0%d-01 6.250", i, i+1))
		if i == 2 {
			in.Entries[1].Office = "west"
		}
		heads = append(heads, mustImport(t, s, fmt.Sprint(i), in).Head)
	}
	for i, r := range []int{2, 4, 4} {
		q := record(fmt.Sprint("q", i), "2026-03-01T12:00:00Z")
		q.Head = heads[r]
		if _, err := s.InsertQuote(scoped(), key("CreateQuote", q.ID, q.ID), q); err != nil {
			t.Fatal(err)
		}
	}
	return s, db, heads
}

func TestAnUntouchedBookIsIntact(t *testing.T) {
	t.Parallel()
	s, _, heads := fiveRevisions(t)
	if got := verify(t, s, heads...); got != "" {
		t.Errorf("%s", got)
	}
	var told []estimating.VerifyProgress
	v := book.NewVerification(company, nil)
	report, err := s.VerifyBook(scoped(), company, v, func(p estimating.VerifyProgress) error { told = append(told, p); return nil })
	if err != nil || report.Head != heads[5] || report.Quotes != 3 || report.Entries == 0 || !report.Intact() {
		t.Errorf("%+v, %v", report, err)
	}
	if last := told[len(told)-1]; last.Revision != 5 || last.Newest != 5 || last.Entries != report.Entries || last.Total != report.Entries {
		t.Errorf("told %+v, %d rows in all", last, report.Entries)
	}
	// Another company's book is its own.
	other, err := s.VerifyBook(storetest.Context("larch"), "larch", book.NewVerification("larch", nil), func(estimating.VerifyProgress) error { return nil })
	if err != nil || other.Entries != 0 || !other.Intact() {
		t.Errorf("larch: %+v, %v", other, err)
	}
	stop := errors.New("enough")
	if _, err := s.VerifyBook(scoped(), company, book.NewVerification(company, nil), func(estimating.VerifyProgress) error { return stop }); !errors.Is(err, stop) {
		t.Errorf("ended by the listener: %v", err)
	}
}

// A key of one office sees no prices and no quotes of its sister, and yet the
// whole chain is checked for it.
func TestAnyOfficeVerifiesTheWholeBook(t *testing.T) {
	t.Parallel()
	s, db, heads := fiveRevisions(t)
	storetest.Office(t, s, company, "west", "main")
	storetest.Office(t, s, company, "east", "main")
	east := estimating.WithCaller(t.Context(), caller(t, s, storetest.Key(t, s, company, "east", auth.Pricer)))
	verify := func() book.Report {
		report, err := s.VerifyBook(east, company, book.NewVerification(company, heads), func(estimating.VerifyProgress) error { return nil })
		if err != nil {
			t.Fatal(err)
		}
		return report
	}
	if r := verify(); !r.Intact() || r.Quotes != 3 {
		t.Errorf("%+v", r)
	}
	if _, err := connect(t, db.AdminURL()).Exec(t.Context(), `update price_entry set prices = '{1.00}' where office = 'west' and state = 'priced'`); err != nil {
		t.Fatal(err)
	}
	if r := verify(); r.FirstBad != 3 {
		t.Errorf("a price of the sister's changed: %+v", r)
	}
	_, err := s.VerifyBook(east, "larch", book.NewVerification("larch", nil), func(estimating.VerifyProgress) error { return nil })
	wantFault(t, err, fault.Denied, "COMPANY_NOT_YOURS")
}

// What a superuser does to the rows is told, with the first revision it was done to.
func TestTamperingIsTold(t *testing.T) {
	t.Parallel()
	s, db, _ := fiveRevisions(t)
	admin := connect(t, db.AdminURL())
	restore := backup(t, admin)
	for _, c := range []struct{ sql, want string }{
		{`update price_entry set prices = '{12.51}' where revision = 3 and item = 'post'`, "3:row-content"},
		{`update price_entry set description = 'x' where revision = 3 and office = 'west'`, "3:row-content"},
		{`update price_entry set effective = '2026-01-02' where revision = 5 and item = 'post'`, "5:row-content"},
		{`delete from price_entry where revision = 2 and item = 'post'`, "2:missing-row"},
		{`insert into price_entry select company, 'nail', office, supplier, effective, 4, state, description, currency, unit, pack, min_quantities, prices
			from price_entry where revision = 4 and item = 'post'`, "4:added-row"},
		{`update price_entry set revision = 1 where revision = 2 and item = 'rail-1'`, "1:added-row 2:missing-row"},
		{`update book_revision set latest_effective = '2026-01-01' where revision = 4`, "4:index"},
		{`update book_revision set content_hash = sha256('x') where revision = 4`, "4:row-content 4:chain"},
		{`update book_revision set chain_hash = sha256('x') where revision = 3`, "3:chain 4:chain"},
		{`update book_head set hash = sha256('x')`, "5:head"},
		{`update book_head set revision = 4, hash = (select chain_hash from book_revision where revision = 4)`, "5:head"},
		{`update quote set book_hash = sha256('x') where id = 'q1'`, "4:quote"},
		{`alter table price_entry drop constraint price_entry_revision_fkey;
			delete from book_revision where revision = 3`, "3:added-row 3:missing-revision"},
		{`alter table price_entry drop constraint price_entry_numbers_check;
			update price_entry set pack = 'NaN' where revision = 2 and item = 'post'`, "2:row-content"},
		{`delete from price_entry where revision = 5; delete from book_revision where revision = 5`, "5:missing-revision"},
	} {
		if _, err := admin.Exec(t.Context(), c.sql); err != nil {
			t.Fatalf("%s: %v", c.sql, err)
		}
		if got := verify(t, s); got != c.want {
			t.Errorf("after %s: %q, want %q", c.sql, got, c.want)
		}
		restore()
	}
	if got := verify(t, s); got != "" {
		t.Errorf("restored: %s", got)
	}
}

// backup keeps the book and the quotes aside; what it answers puts them back.
func backup(t *testing.T, admin *pgx.Conn) (restore func()) {
	t.Helper()
	kept := []string{"book_head", "book_revision", "price_entry", "quote"}
	run := func(sql string) {
		if _, err := admin.Exec(t.Context(), sql); err != nil {
			t.Fatalf("%s: %v", sql, err)
		}
	}
	run(`create schema kept`)
	for _, name := range kept {
		run(`create table kept.` + name + ` as table ` + name)
	}
	return func() {
		t.Helper()
		run(`truncate ` + strings.Join(kept, ", ") + ` cascade`)
		for _, name := range kept {
			run(`insert into ` + name + ` select * from kept.` + name)
		}
	}
}

// One who may write everything changes a price of revision 3 and computes every
// hash after it anew. The book alone is consistent; a head that is known from
// outside tells, and so do the quotes' own.
func TestAChainComputedAnewIsTold(t *testing.T) {
	t.Parallel()
	s, db, heads := fiveRevisions(t)
	admin := connect(t, db.AdminURL())
	if _, err := admin.Exec(t.Context(), `update price_entry set prices = '{1.00}' where revision = 3 and item = 'post'`); err != nil {
		t.Fatal(err)
	}
	forge(t, s, admin, 5)
	if got := verify(t, s, heads[:3]...); got != "4:quote" {
		t.Errorf("by the quotes' own heads: %q, want 4:quote", got)
	}
	if got := verify(t, s, heads[5]); got != "4:quote 5:expected" {
		t.Errorf("by an expected head: %q, want 4:quote 5:expected", got)
	}
	if got := verify(t, s, heads[3]); got != "3:expected 4:quote" {
		t.Errorf("by an expected head: %q, want 3:expected 4:quote", got)
	}
	// Where the quotes' columns are rewritten too, only a head from outside tells
	// (and each quote's own document, when it is replayed).
	if _, err := admin.Exec(t.Context(), `update quote q set book_hash = r.chain_hash from book_revision r where r.revision = q.book_revision`); err != nil {
		t.Fatal(err)
	}
	if got := verify(t, s); got != "" {
		t.Errorf("the forged book alone: %q, want it consistent", got)
	}
	if got := verify(t, s, heads[4]); got != "4:expected" {
		t.Errorf("by an expected head: %q, want 4:expected", got)
	}
	// The book cut short: its head is a true one, and yet not the newest.
	if _, err := admin.Exec(t.Context(), `
		delete from price_entry where revision > 1; delete from book_revision where revision > 1;
		update book_head set revision = 1, hash = (select chain_hash from book_revision where revision = 1)`); err != nil {
		t.Fatal(err)
	}
	if got := verify(t, s, heads[1], heads[5]); got != "2:quote 4:quote 5:expected" {
		t.Errorf("cut short: %q, want 2:quote 4:quote 5:expected", got)
	}
}

// forge computes the hashes of every revision anew from its rows and writes them.
func forge(t *testing.T, s *postgres.Store, admin *pgx.Conn, newest book.Revision) {
	t.Helper()
	ctx := scoped()
	byRevision := map[book.Revision][]book.Entry{}
	for _, item := range []string{"post", "rail-0", "rail-1", "rail-2", "rail-3", "rail-4"} {
		entries, err := s.History(ctx, book.HistoryQuery{Company: company, Item: item, Offices: []string{"main", "west"}, Revision: newest, Limit: 100})
		if err != nil {
			t.Fatal(err)
		}
		for _, e := range entries {
			byRevision[e.Revision] = append(byRevision[e.Revision], e)
		}
	}
	var head book.Head
	for r := book.Revision(1); r <= newest; r++ {
		content := book.ContentHash(byRevision[r])
		head = head.Next(company, content)
		if _, err := admin.Exec(ctx, `update book_revision set content_hash = $2, chain_hash = $3 where revision = $1`, int64(r), content[:], head.Hash[:]); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := admin.Exec(ctx, `update book_head set hash = $1`, head.Hash[:]); err != nil {
		t.Fatal(err)
	}
}

// Blocks of revisions and of rows come together as one book: the only revision
// whose rows were changed, in the middle, is the only one told of.
func TestALongBookIsReadInBlocks(t *testing.T) {
	t.Parallel()
	s, db := storetest.NewWithDB(t)
	const items, revisions = 25, 1100 // more rows and revisions than are read at once
	grow(t, db.AdminURL(), company, items, revisions)
	admin := connect(t, db.AdminURL())
	makeTrue(t, admin, items, revisions)
	blocks := 0
	report, err := s.VerifyBook(scoped(), company, book.NewVerification(company, nil), func(estimating.VerifyProgress) error { blocks++; return nil })
	if err != nil || report.Entries != items*revisions || blocks != 3 || !report.Intact() {
		t.Fatalf("%d rows in %d blocks, %v, %v", report.Entries, blocks, report.Problems, err)
	}
	if _, err := admin.Exec(t.Context(), `update price_entry set description = 'another' where revision = 777 and item = 'item-000009'`); err != nil {
		t.Fatal(err)
	}
	if got := verify(t, s); got != "777:row-content" {
		t.Errorf("%s", got)
	}
}

// makeTrue gives what grow made the hashes that its rows have.
func makeTrue(t *testing.T, admin *pgx.Conn, items, revisions int) {
	t.Helper()
	var head book.Head
	var numbers []int64
	var contents, chains [][]byte
	for r := 1; r <= revisions; r++ {
		rows := make([]book.Entry, items)
		for i := range rows {
			rows[i] = grown(i+1, r)
		}
		content := book.ContentHash(rows)
		head = head.Next(company, content)
		numbers, contents, chains = append(numbers, int64(r)), append(contents, content[:]), append(chains, slices.Clone(head.Hash[:]))
	}
	if _, err := admin.Exec(t.Context(), `
		update book_revision r set content_hash = n.content, chain_hash = n.chain
		from unnest($1::bigint[], $2::bytea[], $3::bytea[]) as n (revision, content, chain) where r.revision = n.revision`, numbers, contents, chains); err != nil {
		t.Fatal(err)
	}
	if _, err := admin.Exec(t.Context(), `update book_head set hash = $1`, head.Hash[:]); err != nil {
		t.Fatal(err)
	}
}

// grown is a row of grow's.
func grown(item, revision int) book.Entry {
	price := func(from int64) decimal.Decimal { return decimal.MustNew(100*from+int64(revision), 2) }
	return book.Entry{
		Item: fmt.Sprintf("item-%06d", item), Office: "main", Supplier: "acre", Effective: civil.Must("2020-01-01").AddDays(revision),
		Revision: book.Revision(revision), State: book.Priced, Description: "an item", Currency: "USD", Unit: "each", Pack: decimal.One,
		Breaks: []book.Break{{Price: price(10)}, {MinQuantity: decimal.Hundred, Price: price(9)}},
	}
}
