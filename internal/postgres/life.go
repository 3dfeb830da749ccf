package postgres

import (
	"cmp"
	"context"
	"time"

	"github.com/jackc/pgx/v5"

	"wattle/internal/book"
	"wattle/internal/civil"
	"wattle/internal/estimating"
	"wattle/internal/quote"
)

// expiry is the principal of what happens by itself.
const expiry = "expiry"

// MoveQuote stores the steps that decide makes of a quote as it stands.
func (s *Store) MoveQuote(ctx context.Context, key estimating.RequestKey, id string, at time.Time,
	decide func(estimating.Offer) ([]estimating.Step, error),
) (kept estimating.Record, err error) {
	err = s.within(ctx, key.Company, write, func(q querier) error {
		offer, err := lockOffer(ctx, q, key.Company, id)
		if err != nil {
			return err
		}
		// Under the lock, so that of two calls with one key the second sees what
		// the first has stored.
		was, err := earlier(ctx, q, key)
		if err != nil {
			return err
		}
		if was == nil {
			steps, err := decide(offer)
			if err != nil {
				return err
			}
			if err := take(ctx, q, key, offer, steps, at); err != nil {
				return err
			}
			if err := claimFirst(ctx, q, key, result{Quote: id}); err != nil {
				return err
			}
		}
		kept, err = quoteByID(ctx, q, key.Company, id)
		return err
	})
	return kept, err
}

// InsertQuoteBeside stores a quote whose place depends on another's.
func (s *Store) InsertQuoteBeside(ctx context.Context, key estimating.RequestKey, r estimating.Record, other string,
	join func(*estimating.Life, estimating.Offer) ([]estimating.Step, error),
) (kept estimating.Record, err error) {
	err = s.within(ctx, r.Company, write, func(q querier) error {
		offer, err := lockOffer(ctx, q, r.Company, other)
		if err != nil {
			return err
		}
		was, err := earlier(ctx, q, key)
		if err != nil {
			return err
		}
		if was != nil {
			kept, err = quoteByID(ctx, q, r.Company, was.Quote)
			return err
		}
		kept, kept.Life = r, estimating.Begin(r.ID, r.CreatedAt)
		steps, err := join(&kept.Life, offer)
		if err != nil {
			return err
		}
		if err := take(ctx, q, key, offer, steps, r.CreatedAt); err != nil {
			return err
		}
		if err := insertQuote(ctx, q, key, kept); err != nil {
			return err
		}
		return claimFirst(ctx, q, key, result{Quote: r.ID})
	})
	return kept, err
}

// ExpireQuotes expires issued quotes whose time has come, the longest ended
// first. It waits for nobody: who decides on a quote holds its lock.
func (s *Store) ExpireQuotes(ctx context.Context, company string, now time.Time, limit int) (n int, err error) {
	err = s.within(ctx, company, write, func(q querier) error {
		rows, err := q.Query(ctx, ended, company, now, limit)
		if err != nil {
			return err
		}
		ids, err := pgx.CollectRows(rows, pgx.RowTo[string])
		if err != nil {
			return err
		}
		quotes, err := quotesByID(ctx, q, company, ids)
		if err != nil {
			return err
		}
		for _, r := range quotes {
			if err := transition(ctx, q, r, estimating.Step{Quote: r.ID, Action: quote.Expire}, expiry, now); err != nil {
				return err
			}
		}
		n = len(quotes)
		return nil
	})
	return n, err
}

// ended are the issued quotes whose last day of validity has ended.
const ended = `
	select quote_id from quote_state
	where company = $1 and state = 'issued' and expires_at <= $2
	order by expires_at, quote_id
	limit $3
	for update skip locked`

// lockOffer is a quote and its option group as they stand until the transaction
// ends. Everybody locks the group's first quote before any other, so that nobody
// waits in a circle, and whoever joins the group is seen.
func lockOffer(ctx context.Context, q querier, company, id string) (estimating.Offer, error) {
	_, err := q.Exec(ctx, `
		select from quote_state g
		join quote_state s on s.company = g.company and s.option_group = g.quote_id
		where s.company = $1 and s.quote_id = $2
		for update of g`, company, id)
	if err != nil {
		return estimating.Offer{}, err
	}
	rows, err := q.Query(ctx, `
		select g.quote_id from quote_state g
		join quote_state s on s.company = g.company and s.option_group = g.option_group
		where s.company = $1 and s.quote_id = $2
		order by g.quote_id
		for update of g`, company, id)
	if err != nil {
		return estimating.Offer{}, err
	}
	ids, err := pgx.CollectRows(rows, pgx.RowTo[string])
	if err != nil {
		return estimating.Offer{}, err
	}
	group, err := quotesByID(ctx, q, company, ids)
	if err != nil {
		return estimating.Offer{}, err
	}
	var offer estimating.Offer
	for _, r := range group {
		if r.ID == id {
			offer.Quote = r
		} else {
			offer.Others = append(offer.Others, r)
		}
	}
	if offer.Quote.ID == "" {
		return offer, notLocked(ctx, q, company, id)
	}
	return offer, nil
}

