package postgres

import (
	"context"
	"errors"
	"fmt"

	"github.com/jackc/pgx/v5"

	"wattle/internal/book"
	"wattle/internal/fault"
)

// Head is the newest state of the company's book.
func (s *Store) Head(ctx context.Context, company string) (head book.Head, err error) {
	err = s.within(ctx, company, read, func(q querier) error {
		head, err = currentHead(ctx, q, company)
		return err
	})
	return head, err
}

// HeadAt is the head as it was at a revision.
func (s *Store) HeadAt(ctx context.Context, company string, r book.Revision) (head book.Head, err error) {
	err = s.within(ctx, company, read, func(q querier) error {
		head, err = headAt(ctx, q, company, r)
		return err
	})
	return head, err
}

func currentHead(ctx context.Context, q querier, company string) (book.Head, error) {
	return scanHead(q.QueryRow(ctx, `select revision, hash from book_head where company = $1`, company))
}

func headAt(ctx context.Context, q querier, company string, r book.Revision) (book.Head, error) {
	if r == 0 {
		return book.Head{}, nil
	}
	head, err := scanHead(q.QueryRow(ctx,
		`select revision, chain_hash from book_revision where company = $1 and revision = $2`, company, int64(r)))
	if err == nil && head.Revision != r {
		return head, unknownRevision(ctx, q, company, r)
	}
	return head, err
}

// scanHead reads a head; no row is the empty book.
func scanHead(row pgx.Row) (book.Head, error) {
	var head book.Head
	var hash []byte
	err := row.Scan(&head.Revision, &hash)
	if errors.Is(err, pgx.ErrNoRows) {
		return book.Head{}, nil
	}
	copy(head.Hash[:], hash)
	return head, err
}

func unknownRevision(ctx context.Context, q querier, company string, r book.Revision) error {
	head, err := currentHead(ctx, q, company)
	if err != nil {
		return err
	}
	e := fault.New(fault.Invalid, "REVISION_UNKNOWN", "the book has no revision %d", r)
	e.Violations = []fault.Violation{{Field: "revision", Description: fmt.Sprintf("expected 0 to %d, the newest, found %d", head.Revision, r)}}
	return e
}

// History lists an item's entries at the named offices, as known at a
// revision: the newest revision first, within one the latest effective date.
func (s *Store) History(ctx context.Context, q book.HistoryQuery) (entries []book.Entry, err error) {
	err = s.within(ctx, q.Company, read, func(db querier) error {
		if _, err := headAt(ctx, db, q.Company, q.Revision); err != nil {
			return err
		}
		entries, err = collectEntries(db.Query(ctx, `
			select `+entryColumns+`
			from price_entry e
			where e.company = $1 and e.item = $2 and e.office = any ($3) and e.revision <= $4
			order by e.revision desc, e.effective desc, e.office, e.supplier
			limit $5`, q.Company, q.Item, q.Offices, int64(q.Revision), q.Limit))
		return err
	})
	return entries, err
}
