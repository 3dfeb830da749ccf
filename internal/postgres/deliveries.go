package postgres

import (
	"context"
	"slices"
	"time"

	"github.com/jackc/pgx/v5"

	"wattle/internal/estimating"
	"wattle/internal/fault"
	"wattle/internal/jobs"
)

// mostListedAttempts is how many entries of its log a listed delivery has, the
// newest ones.
const mostListedAttempts = 20

// PingWebhook makes an event for one webhook alone, and its delivery.
func (s *Store) PingWebhook(ctx context.Context, key estimating.RequestKey, id string) (e estimating.Event, err error) {
	err = s.within(ctx, key.Company, write, func(q querier) error {
		r, _, err := once(ctx, q, key, func() (result, error) {
			w, err := liveWebhook(ctx, q, key.Company, id)
			if err != nil {
				return result{}, err
			}
			subject := "companies/" + key.Company + "/webhooks/" + id
			if err := lockName(ctx, q, "event/"+subject); err != nil {
				return result{}, err
			}
			var pings int64
			err = q.QueryRow(ctx, `select coalesce(max(sequence), 0) from event where company = $1 and subject = $2`, key.Company, subject).Scan(&pings)
			if err != nil {
				return result{}, err
			}
			ping := estimating.Event{Company: key.Company, Office: w.Office, Type: estimating.WebhookPinged, Subject: subject, Sequence: pings + 1}
			if ping.ID, err = record(ctx, q, ping); err != nil {
				return result{}, err
			}
			return result{Event: ping.ID}, addDeliveries(ctx, q, ping, []string{id})
		})
		if err != nil {
			return err
		}
		e, err = eventByID(ctx, q, key.Company, r.Event)
		return err
	})
	return e, err
}

// ListDeliveries is newest first, each with its newest tries.
func (s *Store) ListDeliveries(ctx context.Context, f estimating.DeliveryFilter) (list []estimating.Delivery, err error) {
	err = s.within(ctx, f.Company, read, func(q querier) error {
		if _, err := liveWebhook(ctx, q, f.Company, f.Webhook); err != nil {
			return err
		}
		rows, err := q.Query(ctx, `
			select d.created_at, coalesce(a.outcome, ''), `+eventColumns+`
			from webhook_delivery d
			join event e on e.company = d.company and e.id = d.event_id
			left join lateral (
				select outcome from webhook_attempt a
				where a.company = d.company and a.webhook = d.webhook and a.event_id = d.event_id
				order by number desc
				limit 1
			) a on true
			where d.company = $1 and d.webhook = $2
				and ($3 = '' or (d.created_at, d.event_id) < (
					select b.created_at, b.event_id from webhook_delivery b
					where b.company = $1 and b.webhook = $2 and b.event_id = nullif($3, '')::uuid))
				and ($4 = '' or $4 = coalesce(nullif(a.outcome, 'replayed'), 'pending'))
			order by d.created_at desc, d.event_id desc
			limit $5`, f.Company, f.Webhook, f.BeforeEvent, string(f.State), f.Limit)
		if err != nil {
			return err
		}
		list, err = pgx.CollectRows(rows, func(row pgx.CollectableRow) (d estimating.Delivery, err error) {
			var newest string
			err = row.Scan(&d.CreatedAt, &newest, &d.Event.ID, &d.Event.Office, &d.Event.Type, &d.Event.Subject, &d.Event.Sequence, &d.Event.Time)
			d.Company, d.Webhook, d.CreatedAt = f.Company, f.Webhook, d.CreatedAt.UTC()
			d.Event.Company, d.Event.Time = f.Company, d.Event.Time.UTC()
			d.State = estimating.StateAfter(newest)
			return d, err
		})
		if err != nil {
			return err
		}
		return addAttempts(ctx, q, f, list)
	})
	return list, err
}