// notLocked says why a quote could not be locked: who may not write where it is
// reads it, perhaps, but finds nothing to lock.
func notLocked(ctx context.Context, q querier, company, id string) error {
	seen, err := quotesByID(ctx, q, company, []string{id})
	if err != nil {
		return err
	}
	for _, r := range seen {
		if err := writesAt(ctx, r.Office); err != nil {
			return err
		}
	}
	return noQuote(company, id)
}

// take does the steps to the quotes of an offer.
func take(ctx context.Context, q querier, key estimating.RequestKey, o estimating.Offer, steps []estimating.Step, at time.Time) error {
	quotes := map[string]estimating.Record{o.Quote.ID: o.Quote}
	for _, other := range o.Others {
		quotes[other.ID] = other
	}
	for _, step := range steps {
		if err := transition(ctx, q, quotes[step.Quote], step, key.Principal, at); err != nil {
			return err
		}
	}
	return nil
}

// transition is the one place where a quote's state changes. Whoever calls it
// holds the lock of the quote's row.
func transition(ctx context.Context, q querier, r estimating.Record, step estimating.Step, principal string, at time.Time) error {
	from := r.Life
	to, err := from.State.After(step.Action)
	if err != nil {
		return err
	}
	next := from
	next.State, next.Sequence, next.UpdatedAt, next.Decision = to, from.Sequence+1, at, step.Decision
	if at.Before(from.UpdatedAt) { // another process whose clock is ahead
		next.UpdatedAt = from.UpdatedAt
	}
	if !step.ExpiresAt.IsZero() {
		next.ExpiresAt = step.ExpiresAt
	}
	r.Life = next
	batch := &pgx.Batch{}
	queueTransition(batch, r, step.Action, string(from.State), principal)
	batch.Queue(`
		update quote_state set state = $4, sequence = $5, updated_at = $6, expires_at = $7
		where company = $1 and quote_id = $2 and sequence = $3`,
		r.Company, r.ID, from.Sequence, string(next.State), next.Sequence, next.UpdatedAt, orNull(next.ExpiresAt))
	if !next.State.Open() {
		batch.Queue(`delete from quote_item where company = $1 and quote_id = $2`, r.Company, r.ID)
	}
	if err := q.SendBatch(ctx, batch).Close(); err != nil {
		return err
	}
	return emitQuote(ctx, q, r)
}

// emitQuote tells of the state that a quote has come to.
func emitQuote(ctx context.Context, q querier, r estimating.Record) error {
	return emit(ctx, q, estimating.Event{
		Company: r.Company, Office: cmp.Or(r.Office, book.MainOffice), Type: estimating.QuoteEvent(r.Life.State),
		Subject: "companies/" + r.Company + "/quotes/" + r.ID, Sequence: int64(r.Life.Sequence),
	})
}

// queueTransition adds the row that brought a quote where it stands now.
func queueTransition(batch *pgx.Batch, r estimating.Record, action quote.Action, from, principal string) {
	d := r.Life.Decision
	var on *time.Time
	if d.On != (civil.Date{}) {
		day := d.On.Time()
		on = &day
	}
	batch.Queue(`
		insert into quote_transition (company, quote_id, sequence, office, action, from_state, to_state, at, principal,
			decided_by, reference, decided_on)
		values ($1, $2, $3, $4, $5, nullif($6, ''), $7, $8, $9, nullif($10, ''), $11, $12)`,
		r.Company, r.ID, r.Life.Sequence, cmp.Or(r.Office, book.MainOffice), string(action), from, string(r.Life.State), r.Life.UpdatedAt, principal,
		string(d.By), d.Reference, on)
}

// queueLife adds the rows of a quote that was just made.
func queueLife(batch *pgx.Batch, r estimating.Record, principal string) {
	l := r.Life
	queueTransition(batch, r, quote.Create, "", principal)
	batch.Queue(`
		insert into quote_state (company, quote_id, office, root, revision_number, revises, changes, option_group,
			state, sequence, updated_at)
		values ($1, $2, $3, $4, $5, nullif($6, ''), nullif($7, ''), $8, $9, $10, $11)`,
		r.Company, r.ID, cmp.Or(r.Office, book.MainOffice), l.Root, l.RevisionNumber, l.Revises, l.Changes, l.OptionGroup,
		string(l.State), l.Sequence, l.UpdatedAt)
}
