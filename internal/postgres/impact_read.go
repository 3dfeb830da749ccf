package postgres

import (
	"context"
	"errors"
	"time"

	"github.com/govalues/decimal"
	"github.com/jackc/pgx/v5"

	"wattle/internal/book"
	"wattle/internal/civil"
	"wattle/internal/estimating"
	"wattle/internal/fault"
)

func impactDay(ctx context.Context, q querier, company string, r book.Revision) (civil.Date, error) {
	var day time.Time
	err := q.QueryRow(ctx, `select as_of from impact where company = $1 and revision = $2`, company, int64(r)).Scan(&day)
	if errors.Is(err, pgx.ErrNoRows) {
		return civil.Date{}, fault.New(fault.NotFound, "IMPACT_NOT_FOUND", "what revision %d does to open quotes is not known yet", r)
	}
	return civil.Of(day), err
}

// ImpactSummary sums up what the caller sees.
func (s *Store) ImpactSummary(ctx context.Context, company string, r book.Revision) (sum estimating.ImpactSummary, err error) {
	sum.Revision = r
	err = s.within(ctx, company, readOnce, func(q querier) error {
		if sum.AsOf, err = impactDay(ctx, q, company, r); err != nil {
			return err
		}
		var done *time.Time
		err := q.QueryRow(ctx, `
			select (select at from impact_done where company = $1 and revision = $2), count(*) filter (where reason = ''), count(*) filter (where reason <> '')
			from impact_quote where company = $1 and revision = $2`, company, int64(r)).Scan(&done, &sum.Moved, &sum.Lost)
		if err != nil {
			return err
		}
		sum.DoneAt = timeOf(done)
		rows, err := q.Query(ctx, `
			select currency, count(*), sum(now_cost - then_cost)::text, sum(now_total - then_total)::text
			from impact_quote
			where company = $1 and revision = $2 and then_cost is not null and now_cost is not null
			group by currency
			order by currency`, company, int64(r))
		if err != nil {
			return err
		}
		sum.Sums, err = pgx.CollectRows(rows, func(row pgx.CollectableRow) (estimating.ImpactSum, error) {
			var one estimating.ImpactSum
			var cost, total string
			if err := row.Scan(&one.Currency, &one.Quotes, &cost, &total); err != nil {
				return one, err
			}
			return one, parseDecimals([]string{cost, total}, &one.Cost, &one.Total)
		})
		if err != nil {
			return err
		}
		rows, err = q.Query(ctx, `
			select item, count(*)
			from impact_quote, unnest(missing) as item
			where company = $1 and revision = $2
			group by item
			order by item`, company, int64(r))
		if err != nil {
			return err
		}
		sum.Missing, err = pgx.CollectRows(rows, pgx.RowToStructByPos[estimating.MissingItem])
		return err
	})
	return sum, err
}

// ListImpacts is by quote id.
func (s *Store) ListImpacts(ctx context.Context, company string, r book.Revision, after string, limit int) (list []estimating.Impact, err error) {
	err = s.within(ctx, company, read, func(q querier) error {
		rows, err := q.Query(ctx, `
			select quote_id, office, currency, then_cost::text, then_total::text, now_cost::text, now_total::text, missing, reason
			from impact_quote
			where company = $1 and revision = $2 and quote_id > $3
			order by quote_id
			limit $4`, company, int64(r), after, limit)
		if err != nil {
			return err
		}
		list, err = pgx.CollectRows(rows, scanImpact)
		return err
	})
	return list, err
}

func scanImpact(row pgx.CollectableRow) (estimating.Impact, error) {
	var i estimating.Impact
	var thenCost, thenTotal, nowCost, nowTotal *string
	err := row.Scan(&i.Quote, &i.Office, &i.Currency, &thenCost, &thenTotal, &nowCost, &nowTotal, &i.Missing, &i.Reason)
	if err == nil {
		i.Then, err = scanFigures(thenCost, thenTotal)
	}
	if err == nil {
		i.Now, err = scanFigures(nowCost, nowTotal)
	}
	return i, err
}

func scanFigures(cost, total *string) (*estimating.ImpactFigures, error) {
	if cost == nil || total == nil {
		return nil, nil
	}
	f := &estimating.ImpactFigures{}
	return f, parseDecimals([]string{*cost, *total}, &f.Cost, &f.Total)
}

func parseDecimals(texts []string, into ...*decimal.Decimal) (err error) {
	for i, text := range texts {
		if *into[i], err = decimal.Parse(text); err != nil {
			return err
		}
	}
	return nil
}
