package postgres

import (
	"context"

	"wattle/internal/estimating"
	"wattle/internal/jobs"
)

// emit records an event in the transaction that makes it happen, with the job
// that tells it to subscribers: either all of it is stored or nothing. Of e the
// fields that the store gives are ignored.
func emit(ctx context.Context, q querier, e estimating.Event) error {
	id, err := record(ctx, q, e)
	if err != nil {
		return err
	}
	return enqueue(ctx, q, jobs.Event{Company: e.Company, Event: id})
}

// record stores an event for those who read events, and tells nobody.
func record(ctx context.Context, q querier, e estimating.Event) (id string, err error) {
	// The id is not read back from the row: who may write an event need not be
	// one who may read it.
	err = q.QueryRow(ctx, `
		with new as materialized (
			select uuid_v7() as id
		), added as (
			insert into event (company, id, office, type, subject, sequence)
			select $1, id, $2, $3, $4, $5 from new
		)
		insert into event_pending (company, event_id)
		select $1, id from new
		returning event_id::text`,
		e.Company, e.Office, e.Type, e.Subject, e.Sequence).Scan(&id)
	return id, err
}
