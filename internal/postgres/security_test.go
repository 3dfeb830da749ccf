package postgres_test

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/govalues/decimal"
	"github.com/jackc/pgx/v5"

	"wattle/internal/actuals"
	"wattle/internal/auth"
	"wattle/internal/book"
	"wattle/internal/catalog"
	"wattle/internal/civil"
	"wattle/internal/estimating"
	"wattle/internal/fault"
	"wattle/internal/paper"
	"wattle/internal/postgres"
	"wattle/internal/postgres/storetest"
)

// tables are all that hold rows of a company.
func tables(t *testing.T, conn *pgx.Conn) []string {
	t.Helper()
	rows, err := conn.Query(scoped(), `
		select table_name from information_schema.columns
		where table_schema = 'public' and column_name = 'company' order by 1`)
	if err != nil {
		t.Fatal(err)
	}
	names, err := pgx.CollectRows(rows, pgx.RowTo[string])
	if err != nil || len(names) < 6 {
		t.Fatalf("tables %v, %v", names, err)
	}
	return names
}

// fill gives a company an office, two keys, a revision, a quote, a spec, a
// customer, an import that has not ended, and a request id of each; events with
// positions and one without, and a webhook with a delivery that was tried.
func fill(t *testing.T, s *postgres.Store, name string) {
	t.Helper()
	storetest.Key(t, s, name, "main", auth.Reader)
	ctx := storetest.Context(name)
	in := list(t, book.Patch, "post 2026-01-01 10.00")
	in.Company = name
	k := importKey("i")
	k.Company = name
	if _, err := s.Import(ctx, k, in); err != nil {
		t.Fatal(err)
	}
	r := record("q1", "2026-03-01T12:00:00Z")
	r.Company, r.Items, r.Head.Revision = name, []string{"post"}, 0
	if _, err := s.InsertQuote(ctx, estimating.RequestKey{Company: name, RequestID: "q"}, r); err != nil {
		t.Fatal(err)
	}
	if err := s.AdvanceImpact(ctx, name, 1, r.CreatedAt); err != nil {
		t.Fatal(err)
	}
	if err := s.RecordImpact(ctx, name, 1, 1, []estimating.Impact{{Quote: r.ID, Office: "main", Currency: "USD", Missing: []string{"post"}, Reason: "PRICES_MISSING"}}); err != nil {
		t.Fatal(err)
	}
	if err := s.AdvanceImpact(ctx, name, 1, r.CreatedAt); err != nil {
		t.Fatal(err)
	}
	sp := saved("cedar", "six feet")
	sp.Company = name
	if _, err := s.EventHead(ctx, name); err != nil {
		t.Fatal(err)
	}
	if _, _, err := s.SaveSpec(ctx, estimating.RequestKey{Company: name, RequestID: "s"}, sp); err != nil {
		t.Fatal(err)
	}
	c := estimating.Customer{Company: name, ID: "cust-7", Office: "main", Version: 1, CreatedAt: r.CreatedAt, UpdatedAt: r.CreatedAt}
	if _, err := s.CreateCustomer(ctx, estimating.RequestKey{Company: name, RequestID: "c"}, c); err != nil {
		t.Fatal(err)
	}
	if _, err := s.StartUpload(ctx, estimating.RequestKey{Company: name, RequestID: "u"}, estimating.Upload{ID: "u1", Import: book.Import{Office: "main"}}); err != nil {
		t.Fatal(err)
	}
	if err := s.AddPart(ctx, name, "u1", 1, []byte("x"), 10); err != nil {
		t.Fatal(err)
	}
	a := estimating.Approval{Office: "main", ApprovedAt: r.CreatedAt, Margin: decimal.MustParse("1"), Floor: decimal.MustParse("2")}
	if _, err := s.ApproveQuote(ctx, estimating.RequestKey{Company: name, RequestID: "a"}, r.ID, a, func(estimating.Record) error { return nil }); err != nil {
		t.Fatal(err)
	}
	used := estimating.Actuals{
		Company: name, Quote: r.ID, Office: "main", FinishedOn: civil.Must("2026-03-02"), Crew: "crew-2", Currency: "USD", RecordedAt: r.CreatedAt,
		Lines: []actuals.Line{{Kind: actuals.Material, Name: "post", Unit: "each", Actual: new(decimal.MustParse("2"))}},
	}
	if _, err := s.RecordActuals(ctx, estimating.RequestKey{Company: name, RequestID: "d"}, used, func(estimating.Place, int) error { return nil }); err != nil {
		t.Fatal(err)
	}
	tpl := estimating.SavedTemplate{Company: name, Office: "main", CreatedAt: r.CreatedAt, Template: paper.Template{Title: name}}
	if _, _, err := s.SaveTemplate(ctx, estimating.RequestKey{Company: name, RequestID: "t"}, tpl); err != nil {
		t.Fatal(err)
	}
	if _, err := s.RecordPaper(ctx, estimating.PaperRecord{Company: name, Quote: r.ID, Office: "main", Kind: paper.Proposal, MadeAt: r.CreatedAt}); err != nil {
		t.Fatal(err)
	}
	hook := estimating.Webhook{Company: name, ID: "hook-" + name, Office: book.MainOffice, URL: "https://crm.example.com/hook"}
	k = estimating.RequestKey{Company: name, RequestID: "w"}
	if _, _, err := s.CreateWebhook(ctx, k, hook, []byte("sealed")); err != nil {
		t.Fatal(err)
	}
	k.Method = "Ping"
	ping, err := s.PingWebhook(ctx, k, hook.ID)
	if err != nil {
		t.Fatal(err)
	}
	if err := s.RecordAttempt(ctx, name, hook.ID, ping.ID, estimating.Attempt{Outcome: estimating.Delivered, Status: 200}); err != nil {
		t.Fatal(err)
	}
}

