package postgres

import (
	"context"
	"crypto/sha256"

	"wattle/internal/estimating"
)

// RecordPaper keeps what a paper was made of and its hash, unless they are there,
// and answers the first of the same inputs. Of two at once the one that waits
// finds the other's.
func (s *Store) RecordPaper(ctx context.Context, p estimating.PaperRecord) (first estimating.PaperRecord, err error) {
	inputs := sha256.Sum256([]byte(p.MadeOf))
	err = s.within(ctx, p.Company, write, func(q querier) error {
		if err := lockName(ctx, q, "quote_paper/"+p.Company+"/"+p.Quote); err != nil {
			return err
		}
		tag, err := q.Exec(ctx, `
			insert into quote_paper (company, quote_id, office, kind, inputs, hash, template_office, template_version, customer_version, made_of, principal, made_at)
			values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12)
			on conflict on constraint quote_paper_pkey do nothing`,
			p.Company, p.Quote, p.Office, string(p.Kind), inputs[:], p.Hash[:], p.TemplateOffice, p.TemplateVersion, p.CustomerVersion, p.MadeOf,
			estimating.CallerOf(ctx).Principal, p.MadeAt)
		if err != nil {
			return err
		}
		var hash []byte
		var rows int
		first = p
		err = q.QueryRow(ctx, `
			select hash, made_at, count(*) over ()
			from quote_paper
			where company = $1 and quote_id = $2 and kind = $3 and inputs = $4
			order by made_at, hash
			limit 1`, p.Company, p.Quote, string(p.Kind), inputs[:]).Scan(&hash, &first.MadeAt, &rows)
		if err != nil {
			return err
		}
		first.Hash, first.MadeAt, first.New = [32]byte(hash), first.MadeAt.UTC(), tag.RowsAffected() == 1 && rows == 1
		return nil
	})
	return first, err
}
