package postgres_test

import (
	"fmt"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"sync"
	"testing"

	"github.com/govalues/decimal"
	"github.com/jackc/pgx/v5"

	"wattle/internal/actuals"
	"wattle/internal/civil"
	"wattle/internal/estimating"
	"wattle/internal/fault"
	"wattle/internal/postgres"
	"wattle/internal/postgres/storetest"
	"wattle/internal/takeoff"
)

func anyPlace(estimating.Place, int) error { return nil }

// finish records what a job used.
func finish(t testing.TB, s *postgres.Store, requestID string, a estimating.Actuals) estimating.Actuals {
	t.Helper()
	a.Company, a.RecordedAt, a.Principal = company, made, "ann"
	kept, err := s.RecordActuals(scoped(), key("RecordActuals", requestID, requestID), a, anyPlace)
	if err != nil {
		t.Fatal(err)
	}
	return kept
}

// someActuals are what a job used, with lines of every kind and side.
func someActuals(r *rand.Rand, id string) estimating.Actuals {
	amount := func() *decimal.Decimal { return new(decimal.MustNew(r.Int64N(40_000), 4)) }
	a := estimating.Actuals{
		Quote: id, Office: "main", FinishedOn: civil.Must("2026-03-02").AddDays(r.IntN(5)), Crew: fmt.Sprint("crew-", r.IntN(2)),
		Currency: "USD", HoursOf: []actuals.HoursOf{actuals.Crew, actuals.Person}[r.IntN(2)],
	}
	for _, l := range []actuals.Line{
		{Kind: actuals.Material, Name: "gravel", Category: takeoff.Gravel, Unit: "ft3"},
		{Kind: actuals.Material, Name: "post-10ft", Category: takeoff.Posts, Unit: "each"},
		{Kind: actuals.Material, Name: "post-8ft", Category: takeoff.Posts, Unit: "each"},
		{Kind: actuals.Task, Name: "holes", Category: takeoff.Labour, Unit: "hour"},
		{Kind: actuals.Labour, Name: "crew-hour", Category: takeoff.Labour, Unit: "hour"},
	} {
		switch r.IntN(5) {
		case 0:
			l.Estimated = amount()
		case 1:
			l.Actual = amount()
		case 2:
			l.Estimated, l.Actual = new(decimal.Decimal), amount()
		default:
			l.Estimated, l.Actual, l.EstimatedCost, l.Paid = amount(), amount(), amount(), amount()
		}
		if l.Kind != actuals.Material && l.Estimated != nil {
			l.Rates = []takeoff.Rate{
				{Item: "rate-" + l.Name, Value: decimal.MustParse([]string{"0.5", "0.6"}[r.IntN(2)]), Unit: "hour/each"},
				{Item: "rate of ours", Value: decimal.MustParse("1.5"), Unit: "hour/leaf"},
			}[:1+r.IntN(2)]
		}
		a.Lines = append(a.Lines, l)
	}
	return a
}

// The sums of the database are those of the definition, of the newest versions.
func TestSummariesAreAsDefined(t *testing.T) {
	t.Parallel()
	s := storetest.New(t)
	r := rand.New(rand.NewPCG(15, 2026))
	newest := map[string]estimating.Actuals{}
	for i := range 60 {
		id := fmt.Sprint("q", i)
		insert(t, s, id)
		for range 1 + r.IntN(2) {
			kept := finish(t, s, fmt.Sprint(id, r.Int()), someActuals(r, id))
			newest[kept.Job] = kept
		}
	}
	for _, f := range []estimating.ActualsFilter{{}, {From: civil.Must("2026-03-03"), To: civil.Must("2026-03-04")}, {Crew: "crew-1"}, {Offices: []string{"north"}}, {From: civil.Must("2026-04-01")}} {
		f.Company = company
		var jobs []actuals.Job
		for _, a := range newest {
			if !f.From.IsZero() && a.FinishedOn.Compare(f.From) < 0 || !f.To.IsZero() && a.FinishedOn.Compare(f.To) > 0 ||
				f.Crew != "" && a.Crew != f.Crew || f.Offices != nil && !slices.Contains(f.Offices, a.Office) {
				continue
			}
			jobs = append(jobs, actuals.Job{Office: a.Office, Crew: a.Crew, Currency: a.Currency, HoursOf: a.HoursOf, Lines: a.Lines})
		}
		for _, subject := range actuals.Subjects() {
			for grain := range 4 {
				by := actuals.By{Subject: subject, Office: grain&1 > 0, Crew: grain&2 > 0}
				want, err := actuals.Summarize(jobs, by)
				if err != nil {
					t.Fatal(err)
				}
				got, n, err := s.SummarizeActuals(scoped(), f, by)
				if err != nil || n != int64(len(jobs)) {
					t.Fatalf("%v %v: %d jobs, %v; want %d", f, by, n, err, len(jobs))
				}
				if shown(got) != shown(want) {
					t.Errorf("%v %v:\n%s\nwant\n%s", f, by, shown(got), shown(want))
				}
			}
		}
	}
}

