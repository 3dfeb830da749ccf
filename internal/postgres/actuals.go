package postgres

import (
	"context"
	"errors"
	"strings"
	"time"

	"github.com/govalues/decimal"
	"github.com/jackc/pgx/v5"

	"wattle/internal/actuals"
	"wattle/internal/civil"
	"wattle/internal/estimating"
	"wattle/internal/fault"
)

// RecordActuals stores the next version of what a job used.
func (s *Store) RecordActuals(ctx context.Context, key estimating.RequestKey, a estimating.Actuals,
	allow func(p estimating.Place, newest int) error,
) (kept estimating.Actuals, err error) {
	err = s.within(ctx, key.Company, write, func(q querier) error {
		p, err := placeOf(ctx, q, key.Company, a.Quote)
		if err != nil {
			return err
		}
		if err := writesAt(ctx, a.Office); err != nil {
			return err
		}
		if err := lockName(ctx, q, "actuals/"+key.Company+"/"+p.Job); err != nil {
			return err
		}
		r, _, err := once(ctx, q, key, func() (result, error) {
			newest, err := newestActuals(ctx, q, key.Company, p.Job)
			if err != nil {
				return result{}, err
			}
			if err := allow(p, newest); err != nil {
				return result{}, err
			}
			a.Job, a.Version = p.Job, newest+1
			return result{Quote: a.Job, Version: a.Version}, insertActuals(ctx, q, a)
		})
		if err != nil {
			return err
		}
		kept, err = actualsAt(ctx, q, key.Company, r.Quote, r.Version)
		return err
	})
	return kept, err
}

// placeOf is where a quote stands among those of its job: up to the first by what
// each changes, and from there down to the change orders that were accepted.
func placeOf(ctx context.Context, q querier, company, id string) (p estimating.Place, err error) {
	err = q.QueryRow(ctx, `
		with recursive up as (
			select s.quote_id, s.changes from quote_state s where s.company = $1 and s.quote_id = $2
			union all
			select s.quote_id, s.changes from up join quote_state s on s.company = $1 and s.quote_id = up.changes
		), down as (
			select s.quote_id, s.state, s.updated_at from up join quote_state s on s.company = $1 and s.quote_id = up.quote_id
			where up.changes is null
			union all
			select s.quote_id, s.state, s.updated_at from down join quote_state s on s.company = $1 and s.changes = down.quote_id
			where s.state = 'accepted'
		)
		select (select quote_id from up where changes is null),
			coalesce((select quote_id from down where state = 'accepted' order by updated_at desc, quote_id desc limit 1), '')
		from up limit 1`, company, id).Scan(&p.Job, &p.Newest)
	if errors.Is(err, pgx.ErrNoRows) {
		return p, noQuote(company, id)
	}
	return p, err
}

// newestActuals is the newest version of a job's record; 0 where there is none.
func newestActuals(ctx context.Context, q querier, company, job string) (version int, err error) {
	err = q.QueryRow(ctx, `select coalesce(max(version), 0) from job_actuals where company = $1 and job = $2`, company, job).Scan(&version)
	return version, err
}

// Actuals is a version of the job that a quote belongs to.
func (s *Store) Actuals(ctx context.Context, company, id string, version *int) (a estimating.Actuals, err error) {
	err = s.within(ctx, company, readOnce, func(q querier) error {
		p, err := placeOf(ctx, q, company, id)
		if err != nil {
			return err
		}
		if version == nil {
			newest, err := newestActuals(ctx, q, company, p.Job)
			if err != nil {
				return err
			}
			version = &newest
		}
		a, err = actualsAt(ctx, q, company, p.Job, *version)
		return err
	})
	return a, err
}

func actualsAt(ctx context.Context, q querier, company, job string, version int) (estimating.Actuals, error) {
	rows, err := q.Query(ctx, `
		select `+actualsColumns+`
		from job_actuals a
		where a.company = $1 and a.job = $2 and a.version = $3`, company, job, version)
	if err != nil {
		return estimating.Actuals{}, err
	}
	a, err := pgx.CollectExactlyOneRow(rows, scanActuals)
	if errors.Is(err, pgx.ErrNoRows) {
		what := "what this job used is not recorded"
		if version > 0 {
			what = "there is no such version of what this job used"
		}
		return a, fault.New(fault.NotFound, "ACTUALS_NOT_FOUND", "%s", what).About("quote", "companies/"+company+"/quotes/"+job)
	}
	if err != nil {
		return a, err
	}
	rows, err = q.Query(ctx, `
		select kind, name, category, unit, estimated::text, actual::text, estimated_cost::text, paid::text, rates
		from job_actuals_line
		where company = $1 and job = $2 and version = $3
		order by array_position(array['material', 'task', 'labour'], kind), name`, company, job, version)
	if err != nil {
		return a, err
	}
	a.Lines, err = pgx.CollectRows(rows, scanActualsLine)
	return a, err
}

// ListActuals is the newest version of each job, the last finished first.
func (s *Store) ListActuals(ctx context.Context, f estimating.ActualsFilter) (list []estimating.Actuals, err error) {
	err = s.within(ctx, f.Company, read, func(q querier) error {
		before := lastDay
		if !f.BeforeFinished.IsZero() {
			before = f.BeforeFinished.Time()
		}
		rows, err := q.Query(ctx, finishedJobs, append(finishedArgs(f), before, f.BeforeJob, f.Limit)...)
		if err != nil {
			return err
		}
		list, err = pgx.CollectRows(rows, scanActuals)
		return err
	})
	return list, err
}