// changing are the tables that are more than history, with the rights that each
// role has on them beside reading and adding; grants.sql has the reasons.
var changing = map[string]string{
	"book_head wattle_service":      "UPDATE",
	"company wattle_service":        "UPDATE",
	"office wattle_service":         "UPDATE",
	"api_key wattle_service":        "UPDATE",
	"quote_state wattle_service":    "UPDATE",
	"quote_state wattle_worker":     "UPDATE",
	"quote_item wattle_service":     "DELETE",
	"quote_item wattle_worker":      "DELETE",
	"customer wattle_service":       "UPDATE",
	"event_pending wattle_service":  "DELETE",
	"event_pending wattle_worker":   "DELETE",
	"import_row wattle_service":     "DELETE", // what is on its way into the book
	"import_part wattle_service":    "DELETE",
	"price_import wattle_service":   "DELETE UPDATE", // of a count of bytes, which is what locks the row
	"webhook wattle_service":        "UPDATE",
	"webhook_secret wattle_service": "DELETE",
}

// Rows are added and never changed or removed, save those listed.
func TestHistoryIsAppendOnly(t *testing.T) {
	t.Parallel()
	s, db := storetest.NewWithDB(t)
	fill(t, s, company)
	ctx := scoped()
	admin := connect(t, db.AdminURL())
	for _, table := range tables(t, admin) {
		for _, role := range []string{"wattle_service", "wattle_worker"} {
			for _, right := range []string{"UPDATE", "DELETE", "TRUNCATE", "REFERENCES", "TRIGGER"} {
				var may bool
				if err := admin.QueryRow(ctx, `select has_table_privilege($1, $2, $3) or ($3 = 'UPDATE' and has_any_column_privilege($1, $2, $3))`, role, table, right).Scan(&may); err != nil {
					t.Fatal(err)
				}
				if want := slices.Contains(strings.Fields(changing[table+" "+role]), right); may != want {
					t.Errorf("%s may %s %s: %v, want %v", role, right, table, may, want)
				}
			}
		}
	}
	service := connect(t, db.ServiceURL())
	for _, sql := range []string{
		`update price_entry set prices = '{1}'`, `delete from price_entry`, `truncate price_entry`,
		`delete from book_head`, `update book_head set company = 'x'`, `update book_revision set entries = 2`,
		`update quote set total = 1`, `delete from quote_document`, `delete from idempotency`,
		`update saved_spec set title = 'x'`, `delete from saved_spec`, `truncate saved_spec`, `drop table saved_spec`,
		`update quote set customer = 'x'`, `update quote_document set document = ''`,
		`update quote_transition set to_state = 'void'`, `delete from quote_transition`, `update quote_state set root = 'x'`,
		`update quote_state set revises = null`, `delete from quote_state`, `update customer set id = 'x'`, `delete from customer`,
		`update audit set principal = 'x'`, `delete from audit`,
		`update price_import set header = '{}'`, `update import_part set content = ''`, `update import_row set price = 1`, `truncate import_row`,
		`update impact set as_of = '2026-01-01'`, `delete from impact_quote`, `update impact_quote set reason = ''`, `delete from impact_done`,
		`update job_actuals set crew = 'x'`, `delete from job_actuals`, `update job_actuals_line set actual = 1`, `delete from job_actuals_line`,
		`update event set type = 'a.b'`, `delete from event`, `update event_position set position = 1`, `delete from event_position`,
		`update paper_template set title = 'x'`, `delete from paper_template`, `update quote_paper set hash = sha256('a')`, `delete from quote_paper`,
		`update webhook set url = 'https://x'`, `delete from webhook`, `update webhook_secret set sealed = ''`,
		`update webhook_attempt set outcome = 'delivered'`, `delete from webhook_delivery`,
		`update river_job set args = '{}'`, `delete from river_job`,
		`alter table price_entry disable row level security`, `drop table quote`, `create table mine (id int)`,
	} {
		_, err := service.Exec(ctx, sql)
		if err == nil || !strings.Contains(err.Error(), "42501") {
			t.Errorf("%s: %v, want insufficient privilege", sql, err)
		}
	}
}