// addAttempts gives each delivery its newest tries, oldest first.
func addAttempts(ctx context.Context, q querier, f estimating.DeliveryFilter, list []estimating.Delivery) error {
	at := make(map[string]int, len(list))
	events := make([]string, len(list))
	for i, d := range list {
		at[d.Event.ID], events[i] = i, d.Event.ID
	}
	rows, err := q.Query(ctx, `
		select a.event_id::text, a.at, a.outcome, a.status, a.reason, a.took_ms
		from unnest($3::text[]) as wanted (event_id)
		cross join lateral (
			select event_id, number, at, outcome, status, reason, took_ms
			from webhook_attempt
			where company = $1 and webhook = $2 and event_id = wanted.event_id::uuid
			order by number desc
			limit $4
		) a
		order by a.number`, f.Company, f.Webhook, events, mostListedAttempts)
	if err != nil {
		return err
	}
	type entry struct {
		event string
		estimating.Attempt
	}
	entries, err := pgx.CollectRows(rows, func(row pgx.CollectableRow) (e entry, err error) {
		var took int64
		err = row.Scan(&e.event, &e.At, &e.Outcome, &e.Status, &e.Reason, &took)
		e.At, e.Took = e.At.UTC(), time.Duration(took)*time.Millisecond
		return e, err
	})
	for _, e := range entries {
		d := &list[at[e.event]]
		d.Attempts = append(d.Attempts, e.Attempt)
	}
	return err
}

// ReplayDeliveries has one delivery tried again, whatever became of it, or all
// dead ones of a webhook since a time, and answers how many.
func (s *Store) ReplayDeliveries(ctx context.Context, key estimating.RequestKey, r estimating.Redelivery) (count int, err error) {
	err = s.within(ctx, key.Company, write, func(q querier) error {
		done, _, err := once(ctx, q, key, func() (result, error) {
			if err := lockName(ctx, q, deliveriesLock(key.Company)); err != nil {
				return result{}, err
			}
			if _, err := liveWebhook(ctx, q, key.Company, r.Webhook); err != nil {
				return result{}, err
			}
			rows, err := q.Query(ctx, `
				insert into webhook_attempt (company, webhook, event_id, outcome)
				select d.company, d.webhook, d.event_id, 'replayed'
				from webhook_delivery d
				left join lateral (
					select outcome, at from webhook_attempt a
					where a.company = d.company and a.webhook = d.webhook and a.event_id = d.event_id
					order by number desc
					limit 1
				) a on true
				where d.company = $1 and d.webhook = $2
					and case when $3 = '' then a.outcome = 'dead' and a.at >= $4 else d.event_id = nullif($3, '')::uuid end
				returning event_id::text`, key.Company, r.Webhook, r.Event, r.Since)
			if err != nil {
				return result{}, err
			}
			events, err := pgx.CollectRows(rows, pgx.RowTo[string])
			if err != nil {
				return result{}, err
			}
			if r.Event != "" && len(events) == 0 {
				return result{}, noDelivery(key.Company, r)
			}
			return result{Webhook: r.Webhook, Count: len(events)}, enqueueDeliveries(ctx, q, key.Company, r.Webhook, events)
		})
		count = done.Count
		return err
	})
	return count, err
}

func noDelivery(company string, r estimating.Redelivery) error {
	return fault.New(fault.NotFound, "DELIVERY_NOT_FOUND", "no delivery of event %q to this webhook is known", r.Event).
		About("delivery", "companies/"+company+"/webhooks/"+r.Webhook+"/deliveries/"+r.Event)
}

// resumeDeliveries gives a job to each delivery that has not ended.
func resumeDeliveries(ctx context.Context, q querier, company, webhook string) error {
	rows, err := q.Query(ctx, `
		select d.event_id::text
		from webhook_delivery d
		where d.company = $1 and d.webhook = $2 and coalesce((
			select a.outcome from webhook_attempt a
			where a.company = d.company and a.webhook = d.webhook and a.event_id = d.event_id
			order by a.number desc
			limit 1), '') not in ('delivered', 'dead')
		order by d.created_at, d.event_id`, company, webhook)
	if err != nil {
		return err
	}
	events, err := pgx.CollectRows(rows, pgx.RowTo[string])
	if err != nil {
		return err
	}
	return enqueueDeliveries(ctx, q, company, webhook, events)
}

func enqueueDeliveries(ctx context.Context, q querier, company, webhook string, events []string) error {
	for part := range slices.Chunk(events, eventChunk) {
		args := make([]jobs.Args, len(part))
		for i, event := range part {
			args[i] = jobs.Delivery{Company: company, Webhook: webhook, Event: event}
		}
		if err := enqueue(ctx, q, args...); err != nil {
			return err
		}
	}
	return nil
}
