package postgres

import (
	"context"

	"github.com/jackc/pgx/v5"

	"wattle/internal/estimating"
	"wattle/internal/money"
)

// ApproveQuote stores an approval of a quote as it stands. An office that
// approved it already is answered its first approval. Who may approve does not
// write at the quote's office, and could not lock the quote by his own reach:
// that he sees it and may approve it was found out before.
func (s *Store) ApproveQuote(ctx context.Context, key estimating.RequestKey, id string, a estimating.Approval, allow func(estimating.Record) error) (kept estimating.Approval, err error) {
	caller, err := estimating.CallerFor(ctx, key.Company)
	if err != nil {
		return kept, err
	}
	err = s.within(everywhere(ctx, caller), key.Company, write, func(q querier) error {
		offer, err := lockOffer(ctx, q, key.Company, id)
		if err != nil {
			return err
		}
		was, err := earlier(ctx, q, key)
		if err != nil {
			return err
		}
		if was == nil {
			if err := allow(offer.Quote); err != nil {
				return err
			}
			_, err = q.Exec(ctx, `
				insert into quote_approval (company, quote_id, office, approver_office, principal, approved_at, margin, floor)
				values ($1, $2, $3, $4, $5, $6, $7::text::numeric, $8::text::numeric)
				on conflict on constraint quote_approval_pkey do nothing`,
				key.Company, id, offer.Quote.Office, a.Office, key.Principal, a.ApprovedAt.UTC(), a.Margin.String(), a.Floor.String())
			if err != nil {
				return err
			}
			if err := claimFirst(ctx, q, key, result{Quote: id}); err != nil {
				return err
			}
		}
		all, err := approvals(ctx, q, key.Company, id)
		for _, each := range all {
			if each.Office == a.Office {
				kept = each
			}
		}
		return err
	})
	return kept, err
}

// Approvals are a quote's, the first first.
func (s *Store) Approvals(ctx context.Context, company, id string) (all []estimating.Approval, err error) {
	err = s.within(ctx, company, read, func(q querier) error {
		all, err = approvals(ctx, q, company, id)
		return err
	})
	return all, err
}

func approvals(ctx context.Context, q querier, company, id string) ([]estimating.Approval, error) {
	rows, err := q.Query(ctx, `
		select approver_office, approved_at, margin::text, floor::text
		from quote_approval
		where company = $1 and quote_id = $2
		order by approved_at, approver_office`, company, id)
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, func(row pgx.CollectableRow) (estimating.Approval, error) {
		var a estimating.Approval
		var margin, floor string
		err := row.Scan(&a.Office, &a.ApprovedAt, &margin, &floor)
		if err != nil {
			return a, err
		}
		a.ApprovedAt = a.ApprovedAt.UTC()
		if a.Margin, err = money.ParseDecimal(margin); err != nil {
			return a, err
		}
		a.Floor, err = money.ParseDecimal(floor)
		return a, err
	})
}
