package postgres

import (
	"context"
	"math"
	"time"

	"github.com/jackc/pgx/v5"

	"wattle/internal/book"
	"wattle/internal/civil"
	"wattle/internal/estimating"
)

// How many revisions are held at once while a book is verified, and about how
// many rows are read with one statement.
const (
	verifyRevisions = 1000
	verifyRows      = 20_000
)

// VerifyBook hands the whole book to the verification, row by row and of one
// moment, and then the heads that quotes have seen. Tell is asked from time to
// time, and may end it with an error.
func (s *Store) VerifyBook(ctx context.Context, company string, v *book.Verification, tell func(estimating.VerifyProgress) error) (report book.Report, err error) {
	err = s.wholeBook(ctx, company, func(q querier) error {
		head, err := currentHead(ctx, q, company)
		if err != nil {
			return err
		}
		r := bookReader{q: q, company: company, v: v, tell: tell}
		r.progress.Newest = head.Revision
		if err := q.QueryRow(ctx, `select coalesce(sum(entries), 0)::bigint from book_revision where company = $1`, company).Scan(&r.progress.Total); err != nil {
			return err
		}
		if err := r.read(ctx); err != nil {
			return err
		}
		if err := r.seen(ctx); err != nil {
			return err
		}
		report = v.End(head)
		return nil
	})
	return report, err
}

// wholeBook is the one way to the rows of every office of a company, whatever
// the caller's own: a chain of hashes covers all rows or none. It reads, of one
// moment; nothing of what it reads but hashes, counts and ids of quotes is told.
func (s *Store) wholeBook(ctx context.Context, company string, f func(q querier) error) error {
	c, err := estimating.CallerFor(ctx, company)
	if err != nil {
		return err
	}
	return s.within(everywhere(ctx, c), company, readOnce, f)
}

// bookReader reads a book in order of revisions and keeps no rows.
type bookReader struct {
	q        querier
	company  string
	v        *book.Verification
	tell     func(estimating.VerifyProgress) error
	progress estimating.VerifyProgress
}

func (r *bookReader) read(ctx context.Context) error {
	after := int64(math.MinInt64)
	for {
		records, err := r.records(ctx, after)
		if err != nil {
			return err
		}
		if len(records) == 0 {
			return r.block(ctx, after, math.MaxInt64, nil) // rows of no revision
		}
		for len(records) > 0 {
			n, rows := 0, int64(0)
			for n < len(records) && (n == 0 || rows+records[n].Entries <= verifyRows) {
				rows += records[n].Entries
				n++
			}
			last := int64(records[n-1].Head.Revision)
			if err := r.block(ctx, after, last, records[:n]); err != nil {
				return err
			}
			records, after = records[n:], last
			r.progress.Revision = book.Revision(last)
			if err := r.tell(r.progress); err != nil {
				return err
			}
		}
	}
}

// records are the next revisions.
func (r *bookReader) records(ctx context.Context, after int64) ([]book.RevisionRecord, error) {
	rows, err := r.q.Query(ctx, `
		select r.revision, r.chain_hash, r.content_hash, r.entries, r.latest_effective
		from book_revision r
		where r.company = $1 and r.revision > $2
		order by r.revision
		limit $3`, r.company, after, verifyRevisions)
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, func(row pgx.CollectableRow) (book.RevisionRecord, error) {
		var rec book.RevisionRecord
		var chain, content []byte
		var latest time.Time
		err := row.Scan(&rec.Head.Revision, &chain, &content, &rec.Entries, &latest)
		copy(rec.Head.Hash[:], chain)
		copy(rec.Content[:], content)
		rec.Latest = civil.Of(latest)
		return rec, err
	})
}

// block reads the rows after one revision up to another, with the records of
// the revisions between.
func (r *bookReader) block(ctx context.Context, after, last int64, records []book.RevisionRecord) error {
	rows, err := r.q.Query(ctx, `
		select `+entryColumns+`
		from price_entry e
		where e.company = $1 and e.revision > $2 and e.revision <= $3
		order by e.revision, e.item, e.office, e.supplier, e.effective`, r.company, after, last)
	if err != nil {
		return err
	}
	defer rows.Close()
	start := func(upTo book.Revision) {
		for len(records) > 0 && records[0].Head.Revision <= upTo {
			r.v.Revision(records[0])
			records = records[1:]
		}
	}
	for rows.Next() {
		row, err := pgx.RowToStructByPos[entryRow](rows)
		if err != nil {
			return err
		}
		start(book.Revision(row.Revision))
		r.progress.Entries++
		if e, err := row.entry(); err != nil {
			r.v.Unreadable(book.Revision(row.Revision))
		} else {
			r.v.Entry(e)
		}
	}
	start(math.MaxInt64)
	return rows.Err()
}

// seen hands over the heads that quotes have seen, each once.
func (r *bookReader) seen(ctx context.Context) error {
	rows, err := r.q.Query(ctx, `
		select s.book_revision, s.book_hash, s.quotes, s.first, r.chain_hash
		from (
			select q.book_revision, q.book_hash, count(*) as quotes, min(q.id) as first
			from quote q
			where q.company = $1
			group by q.book_revision, q.book_hash
		) s
		left join book_revision r on r.company = $1 and r.revision = s.book_revision
		order by s.book_revision, s.book_hash`, r.company)
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		var s book.SeenHead
		var hash, stored []byte
		if err := rows.Scan(&s.Head.Revision, &hash, &s.Quotes, &s.First, &stored); err != nil {
			return err
		}
		copy(s.Head.Hash[:], hash)
		if len(stored) == len(s.Stored) {
			s.Stored = (*[32]byte)(stored)
		}
		r.v.Seen(s)
	}
	return rows.Err()
}