// Days before and after all others, in place of none.
var (
	firstDay = civil.Date{Year: 1, Month: 1, Day: 1}.Time()
	lastDay  = civil.Date{Year: 9999, Month: 12, Day: 31}.Time()
)

// finished are the jobs that a filter selects, as a, each at its newest version.
const finished = `
	a.company = $1 and a.finished_on between $2 and $3 and (cardinality($4::text[]) = 0 or a.office = any ($4)) and ($5 = '' or a.crew = $5)
		and not exists (select from job_actuals n where n.company = a.company and n.job = a.job and n.version = a.version + 1)`

const finishedJobs = `
	select ` + actualsColumns + `
	from job_actuals a
	where` + finished + ` and a.finished_on <= $6 and (a.finished_on < $6 or $7 = '' or a.job < $7)
	order by a.finished_on desc, a.job desc
	limit $8`

func finishedArgs(f estimating.ActualsFilter) []any {
	from, to := firstDay, lastDay
	if !f.From.IsZero() {
		from = f.From.Time()
	}
	if !f.To.IsZero() {
		to = f.To.Time()
	}
	offices := f.Offices
	if offices == nil {
		offices = []string{}
	}
	return []any{f.Company, from, to, offices, f.Crew}
}

// actualsColumns are the columns of job_actuals as a in the order of scanActuals.
const actualsColumns = `a.company, a.job, a.version, a.office, a.quote_id, a.finished_on, a.crew, coalesce(a.hours_of, ''), a.currency,
	a.labour_paid::text, a.recorded_at, a.principal`

func scanActuals(row pgx.CollectableRow) (estimating.Actuals, error) {
	var a estimating.Actuals
	var on time.Time
	var paid *string
	err := row.Scan(&a.Company, &a.Job, &a.Version, &a.Office, &a.Quote, &on, &a.Crew, &a.HoursOf, &a.Currency, &paid, &a.RecordedAt, &a.Principal)
	if err != nil {
		return a, err
	}
	a.FinishedOn, a.RecordedAt = civil.Of(on), a.RecordedAt.UTC()
	return a, parseOptional([]*string{paid}, &a.LabourPaid)
}

func scanActualsLine(row pgx.CollectableRow) (actuals.Line, error) {
	var l actuals.Line
	var estimated, actual, cost, paid *string
	var rates []string
	err := row.Scan(&l.Kind, &l.Name, &l.Category, &l.Unit, &estimated, &actual, &cost, &paid, &rates)
	if err != nil {
		return l, err
	}
	if l.Rates, err = actuals.ParseRates(strings.Join(rates, "\n")); err != nil {
		return l, err
	}
	return l, parseOptional([]*string{estimated, actual, cost, paid}, &l.Estimated, &l.Actual, &l.EstimatedCost, &l.Paid)
}

// parseOptional is parseDecimals of columns that may be null.
func parseOptional(texts []*string, into ...**decimal.Decimal) error {
	for i, text := range texts {
		if text == nil {
			continue
		}
		d, err := decimal.Parse(*text)
		if err != nil {
			return err
		}
		*into[i] = &d
	}
	return nil
}

// textOrNull is a decimal for a column that may be null.
func textOrNull(d *decimal.Decimal) *string {
	if d == nil {
		return nil
	}
	return new(d.String())
}

func insertActuals(ctx context.Context, q querier, a estimating.Actuals) error {
	batch := &pgx.Batch{}
	batch.Queue(`
		insert into job_actuals (company, job, version, office, quote_id, finished_on, crew, hours_of, currency, labour_paid, recorded_at, principal)
		values ($1, $2, $3, $4, $5, $6, $7, nullif($8, ''), $9, $10::text::numeric, $11, $12)`,
		a.Company, a.Job, a.Version, a.Office, a.Quote, a.FinishedOn.Time(), a.Crew, string(a.HoursOf), string(a.Currency),
		textOrNull(a.LabourPaid), a.RecordedAt, a.Principal)
	for _, l := range a.Lines {
		batch.Queue(`
			insert into job_actuals_line (company, job, version, kind, name, office, category, unit, estimated, actual, estimated_cost, paid, rates)
			values ($1, $2, $3, $4, $5, $6, $7, $8, $9::text::numeric, $10::text::numeric, $11::text::numeric, $12::text::numeric, $13)`,
			a.Company, a.Job, a.Version, string(l.Kind), l.Name, a.Office, string(l.Category), l.Unit,
			textOrNull(l.Estimated), textOrNull(l.Actual), textOrNull(l.EstimatedCost), textOrNull(l.Paid), actuals.RateTexts(l.Rates))
	}
	if err := q.SendBatch(ctx, batch).Close(); err != nil {
		return err
	}
	return emit(ctx, q, estimating.Event{
		Company: a.Company, Office: a.Office, Type: estimating.ActualsRecorded,
		Subject: "companies/" + a.Company + "/quotes/" + a.Job + "/actuals", Sequence: int64(a.Version),
	})
}
