package postgres

import (
	"cmp"
	"context"
	"slices"
	"time"

	"wattle/internal/book"
	"wattle/internal/civil"
	"wattle/internal/estimating"
	"wattle/internal/fault"
	"wattle/internal/jobs"
)

// discardTimeout is how long removing a list's rows may take after its import,
// when the caller may be gone.
const discardTimeout = 30 * time.Second

// Import adds a revision to the book, or with DryRun says what it would add.
// An import that changes nothing succeeds and adds no revision. A dry run keeps
// no request id.
//
// The list is in.Staged, or in.Entries, which are then staged and discarded
// here. Rows that clash are Invalid (ROWS_CLASH; Clashes lists them). What
// needs consent and has none is Refused (book.Outcome.Refusal), but not in a
// dry run.
//
// A repeated call is answered from what is stored: head, base, whether it was
// applied and the count of unchanged entries as they were, and the changes
// computed once more from the entries of that revision and the book before it.
// Both are history, so the answer is the first one's.
func (s *Store) Import(ctx context.Context, key estimating.RequestKey, in book.Import) (out book.Outcome, err error) {
	if in.Staged == "" {
		if err := in.Validate(); err != nil {
			return book.Outcome{}, err
		}
		if in.Staged, err = s.stageEntries(ctx, in); err != nil {
			return book.Outcome{}, err
		}
		defer func() {
			ctx, cancel := context.WithTimeout(context.WithoutCancel(ctx), discardTimeout)
			defer cancel()
			if discarded := s.Discard(ctx, in.Company, in.Staged); err == nil {
				err = discarded
			}
		}()
	}
	if !in.DryRun {
		out, done, err := s.Imported(ctx, key, in)
		if err != nil || done {
			return out, err
		}
	}
	err = s.within(ctx, in.Company, write, func(q querier) error {
		out, err = importStaged(ctx, q, key, in)
		return err
	})
	if err != nil {
		return book.Outcome{}, err
	}
	return out, nil
}

func (s *Store) stageEntries(ctx context.Context, in book.Import) (string, error) {
	return s.Stage(ctx, in.Company, "", slices.Collect(in.Rows()))
}

// Imported is the outcome of an earlier import with this key, and whether there
// is one.
func (s *Store) Imported(ctx context.Context, key estimating.RequestKey, in book.Import) (out book.Outcome, done bool, err error) {
	err = s.within(ctx, in.Company, write, func(q querier) error { // a plan is made in a table of its own
		out, done, err = replayImport(ctx, q, key, in)
		return err
	})
	return out, done, err
}

// importStaged plans and hashes without a lock, since that may take long; what
// is done under the lock is short, unless the book moved in between.
func importStaged(ctx context.Context, q querier, key estimating.RequestKey, in book.Import) (book.Outcome, error) {
	head, err := currentHead(ctx, q, in.Company)
	if err != nil {
		return book.Outcome{}, err
	}
	if err := preparePlan(ctx, q); err != nil {
		return book.Outcome{}, err
	}
	p, err := makePlan(ctx, q, in, head)
	if err != nil || in.DryRun {
		return p.out, err
	}
	if head, err = lockHead(ctx, q, in.Company); err != nil {
		return book.Outcome{}, err
	}
	// While this call waited for the lock, the same call may have been answered
	// elsewhere, and the book may have moved.
	if was, err := earlier(ctx, q, key); err != nil {
		return book.Outcome{}, err
	} else if was != nil {
		return replayed(ctx, q, key, in, was)
	}
	if head.Revision != p.out.Base {
		if p, err = makePlan(ctx, q, in, head); err != nil {
			return book.Outcome{}, err
		}
	}
	if p.out.Counts.Changes() > 0 {
		if err := apply(ctx, q, key, in, &p); err != nil {
			return book.Outcome{}, err
		}
	}
	out := p.out
	return out, claimFirst(ctx, q, key, result{Revision: out.Head.Revision, Applied: out.Applied, Unchanged: out.Unchanged})
}

// importPlan is what an import changes, and the hash of it.
type importPlan struct {
	out     book.Outcome
	content [32]byte
	latest  civil.Date
}

