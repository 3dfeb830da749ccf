package postgres

import (
	"context"
	"slices"
	"strings"

	"github.com/govalues/decimal"
	"github.com/jackc/pgx/v5"

	"wattle/internal/actuals"
	"wattle/internal/estimating"
	"wattle/internal/fault"
	"wattle/internal/money"
)

// mostGroups is the largest summary.
const mostGroups = 5000

// SummarizeActuals is actuals.Summarize of the newest version of each job, added
// up where the rows are.
func (s *Store) SummarizeActuals(ctx context.Context, f estimating.ActualsFilter, by actuals.By) (groups []actuals.Group, jobs int64, err error) {
	var kinds []string
	for _, k := range actuals.Kinds() {
		if by.Subject.Covers(k) {
			kinds = append(kinds, string(k))
		}
	}
	sql := lineShares
	if by.Subject == actuals.ByCategory {
		sql = categoryShares
	}
	err = s.within(ctx, f.Company, readOnce, func(q querier) error {
		if err := q.QueryRow(ctx, `select count(*) from job_actuals a where`+finished, finishedArgs(f)...).Scan(&jobs); err != nil {
			return err
		}
		// More than a session has by default, so that sorting needs no files.
		if _, err := q.Exec(ctx, `set local work_mem = '64MB'`); err != nil {
			return err
		}
		rows, err := q.Query(ctx, sql+sumOfShares, append(finishedArgs(f), kinds, by.Office, by.Crew, mostGroups+1)...)
		if err != nil {
			return err
		}
		groups, err = pgx.CollectRows(rows, scanGroup)
		return err
	})
	if err == nil && len(groups) > mostGroups {
		return nil, 0, fault.New(fault.Exhausted, "SUMMARY_TOO_LARGE", "the summary has more than %d groups; ask for a shorter time, one office or one crew", mostGroups)
	}
	slices.SortFunc(groups, func(a, b actuals.Group) int { return a.Compare(b.Key) })
	return groups, jobs, err
}

// A share is what one job adds to a group, as in actuals.Summarize. Of tasks and
// items a job has one line at most; of a category those that have both sides are
// added up first.
const lineShares = `
	with share as (
		select case when $7 then a.office else '' end as office, case when $8 then a.crew else '' end as crew, l.kind, l.name, l.unit,
			case when l.kind = 'material' then '' else coalesce(a.hours_of, '') end as hours_of, a.currency, l.rates,
			l.estimated, l.actual, l.estimated > 0 and l.actual is not null as compared, l.actual is null as planned
		from job_actuals a
		join job_actuals_line l on l.company = a.company and l.job = a.job and l.version = a.version
		where` + finished + ` and l.kind = any ($6)
	)`

const categoryShares = `
	with line as (
		select a.job, case when $7 then a.office else '' end as office, case when $8 then a.crew else '' end as crew, l.category as name, l.unit,
			case when l.kind = 'material' then '' else coalesce(a.hours_of, '') end as hours_of, a.currency,
			l.estimated, l.actual, l.estimated > 0 and l.actual is not null as compared
		from job_actuals a
		join job_actuals_line l on l.company = a.company and l.job = a.job and l.version = a.version
		where` + finished + ` and l.kind = any ($6)
	), share as (
		select office, crew, '' as kind, name, unit, hours_of, currency, '{}'::text[] as rates,
			sum(estimated) filter (where compared) as estimated, sum(actual) filter (where compared) as actual,
			coalesce(bool_or(compared), false) as compared, bool_or(actual is null) as planned
		from line
		group by job, office, crew, name, unit, hours_of, currency
	)`

// A ratio is in whole ten-thousandths, half up, so it is exact; and rounding
// keeps the order, so quantiles of rounded ratios are rounded quantiles. Quantiles
// need the rows sorted by group, and one text sorts several times as fast as what
// it is made of; no name has the character between them.
const sumOfShares = `
	select key, count(*) filter (where compared), count(*) filter (where not coalesce(compared, false) and planned), count(*) filter (where not coalesce(compared, false) and not planned),
		trim_scale(coalesce(sum(estimated) filter (where compared), 0))::text, trim_scale(coalesce(sum(actual) filter (where compared), 0))::text,
		coalesce(percentile_disc(array[0, 0.25, 0.5, 0.75, 1]) within group
			(order by case when compared then div(20000 * actual + estimated, 2 * estimated) end)::text[], '{}')
	from (
		select concat_ws(e'\x1f', name, office, crew, kind, unit, hours_of, currency, array_to_string(rates, e'\n')) collate "C" as key,
			compared, planned, estimated, actual
		from share
	) s
	group by key
	limit $9`

func scanGroup(row pgx.CollectableRow) (actuals.Group, error) {
	var g actuals.Group
	var key, estimated, actual string
	var spread []*string // null where no job is compared
	err := row.Scan(&key, &g.Jobs, &g.EstimatedOnly, &g.ActualOnly, &estimated, &actual, &spread)
	if err != nil {
		return g, err
	}
	parts := strings.Split(key, "\x1f")
	g.Name, g.Office, g.Crew, g.Kind, g.Unit = parts[0], parts[1], parts[2], actuals.Kind(parts[3]), parts[4]
	g.HoursOf, g.Currency, g.Rates = actuals.HoursOf(parts[5]), money.Currency(parts[6]), parts[7]
	for i, text := range spread {
		if text == nil {
			continue
		}
		var n decimal.Decimal
		if err := parseSums([]string{*text}, &n); err != nil {
			return g, err
		}
		var c money.Calc
		g.Spread[i] = c.Mul(n, tenThousandth)
		if err := c.Err(); err != nil {
			return g, err
		}
	}
	return g, parseSums([]string{estimated, actual}, &g.Estimated, &g.Actual)
}

var tenThousandth = decimal.MustNew(1, actuals.RatioScale)

// parseSums is parseDecimals of what may have grown larger than a decimal holds.
func parseSums(texts []string, into ...*decimal.Decimal) (err error) {
	for i, text := range texts {
		if *into[i], err = money.ParseDecimal(text); err != nil {
			return fault.Wrap(err, fault.Exhausted, "AMOUNT_OUT_OF_RANGE", "a sum needs more than the %d digits a decimal holds", decimal.MaxPrec)
		}
	}
	return nil
}