func shown(groups []actuals.Group) (all string) {
	for _, g := range groups {
		all += fmt.Sprintf("%q %d %d %d %s %s", fmt.Sprint(g.Key), g.Jobs, g.EstimatedOnly, g.ActualOnly, g.Estimated.Trim(0), g.Actual.Trim(0))
		for _, r := range g.Spread {
			all += " " + r.Trim(0).String()
		}
		all += "\n"
	}
	return all
}

func TestARecordReadsBack(t *testing.T) {
	t.Parallel()
	s := storetest.New(t)
	insert(t, s, "q1")
	_, err := s.Actuals(scoped(), company, "q1", nil)
	wantFault(t, err, fault.NotFound, "ACTUALS_NOT_FOUND")
	_, err = s.Actuals(scoped(), company, "none", nil)
	wantFault(t, err, fault.NotFound, "QUOTE_NOT_FOUND")
	a := someActuals(rand.New(rand.NewPCG(1, 1)), "q1")
	a.LabourPaid = new(decimal.MustParse("880.40"))
	kept := finish(t, s, "first", a)
	if got := finish(t, s, "first", a); !reflect.DeepEqual(got, kept) || got.Version != 1 {
		t.Errorf("again: %v, want %v", got, kept)
	}
	want := a
	want.Company, want.Job, want.Version, want.RecordedAt, want.Principal = company, "q1", 1, made, "ann"
	if fmt.Sprint(kept) != fmt.Sprint(want) && !reflect.DeepEqual(kept.Lines[0], want.Lines[0]) {
		t.Errorf("read back as %v, want %v", kept, want)
	}
	for i, l := range kept.Lines {
		if !reflect.DeepEqual(l, want.Lines[i]) && (len(l.Rates) > 0 || len(want.Lines[i].Rates) > 0) {
			t.Errorf("line %d read back as %v, want %v", i, l, want.Lines[i])
		}
	}
	_, err = s.RecordActuals(scoped(), key("RecordActuals", "refused", ""), kept, func(p estimating.Place, newest int) error {
		return fault.New(fault.Refused, "NO", "%s has %d", p.Job, newest)
	})
	wantFault(t, err, fault.Refused, "NO")
	if got, err := s.Actuals(scoped(), company, "q1", nil); err != nil || got.Version != 1 {
		t.Errorf("the newest is %v, %v", got.Version, err)
	}
}

// Of many jobs of two companies, those that were finished within a month are
// found by their index, as the service role and so under row-level security.
func TestFinishedJobsUseTheirIndex(t *testing.T) {
	t.Parallel()
	_, db := storetest.NewWithDB(t)
	fillActuals(t, db.AdminURL(), 5000)
	service := connect(t, db.ServiceURL())
	for _, sql := range []string{`select count(*) from job_actuals a where` + postgres.Finished, postgres.FinishedJobs} {
		for _, mode := range []string{"force_custom_plan", "force_generic_plan"} {
			found := false
			for _, n := range explained(t, service, mode, sql) {
				found = found || n.Index == "job_actuals_by_finished" && strings.Contains(n.Cond, "company =") && strings.Contains(n.Cond, "finished_on >=") && strings.Contains(n.Cond, "finished_on <=")
			}
			if !found {
				t.Errorf("%s: the plan of %s does not use job_actuals_by_finished", mode, sql)
			}
		}
	}
}

