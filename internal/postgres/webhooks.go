package postgres

import (
	"context"
	"errors"
	"time"

	"github.com/jackc/pgx/v5"

	"wattle/internal/estimating"
	"wattle/internal/fault"
)

// mostWebhooks is how many a company may have: each event is told to all of
// them.
const mostWebhooks = 100

// CreateWebhook stores a webhook with its first secret, and reports whether it
// did; where the key was used before, that call's webhook is the answer.
func (s *Store) CreateWebhook(ctx context.Context, key estimating.RequestKey, w estimating.Webhook, sealed []byte) (kept estimating.Webhook, made bool, err error) {
	err = s.within(ctx, key.Company, write, func(q querier) error {
		r, first, err := once(ctx, q, key, func() (result, error) {
			if err := webhookRoom(ctx, q, w.Company); err != nil {
				return result{}, err
			}
			_, err := q.Exec(ctx, `insert into webhook (company, id, office, url, types) values ($1, $2, $3, $4, coalesce($5::text[], '{}'))`,
				w.Company, w.ID, w.Office, w.URL, w.Types)
			if err != nil {
				return result{}, err
			}
			return result{Webhook: w.ID}, insertSecret(ctx, q, w, 1, sealed, 0)
		})
		if err != nil {
			return err
		}
		made = first
		kept, err = webhookByID(ctx, q, key.Company, r.Webhook)
		return err
	})
	return kept, made, err
}

func webhookRoom(ctx context.Context, q querier, company string) error {
	if err := lockName(ctx, q, "webhook_room/"+company); err != nil {
		return err
	}
	var count int
	err := q.QueryRow(ctx, `select count(*) from webhook where company = $1 and state <> 'deleted'`, company).Scan(&count)
	if err == nil && count >= mostWebhooks {
		err = fault.New(fault.Refused, "WEBHOOKS_TOO_MANY", "the company has %d webhooks, and may not have more: delete one first", count)
	}
	return err
}

// Webhook is NotFound (WEBHOOK_NOT_FOUND) where there is none, or it is deleted.
func (s *Store) Webhook(ctx context.Context, company, id string) (w estimating.Webhook, err error) {
	err = s.within(ctx, company, read, func(q querier) error {
		w, err = liveWebhook(ctx, q, company, id)
		return err
	})
	return w, err
}

// ListWebhooks is by id, without what is deleted.
func (s *Store) ListWebhooks(ctx context.Context, f estimating.WebhookFilter) (list []estimating.Webhook, err error) {
	err = s.within(ctx, f.Company, read, func(q querier) error {
		rows, err := q.Query(ctx, `
			select `+webhookColumns+` from webhook w
			where w.company = $1 and w.id > $2 and w.state <> 'deleted'
			order by w.id
			limit $3`, f.Company, f.After, f.Limit)
		if err != nil {
			return err
		}
		list, err = pgx.CollectRows(rows, scanWebhook)
		return err
	})
	return list, err
}

// SetWebhookState pauses a webhook, takes it up again, or deletes it. What was
// not told while it was paused is told when it is taken up.
func (s *Store) SetWebhookState(ctx context.Context, key estimating.RequestKey, id string, state estimating.WebhookState) (w estimating.Webhook, err error) {
	err = s.within(ctx, key.Company, write, func(q querier) error {
		_, first, err := once(ctx, q, key, func() (result, error) {
			_, err := liveWebhook(ctx, q, key.Company, id)
			return result{Webhook: id}, err
		})
		if err != nil {
			return err
		}
		if first {
			if err := setWebhookState(ctx, q, key.Company, id, state); err != nil {
				return err
			}
		}
		w, err = webhookByID(ctx, q, key.Company, id)
		return err
	})
	return w, err
}