// makePlan says what the import changes in the book at head. What is planned
// for storing has everyone's consent, and is hashed.
func makePlan(ctx context.Context, q querier, in book.Import, head book.Head) (p importPlan, err error) {
	if in.Base != nil && *in.Base != head.Revision {
		return p, fault.New(fault.Conflict, "BOOK_MOVED",
			"the book is at revision %d, and the import was planned for %d: look at a new dry run", head.Revision, *in.Base)
	}
	var sound bool
	if p.out, sound, err = planned(ctx, q, in, head); err != nil {
		return p, err
	}
	if !sound {
		return p, fault.New(fault.Invalid, estimating.RowsClash, "rows of the price list contradict one another")
	}
	if in.DryRun {
		return p, nil
	}
	if err := p.out.Refusal(in); err != nil {
		return p, err
	}
	if p.out.Counts.Changes() > 0 {
		p.content, p.latest, err = contentOfPlan(ctx, q)
	}
	return p, err
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
func apply(ctx context.Context, q querier, key estimating.RequestKey, in book.Import, p *importPlan) error {
	next := p.out.Head.Next(in.Company, p.content)
	_, err := q.Exec(ctx, `
		insert into book_revision (company, revision, principal, request_id, mode, entries, latest_effective, content_hash, chain_hash)
		select $1, $2::bigint, $3, $4, $5, $6,
		       greatest($7::date, (select latest_effective from book_revision where company = $1 and revision = $2::bigint - 1)),
		       $8, $9`,
		in.Company, int64(next.Revision), key.Principal, key.RequestID, string(in.Mode), p.out.Counts.Changes(), p.latest.Time(), p.content[:], next.Hash[:])
	if err != nil {
		return err
	}
	_, err = q.Exec(ctx, `
		insert into price_entry (company, item, office, supplier, effective, revision, `+terms+`)
		select $1, item, office, supplier, effective, $2, `+terms+`
		from import_entry
		where kind <> 'unchanged'`, in.Company, int64(next.Revision))
	if err != nil {
		return err
	}
	_, err = q.Exec(ctx, `update book_head set revision = $2, hash = $3 where company = $1`, in.Company, int64(next.Revision), next.Hash[:])
	if err != nil {
		return err
	}
	p.out.Head, p.out.Applied = next, true
	stamp(&p.out)
	if err := emit(ctx, q, estimating.Event{
		Company: in.Company, Office: cmp.Or(in.Office, book.MainOffice), Type: estimating.PricesImported,
		Subject: "companies/" + in.Company + "/book", Sequence: int64(next.Revision),
	}); err != nil {
		return err
	}
	return enqueue(ctx, q, jobs.Impact{Company: in.Company, Revision: int64(next.Revision)})
}

// stamp gives the entries that an import made their revision.
func stamp(out *book.Outcome) {
	for _, changes := range [][]book.Change{out.Changes, out.Jumps, out.UnitChanges, out.Withdrawals} {
		for _, c := range changes {
			c.New.Revision = out.Head.Revision
			if c.Old != nil && c.Old.Revision == 0 {
				c.Old.Revision = out.Head.Revision
			}
		}
	}
}

// replayImport is the outcome of an earlier import with this key, and whether
// there is one.
func replayImport(ctx context.Context, q querier, key estimating.RequestKey, in book.Import) (book.Outcome, bool, error) {
	was, err := earlier(ctx, q, key)
	if err != nil || was == nil {
		return book.Outcome{}, false, err
	}
	if err := preparePlan(ctx, q); err != nil {
		return book.Outcome{}, false, err
	}
	out, err := replayed(ctx, q, key, in, was)
	return out, true, err
}

// replayed is the outcome of the import that a result was kept of.
func replayed(ctx context.Context, q querier, key estimating.RequestKey, in book.Import, was *result) (book.Outcome, error) {
	head, err := headAt(ctx, q, key.Company, was.Revision)
	if err != nil {
		return book.Outcome{}, err
	}
	out := book.Outcome{Head: head, Base: head.Revision, Applied: was.Applied, Unchanged: was.Unchanged}
	if !was.Applied {
		return out, nil
	}
	out.Base--
	if err := planAgain(ctx, q, in, was.Revision, &out); err != nil {
		return book.Outcome{}, err
	}
	stamp(&out)
	return out, nil
}