// Every table is under row-level security: a company sees its own rows, and
// without a company there are none. The one that COPY fills cannot be; its rows
// are found by a random number.
func TestCompaniesDoNotSeeEachOther(t *testing.T) {
	t.Parallel()
	s, db := storetest.NewWithDB(t)
	ctx := scoped()
	fill(t, s, company)
	fill(t, s, "larch")
	fill(t, s, "larch2")
	admin, service := connect(t, db.AdminURL()), connect(t, db.ServiceURL())
	for _, table := range tables(t, admin) {
		if table == "import_row" {
			continue
		}
		name := pgx.Identifier{table}.Sanitize()
		count := func(set string) (n int) {
			err := pgx.BeginFunc(ctx, service, func(tx pgx.Tx) error {
				if _, err := tx.Exec(ctx, set); err != nil {
					return err
				}
				return tx.QueryRow(ctx, `select count(*) from `+name).Scan(&n)
			})
			if err != nil {
				t.Fatalf("%s: %v", table, err)
			}
			return n
		}
		var all, mine int
		if err := admin.QueryRow(ctx, `select count(*), count(*) filter (where company = 'larch') from `+name).Scan(&all, &mine); err != nil {
			t.Fatal(err)
		}
		if got := count(scopeOf("larch", "*")); got != mine || mine == 0 || mine == all {
			t.Errorf("%s: larch sees %d rows of %d, and has %d", table, got, all, mine)
		}
		for _, nobody := range []string{`select 1`, scopeOf("", "*"), scopeOf("nobody", "*"), `set local wattle.reads = '*'`} {
			if got := count(nobody); got != 0 {
				t.Errorf("%s: %d rows after %q", table, got, nobody)
			}
		}
	}
	for _, sql := range []string{
		`insert into book_head (company, revision, hash) values ('other', 0, decode(repeat('00', 32), 'hex'))`,
		`insert into quote_document (company, quote_id, document) values ('harrow', 'q1', '')`,
		`insert into saved_spec (company, name, version, created_at) values ('harrow', 'cedar', 2, now())`,
		`insert into event (company, office, type, subject, sequence) values ('harrow', 'main', 'a.b', 'companies/harrow/x', 1)`,
		`insert into river_job (args, kind, max_attempts) values ('{"company": "harrow"}', 'event', 1)`,
	} {
		err := pgx.BeginFunc(ctx, service, func(tx pgx.Tx) error {
			if _, err := tx.Exec(ctx, scopeOf("larch", "*")); err != nil {
				return err
			}
			_, err := tx.Exec(ctx, sql)
			return err
		})
		if err == nil || !strings.Contains(err.Error(), "row-level security") {
			t.Errorf("%s as larch: %v, want it refused by row-level security", sql, err)
		}
	}
	// And through the store.
	if _, err := s.Spec(storetest.Context("nobody"), "nobody", catalog.Ref{Name: "cedar"}); fault.KindOf(err) != fault.NotFound {
		t.Errorf("another company's spec: %v", err)
	}
	if _, err := s.Quote(storetest.Context("nobody"), "nobody", "q1"); fault.KindOf(err) != fault.NotFound {
		t.Errorf("another company's quote: %v", err)
	}
}