func setWebhookState(ctx context.Context, q querier, company, id string, state estimating.WebhookState) error {
	// Whoever adds deliveries, or leaves one because the webhook is paused,
	// holds this lock shared. So each delivery is seen below, or sees the state.
	if err := lockName(ctx, q, deliveriesLock(company)); err != nil {
		return err
	}
	if _, err := q.Exec(ctx, `update webhook set state = $3 where company = $1 and id = $2`, company, id, string(state)); err != nil {
		return err
	}
	switch state {
	case estimating.WebhookActive:
		return resumeDeliveries(ctx, q, company, id)
	case estimating.WebhookDeleted:
		_, err := q.Exec(ctx, `delete from webhook_secret where company = $1 and webhook = $2`, company, id)
		return err
	case estimating.WebhookPaused: // what is under way sees the state
	}
	return nil
}

// RotateWebhookSecret adds a secret that signs from now on; the one before it
// goes on signing too for the overlap. It reports false where the key was used
// before.
func (s *Store) RotateWebhookSecret(ctx context.Context, key estimating.RequestKey, id string, sealed []byte, overlap time.Duration) (w estimating.Webhook, made bool, err error) {
	err = s.within(ctx, key.Company, write, func(q querier) error {
		if err := lockName(ctx, q, "webhook_secret/"+key.Company+"/"+id); err != nil {
			return err
		}
		_, first, err := once(ctx, q, key, func() (result, error) {
			w, err := liveWebhook(ctx, q, key.Company, id)
			if err != nil {
				return result{}, err
			}
			var newest int
			err = q.QueryRow(ctx, `select coalesce(max(number), 0) from webhook_secret where company = $1 and webhook = $2`, key.Company, id).Scan(&newest)
			if err != nil {
				return result{}, err
			}
			return result{Webhook: id}, insertSecret(ctx, q, w, newest+1, sealed, overlap)
		})
		if err != nil {
			return err
		}
		made = first
		w, err = webhookByID(ctx, q, key.Company, id)
		return err
	})
	return w, made, err
}

func insertSecret(ctx context.Context, q querier, w estimating.Webhook, number int, sealed []byte, overlap time.Duration) error {
	_, err := q.Exec(ctx, `
		insert into webhook_secret (company, webhook, number, sealed, overlap)
		values ($1, $2, $3, $4, make_interval(secs => $5))`, w.Company, w.ID, number, sealed, overlap.Seconds())
	return err
}

// liveWebhook is a webhook that is not deleted.
func liveWebhook(ctx context.Context, q querier, company, id string) (estimating.Webhook, error) {
	w, err := webhookByID(ctx, q, company, id)
	if err == nil && w.State == estimating.WebhookDeleted {
		err = noWebhook(company, id)
	}
	return w, err
}

func webhookByID(ctx context.Context, q querier, company, id string) (estimating.Webhook, error) {
	rows, err := q.Query(ctx, `select `+webhookColumns+` from webhook w where w.company = $1 and w.id = $2`, company, id)
	if err != nil {
		return estimating.Webhook{}, err
	}
	w, err := pgx.CollectExactlyOneRow(rows, scanWebhook)
	if errors.Is(err, pgx.ErrNoRows) {
		err = noWebhook(company, id)
	}
	return w, err
}

func noWebhook(company, id string) error {
	return fault.New(fault.NotFound, "WEBHOOK_NOT_FOUND", "there is no webhook %q", id).
		About("webhook", "companies/"+company+"/webhooks/"+id)
}

// webhookColumns are the columns of webhook as w in the order of scanWebhook.
const webhookColumns = `w.company, w.id, w.office, w.url, w.types, w.state, w.created_at`

func scanWebhook(row pgx.CollectableRow) (estimating.Webhook, error) {
	var w estimating.Webhook
	var state string
	err := row.Scan(&w.Company, &w.ID, &w.Office, &w.URL, &w.Types, &state, &w.CreatedAt)
	w.State, w.CreatedAt = estimating.WebhookState(state), w.CreatedAt.UTC()
	return w, err
}
