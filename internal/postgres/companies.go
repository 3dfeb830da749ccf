package postgres

import (
	"context"
	"errors"

	"github.com/jackc/pgx/v5"

	"wattle/internal/auth"
	"wattle/internal/estimating"
	"wattle/internal/fault"
	"wattle/internal/office"
)

const companyColumns = `c.company, c.title, c.quotes_from_above, c.created_at, c.version`

func scanCompany(row pgx.CollectableRow) (estimating.Company, error) {
	var c estimating.Company
	err := row.Scan(&c.ID, &c.Title, &c.QuotesFromAbove, &c.CreatedAt, &c.Version)
	c.CreatedAt = c.CreatedAt.UTC()
	return c, err
}

// CreateCompany stores a company, its root office and its first key.
func (s *Store) CreateCompany(ctx context.Context, key estimating.RequestKey, c estimating.Company, root office.Office, k auth.Key, hash [32]byte,
) (made estimating.Company, madeKey auth.Key, first bool, err error) {
	err = s.within(ctx, c.ID, write, func(q querier) error {
		if err := lockName(ctx, q, "office/"+c.ID); err != nil {
			return err
		}
		was, err := earlier(ctx, q, key)
		if err != nil {
			return err
		}
		if was != nil {
			if made, err = companyByID(ctx, q, c.ID); err != nil {
				return err
			}
			madeKey, err = keyByID(ctx, q, c.ID, was.Key)
			return err
		}
		_, err = q.Exec(ctx, `
			insert into company (company, title, quotes_from_above, created_at, version) values ($1, $2, $3, $4, $5)`,
			c.ID, c.Title, c.QuotesFromAbove, c.CreatedAt, c.Version)
		if err != nil {
			return err
		}
		if err := storeOffice(ctx, q, key, root); err != nil {
			return err
		}
		if err := insertKey(ctx, q, k, hash); err != nil {
			return err
		}
		made, madeKey, first = c, k, true
		return claimFirst(ctx, q, key, result{Key: k.ID})
	})
	return made, madeKey, first, err
}

// Company is one company.
func (s *Store) Company(ctx context.Context, company string) (c estimating.Company, err error) {
	err = s.within(ctx, company, read, func(q querier) error {
		c, err = companyByID(ctx, q, company)
		return err
	})
	return c, err
}

func companyByID(ctx context.Context, q querier, company string) (estimating.Company, error) {
	rows, err := q.Query(ctx, `select `+companyColumns+` from company c where c.company = $1`, company)
	if err != nil {
		return estimating.Company{}, err
	}
	c, err := pgx.CollectExactlyOneRow(rows, scanCompany)
	if errors.Is(err, pgx.ErrNoRows) {
		return c, fault.New(fault.NotFound, "COMPANY_NOT_FOUND", "there is no company %q", company).About("company", "companies/"+company)
	}
	return c, err
}

// ListCompanies is by id, those after the named one. The scope in ctx is that of
// every company.
func (s *Store) ListCompanies(ctx context.Context, after string, limit int) (list []estimating.Company, err error) {
	err = s.within(ctx, estimating.CallerOf(ctx).Company, read, func(q querier) error {
		rows, err := q.Query(ctx, `
			select `+companyColumns+` from company c where c.company > $1 order by c.company limit $2`, after, limit)
		if err != nil {
			return err
		}
		list, err = pgx.CollectRows(rows, scanCompany)
		return err
	})
	return list, err
}

// UpdateCompany stores what change makes of the company.
func (s *Store) UpdateCompany(ctx context.Context, key estimating.RequestKey, change func(*estimating.Company) error) (c estimating.Company, err error) {
	err = s.within(ctx, key.Company, write, func(q querier) error {
		if err := lockName(ctx, q, "office/"+key.Company); err != nil {
			return err
		}
		was, err := earlier(ctx, q, key)
		if err != nil {
			return err
		}
		if c, err = companyByID(ctx, q, key.Company); err != nil || was != nil {
			return err
		}
		if err := change(&c); err != nil {
			return err
		}
		c.Version++
		_, err = q.Exec(ctx, `
			update company set title = $2, quotes_from_above = $3, version = $4 where company = $1`, c.ID, c.Title, c.QuotesFromAbove, c.Version)
		if err != nil {
			return err
		}
		return claimFirst(ctx, q, key, result{})
	})
	return c, err
}