func TestOpenRefusesARoleThatSeesEverything(t *testing.T) {
	t.Parallel()
	_, db := storetest.NewWithDB(t)
	for name, url := range map[string]string{"superuser": db.AdminURL(), "owner": db.OwnerURL()} {
		s, err := postgres.Open(scoped(), url)
		if err == nil {
			s.Close()
			t.Errorf("%s: opened", name)
			continue
		}
		wantFault(t, err, fault.Refused, "ROLE_NOT_BOUND")
	}
}

// The schema holds what a price is, whoever writes it.
func TestTheSchemaRefusesABadEntry(t *testing.T) {
	t.Parallel()
	s, db := storetest.NewWithDB(t)
	fill(t, s, company)
	service := connect(t, db.ServiceURL())
	ctx := scoped()
	const good = `'priced', 'USD', 'each', 1, '{0}', '{10}'`
	for values, constraint := range map[string]string{
		good:                            "",
		`'sold', '', '', 0, '{}', '{}'`: "price_entry_state_check",
		`'priced', 'USD', 'each', 0, '{0}', '{10}'`:         "price_entry_price_check",
		`'priced', 'USD', 'each', 1, '{0}', '{0}'`:          "", // whoever imports it says that it is meant
		`'priced', 'USD', 'each', 1, '{0}', '{-1}'`:         "price_entry_price_check",
		`'priced', 'USD', 'each', 1, '{0,10}', '{10,-1}'`:   "price_entry_price_check",
		`'priced', 'USD', 'each', 1, '{5}', '{10}'`:         "price_entry_price_check",
		`'priced', 'USD', 'each', 1, '{}', '{}'`:            "price_entry_price_check",
		`'priced', 'USD', '', 1, '{0}', '{10}'`:             "price_entry_price_check",
		`'priced', 'USD', 'each', 1, '{0,5}', '{10}'`:       "price_entry_breaks_check",
		`'withdrawn', '', '', 0, '{0}', '{10}'`:             "price_entry_price_check",
		`'priced', 'USD', 'each', 1, '{0,null}', '{10,11}'`: "price_entry_numbers_check",
		`'priced', 'USD', 'each', 1, '{0,5}', '{10,null}'`:  "price_entry_numbers_check",
		`'priced', 'USD', 'each', 1, '{0,5}', '{10,NaN}'`:   "price_entry_numbers_check",
	} {
		err := pgx.BeginFunc(ctx, service, func(tx pgx.Tx) error {
			if _, err := tx.Exec(ctx, scopeOf("harrow", "*")); err != nil {
				return err
			}
			_, err := tx.Exec(ctx, fmt.Sprintf(`
				insert into price_entry (company, item, effective, revision, state, currency, unit, pack, min_quantities, prices)
				values ('harrow', 'x', '2026-01-01', 1, %s)`, values))
			if err == nil {
				return pgx.ErrTxClosed // roll back
			}
			return err
		})
		if constraint == "" {
			if !errors.Is(err, pgx.ErrTxClosed) {
				t.Errorf("%s: %v", values, err)
			}
		} else if err == nil || !strings.Contains(err.Error(), constraint) {
			t.Errorf("%s: %v, want %s", values, err, constraint)
		}
	}
}