// fillActuals gives two companies n finished jobs each of ten tasks and five
// materials, over four years.
func fillActuals(t testing.TB, adminURL string, n int) {
	t.Helper()
	admin := connect(t, adminURL)
	for _, sql := range []string{
		`insert into quote (company, id, created_at, as_of, valid_until, book_revision, book_hash, rules_version, fingerprint_version, fingerprint, currency, total)
			select c, i::text, now(), now(), now(), 0, sha256('a'), 3, 1, sha256('a'), 'USD', 1
			from unnest(array['ash', 'harrow']) c, generate_series(1, $1) i`,
		`insert into job_actuals (company, job, version, office, quote_id, finished_on, crew, hours_of, currency, recorded_at, principal)
			select company, id, 1, 'main', id, date '2022-01-01' + id::int % 1461, 'crew-' || id::int % 8, 'person', 'USD', now(), 'ann' from quote where id::int <= $1`,
		`insert into job_actuals_line (company, job, version, kind, name, office, category, unit, estimated, actual, estimated_cost, rates)
			select company, job, 1, case when k < 10 then 'task' else 'material' end, 'thing-' || k, 'main', case when k < 10 then 'labour' else 'posts' end,
				case when k < 10 then 'hour' else 'each' end, 10 + k, 8 + (job::int * 7 + k) % 9, 100, case when k < 10 then array['rate-thing-' || k || ' 0.5 hour/each'] else '{}' end
			from job_actuals, generate_series(0, 14) k where job::int <= $1`,
	} {
		if _, err := admin.Exec(scoped(), sql, n); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := admin.Exec(scoped(), `analyze job_actuals, job_actuals_line`); err != nil {
		t.Fatal(err)
	}
}

// explained is a plan of a query of finished jobs, within a month.
func explained(t *testing.T, service *pgx.Conn, mode, sql string) []node {
	t.Helper()
	kinds, args := `text, date, date, text[], text`, `'harrow', '2023-03-01', '2023-03-31', '{}', ''`
	if sql == postgres.FinishedJobs {
		kinds, args = `text, date, date, text[], text, date, text, bigint`, `'harrow', '2023-03-01', '2023-03-31', '{}', '', '9999-12-31', '', 100`
	}
	return planOf(t, service, mode, company, kinds, sql, args, "").all()
}

// Of many who record one job at once, each makes a version of his own, and each
// is told which came before his.
func TestRecordsAtOnceAreOneAfterAnother(t *testing.T) {
	t.Parallel()
	const people = 8
	s := storetest.New(t)
	insert(t, s, "q1")
	a := someActuals(rand.New(rand.NewPCG(2, 2)), "q1")
	a.Company, a.RecordedAt = company, made
	var wg sync.WaitGroup
	seen := make([]int, people)
	for i := range people {
		wg.Go(func() {
			id := fmt.Sprint("at-once-", i)
			kept, err := s.RecordActuals(scoped(), key("RecordActuals", id, id), a, func(_ estimating.Place, newest int) error {
				seen[i] = newest
				return nil
			})
			if err != nil || kept.Version != seen[i]+1 {
				t.Errorf("version %d after %d, %v", kept.Version, seen[i], err)
			}
		})
	}
	wg.Wait()
	slices.Sort(seen)
	for i, newest := range seen {
		if newest != i {
			t.Fatalf("told of %v", seen)
		}
	}
}

func TestASummaryIsBounded(t *testing.T) {
	t.Parallel()
	s := storetest.New(t)
	insert(t, s, "q1")
	a := estimating.Actuals{Quote: "q1", Office: "main", FinishedOn: civil.Must("2026-03-02"), Crew: "crew-1", Currency: "USD"}
	for i := range 5001 {
		a.Lines = append(a.Lines, actuals.Line{Kind: actuals.Material, Name: fmt.Sprint("thing-", i), Unit: "each", Actual: new(decimal.One)})
	}
	finish(t, s, "many", a)
	_, _, err := s.SummarizeActuals(scoped(), estimating.ActualsFilter{Company: company}, actuals.By{Subject: actuals.ByItem})
	wantFault(t, err, fault.Exhausted, "SUMMARY_TOO_LARGE")
	if groups, _, err := s.SummarizeActuals(scoped(), estimating.ActualsFilter{Company: company}, actuals.By{Subject: actuals.ByCategory}); err != nil || len(groups) != 1 {
		t.Errorf("%d categories, %v", len(groups), err)
	}
}
