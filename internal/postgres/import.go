package postgres

import (
	"cmp"
	"context"
	"slices"

	"wattle/internal/book"
	"wattle/internal/civil"
	"wattle/internal/estimating"
	"wattle/internal/fault"
)

// Import adds a revision to the book, or with DryRun says what it would add.
// An import that changes nothing succeeds and adds no revision. A dry run keeps
// no request id.
//
// A repeated call is answered from what is stored: head, base, whether it was
// applied and the count of unchanged entries as they were, and the changes
// computed once more from the entries of that revision and the book before it.
// Both are history, so the answer is the first one's.
func (s *Store) Import(ctx context.Context, key estimating.RequestKey, in book.Import) (out book.Outcome, err error) {
	if err := in.Validate(); err != nil {
		return book.Outcome{}, err
	}
	var done bool
	err = s.within(ctx, in.Company, read, func(q querier) error {
		if !in.DryRun {
			if out, done, err = replayImport(ctx, q, key); err != nil || done {
				return err
			}
		}
		head, err := currentHead(ctx, q, in.Company)
		if err != nil {
			return err
		}
		out, err = plan(ctx, q, in, head)
		return err
	})
	if err != nil || done || in.DryRun {
		return out, err
	}
	// Planned without a lock, since it may take long; the lock is short.
	err = s.within(ctx, in.Company, write, func(q querier) error {
		head, err := lockHead(ctx, q, in.Company)
		if err != nil {
			return err
		}
		// While this call waited for the lock, the same call may have been
		// answered elsewhere, and the book may have moved.
		var answer book.Outcome
		if answer, done, err = replayImport(ctx, q, key); err != nil || done {
			out = answer
			return err
		}
		if head.Revision != out.Base {
			if out, err = plan(ctx, q, in, head); err != nil {
				return err
			}
		}
		if len(out.Changes) > 0 {
			if err := apply(ctx, q, key, in, &out); err != nil {
				return err
			}
		}
		first, err := claim(ctx, q, key, result{Revision: out.Head.Revision, Applied: out.Applied, Unchanged: out.Unchanged})
		if err == nil && !first { // who holds the head's lock and found no answer is the first
			err = lostRequest()
		}
		return err
	})
	return out, err
}

// plan says what the import changes in the book at head.
func plan(ctx context.Context, q querier, in book.Import, head book.Head) (book.Outcome, error) {
	if in.Base != nil && *in.Base != head.Revision {
		return book.Outcome{}, fault.New(fault.Conflict, "BOOK_MOVED",
			"the book is at revision %d, and the import was planned for %d: look at a new dry run", head.Revision, *in.Base)
	}
	history, err := currentEntries(ctx, q, in, head.Revision)
	if err != nil {
		return book.Outcome{}, err
	}
	out := book.Outcome{Head: head, Base: head.Revision}
	out.Changes, out.Unchanged = book.Plan(history, in)
	return out, nil
}

// lockHead locks the company's head, which puts writers in order. The first
// import of a company makes the row.
func lockHead(ctx context.Context, q querier, company string) (book.Head, error) {
	_, err := q.Exec(ctx, `
		insert into book_head (company, revision, hash) values ($1, 0, $2)
		on conflict on constraint book_head_pkey do nothing`, company, make([]byte, 32))
	if err != nil {
		return book.Head{}, err
	}
	return scanHead(q.QueryRow(ctx, `select revision, hash from book_head where company = $1 for update`, company))
}

// apply adds the planned changes as the next revision. The head is locked.
func apply(ctx context.Context, q querier, key estimating.RequestKey, in book.Import, out *book.Outcome) error {
	entries := make([]book.Entry, len(out.Changes))
	var latest civil.Date
	for i, c := range out.Changes {
		entries[i] = *c.New
		if c.New.Effective.Compare(latest) > 0 {
			latest = c.New.Effective
		}
	}
	content := book.ContentHash(entries)
	next := out.Head.Next(in.Company, content)
	_, err := q.Exec(ctx, `
		insert into book_revision (company, revision, principal, request_id, mode, entries, latest_effective, content_hash, chain_hash)
		select $1, $2::bigint, $3, $4, $5, $6,
		       greatest($7::date, (select latest_effective from book_revision where company = $1 and revision = $2::bigint - 1)),
		       $8, $9`,
		in.Company, int64(next.Revision), key.Principal, key.RequestID, string(in.Mode), len(entries), latest.Time(), content[:], next.Hash[:])
	if err != nil {
		return err
	}
	for part := range slices.Chunk(entries, 10_000) {
		if err := insertEntries(ctx, q, in.Company, next.Revision, part); err != nil {
			return err
		}
	}
	_, err = q.Exec(ctx, `update book_head set revision = $2, hash = $3 where company = $1`, in.Company, int64(next.Revision), next.Hash[:])
	if err != nil {
		return err
	}
	out.Head, out.Applied = next, true
	stamp(out.Changes, next.Revision)
	return emit(ctx, q, estimating.Event{
		Company: in.Company, Office: cmp.Or(in.Office, book.MainOffice), Type: estimating.PricesImported,
		Subject: "companies/" + in.Company + "/book", Sequence: int64(next.Revision),
	})
}

// stamp gives the entries that an import made their revision.
func stamp(changes []book.Change, r book.Revision) {
	for _, c := range changes {
		c.New.Revision = r
		if c.Old != nil && c.Old.Revision == 0 {
			c.Old.Revision = r
		}
	}
}

func insertEntries(ctx context.Context, q querier, company string, r book.Revision, entries []book.Entry) error {
	a := columnsOf(entries)
	_, err := q.Exec(ctx, `
		insert into price_entry (company, item, office, supplier, effective, revision, state, description, currency, unit, pack, min_quantities, prices)
		select $1, n.item, n.office, n.supplier, n.effective, $2, n.state, n.description, n.currency, n.unit,
		       n.pack::numeric, n.min_quantities::numeric[], n.prices::numeric[]
		from unnest($3::text[], $4::text[], $5::text[], $6::date[], $7::text[], $8::text[], $9::text[], $10::text[], $11::text[], $12::text[], $13::text[])
		     as n (item, office, supplier, effective, state, description, currency, unit, pack, min_quantities, prices)`,
		company, int64(r), a.item, a.office, a.supplier, a.effective, a.state, a.description, a.currency, a.unit, a.pack, a.minQuantities, a.unitPrice)
	return err
}
