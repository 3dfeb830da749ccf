package postgres

import (
	"context"
	"time"

	"github.com/jackc/pgx/v5"

	"wattle/internal/estimating"
)

const (
	// eventChunk is how many events are given their positions, or read past, in
	// one statement.
	eventChunk = 500
	// mostChunks is how many chunks one call reads past in search of what its
	// filter lets through.
	mostChunks = 20
)

// ReadEvents is the events after a position, in order, as far as the caller may
// see them, and the position read up to.
func (s *Store) ReadEvents(ctx context.Context, f estimating.EventFilter) (page estimating.EventPage, err error) {
	if err := s.PositionEvents(ctx, f.Company); err != nil {
		return page, err
	}
	page.Next = f.After
	err = s.within(ctx, f.Company, read, func(q querier) error {
		for range mostChunks {
			rows, err := eventsAfter(ctx, q, f, page.Next)
			if err != nil {
				return err
			}
			for _, r := range rows {
				if len(page.Events) == f.Limit {
					page.More = true
					return nil
				}
				page.Next = r.position
				if r.event != nil {
					page.Events = append(page.Events, *r.event)
				}
			}
			if len(rows) < eventChunk {
				return nil
			}
		}
		page.More = true
		return nil
	})
	return page, err
}

// EventHead is the position of the newest event; 0 where there is none.
func (s *Store) EventHead(ctx context.Context, company string) (head int64, err error) {
	if err := s.PositionEvents(ctx, company); err != nil {
		return 0, err
	}
	err = s.within(ctx, company, read, func(q querier) error {
		return q.QueryRow(ctx, `select coalesce(max(position), 0) from event_position where company = $1`, company).Scan(&head)
	})
	return head, err
}

// PositionEvents gives the company's new events their positions: those that
// have committed when it is called have one when it returns. An event whose
// transaction is still open gets its position later, after all those, however
// early it was written.
func (s *Store) PositionEvents(ctx context.Context, company string) error {
	for {
		var pending bool
		err := s.within(ctx, company, read, func(q querier) error {
			return q.QueryRow(ctx, `select exists (select from event_pending where company = $1)`, company).Scan(&pending)
		})
		if err != nil || !pending {
			return err
		}
		err = s.within(ctx, company, write, func(q querier) error { return givePositions(ctx, q, company) })
		if err != nil {
			return err
		}
	}
}

// givePositions numbers a chunk of the pending events. One transaction does so
// at a time, and the next begins to look after it has committed, so positions
// are seen in order. The notice is a hint to watchers; without it they ask
// every now and then.
func givePositions(ctx context.Context, q querier, company string) error {
	if err := lockName(ctx, q, "event_position/"+company); err != nil {
		return err
	}
	_, err := q.Exec(ctx, `
		with taken as (
			delete from event_pending
			where company = $1 and number in (
				select number from event_pending where company = $1 order by number limit $2)
			returning number, event_id
		), numbered as (
			insert into event_position (company, position, event_id)
			select $1, (select coalesce(max(position), 0) from event_position where company = $1) + row_number() over (order by number), event_id
			from taken
			order by number
			returning position
		)
		select pg_notify('wattle_event', $1) from numbered limit 1`, company, eventChunk)
	return err
}

// positioned is a position and, where the reader may and wants to see it, its
// event.
type positioned struct {
	position int64
	event    *estimating.Event
}

func eventsAfter(ctx context.Context, q querier, f estimating.EventFilter, after int64) ([]positioned, error) {
	rows, err := q.Query(ctx, `
		select p.position, `+eventColumns+`
		from (
			select position, event_id from event_position
			where company = $1 and position > $2
			order by position
			limit $3
		) p
		left join event e on e.company = $1 and e.id = p.event_id
			and (coalesce(cardinality($4::text[]), 0) = 0 or e.type = any ($4))
			and (coalesce(cardinality($5::text[]), 0) = 0 or e.office = any ($5))
		order by p.position`, f.Company, after, eventChunk, f.Types, f.Offices)
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, func(row pgx.CollectableRow) (positioned, error) {
		var p positioned
		var id, office, kind, subject *string
		var sequence *int64
		var at *time.Time
		if err := row.Scan(&p.position, &id, &office, &kind, &subject, &sequence, &at); err != nil || id == nil {
			return p, err
		}
		p.event = &estimating.Event{
			Company: f.Company, ID: *id, Office: *office, Type: *kind, Subject: *subject, Sequence: *sequence,
			Time: at.UTC(), Position: p.position,
		}
		return p, nil
	})
}

// eventColumns are the columns of event as e.
const eventColumns = `e.id::text, e.office, e.type, e.subject, e.sequence, e.created_at`
