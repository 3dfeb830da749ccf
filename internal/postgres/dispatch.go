package postgres

import (
	"context"
	"errors"

	"github.com/jackc/pgx/v5"

	"wattle/internal/estimating"
	"wattle/internal/fault"
	"wattle/internal/jobs"
)

// deliveriesLock is the lock between those who add deliveries or leave them
// (shared) and whoever changes a webhook's state.
func deliveriesLock(company string) string { return "webhook_delivery/" + company }

func shareDeliveries(ctx context.Context, q querier, company string) error {
	_, err := q.Exec(ctx, `select pg_advisory_xact_lock_shared($1)`, lockNumber(deliveriesLock(company)))
	return err
}

// Distribute makes a delivery and a job of an event for each webhook that
// subscribes to it, once: when it runs again it adds nothing.
func (s *Store) Distribute(ctx context.Context, company, event string) error {
	return s.within(ctx, company, write, func(q querier) error {
		if err := shareDeliveries(ctx, q, company); err != nil {
			return err
		}
		e, err := eventByID(ctx, q, company, event)
		if err != nil {
			return err
		}
		hooks, err := subscribers(ctx, q, e)
		if err != nil {
			return err
		}
		return addDeliveries(ctx, q, e, hooks)
	})
}

// subscribers are the ids of the webhooks that an event is for.
func subscribers(ctx context.Context, q querier, e estimating.Event) ([]string, error) {
	rows, err := q.Query(ctx, `
		select `+webhookColumns+` from webhook w
		where w.company = $1 and w.state <> 'deleted' and (cardinality(w.types) = 0 or $2 = any (w.types))`, e.Company, e.Type)
	if err != nil {
		return nil, err
	}
	hooks, err := pgx.CollectRows(rows, scanWebhook)
	if err != nil {
		return nil, err
	}
	if len(hooks) == 0 {
		return nil, nil
	}
	tree, err := treeOf(ctx, q, e.Company)
	if err != nil {
		return nil, err
	}
	var quotesFromAbove bool
	if err := q.QueryRow(ctx, `select quotes_from_above from company where company = $1`, e.Company).Scan(&quotesFromAbove); err != nil {
		return nil, err
	}
	var ids []string
	for _, w := range hooks {
		if w.Hears(e, tree, quotesFromAbove) {
			ids = append(ids, w.ID)
		}
	}
	return ids, nil
}

// addDeliveries adds those that are not there yet, and their jobs.
func addDeliveries(ctx context.Context, q querier, e estimating.Event, hooks []string) error {
	rows, err := q.Query(ctx, `
		insert into webhook_delivery (company, webhook, event_id)
		select $1, webhook, $3::text::uuid from unnest($2::text[]) as webhook
		on conflict on constraint webhook_delivery_pkey do nothing
		returning webhook`, e.Company, hooks, e.ID)
	if err != nil {
		return err
	}
	added, err := pgx.CollectRows(rows, pgx.RowTo[string])
	if err != nil {
		return err
	}
	var args []jobs.Args
	for _, webhook := range added {
		args = append(args, jobs.Delivery{Company: e.Company, Webhook: webhook, Event: e.ID})
	}
	return enqueue(ctx, q, args...)
}

// Delivery is what a worker needs for one try. Where there is nothing left to
// do it reports false.
func (s *Store) Delivery(ctx context.Context, company, webhook, event string) (d estimating.Dispatch, due bool, err error) {
	// Not read only: a lock is taken.
	err = s.within(ctx, company, write, func(q querier) error {
		if err := shareDeliveries(ctx, q, company); err != nil {
			return err
		}
		if d.Webhook, err = webhookByID(ctx, q, company, webhook); err != nil {
			return err
		}
		if d.Event, err = eventByID(ctx, q, company, event); err != nil {
			return err
		}
		var newest string
		err := q.QueryRow(ctx, `
			select coalesce((array_agg(outcome order by number desc))[1], ''),
			       count(*) filter (where outcome = 'failed' and number > coalesce(
			           (select max(number) from webhook_attempt where company = $1 and webhook = $2 and event_id = $3::text::uuid and outcome = 'replayed'), 0))
			from webhook_attempt
			where company = $1 and webhook = $2 and event_id = $3::text::uuid`, company, webhook, event).Scan(&newest, &d.Failures)
		if err != nil {
			return err
		}
		switch {
		case newest == estimating.Delivered, newest == estimating.Dead, d.Webhook.State == estimating.WebhookDeleted:
			return nil
		case d.Webhook.State == estimating.WebhookPaused && d.Event.Type != estimating.WebhookPinged:
			return nil // it gets a new job when the webhook is taken up again
		}
		due = true
		d.Sealed, err = signingSecrets(ctx, q, company, webhook)
		return err
	})
	return d, due, err
}

// signingSecrets are those that sign now, the newest first.
func signingSecrets(ctx context.Context, q querier, company, webhook string) ([][]byte, error) {
	rows, err := q.Query(ctx, `
		select sealed from (
			select sealed, number, lead(created_at + overlap) over (order by number) as last_use
			from webhook_secret
			where company = $1 and webhook = $2
		) s
		where last_use is null or last_use > now()
		order by number desc`, company, webhook)
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, pgx.RowTo[[]byte])
}

// RecordAttempt adds how a try went to the log.
func (s *Store) RecordAttempt(ctx context.Context, company, webhook, event string, a estimating.Attempt) error {
	return s.within(ctx, company, write, func(q querier) error {
		_, err := q.Exec(ctx, `
			insert into webhook_attempt (company, webhook, event_id, outcome, status, reason, took_ms)
			values ($1, $2, $3::text::uuid, $4, $5, $6, $7)`,
			company, webhook, event, a.Outcome, a.Status, a.Reason, a.Took.Milliseconds())
		return err
	})
}

func eventByID(ctx context.Context, q querier, company, id string) (e estimating.Event, err error) {
	err = q.QueryRow(ctx, `select `+eventColumns+` from event e where e.company = $1 and e.id = $2::text::uuid`, company, id).
		Scan(&e.ID, &e.Office, &e.Type, &e.Subject, &e.Sequence, &e.Time)
	if errors.Is(err, pgx.ErrNoRows) {
		return e, fault.New(fault.NotFound, "EVENT_NOT_FOUND", "there is no event %q", id)
	}
	e.Company, e.Time = company, e.Time.UTC()
	return e, err
}
