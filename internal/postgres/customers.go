package postgres

import (
	"context"
	"errors"
	"time"

	"github.com/jackc/pgx/v5"

	"wattle/internal/estimating"
	"wattle/internal/fault"
)

// CreateCustomer stores a customer's details together with the key.
func (s *Store) CreateCustomer(ctx context.Context, key estimating.RequestKey, c estimating.Customer) (kept estimating.Customer, err error) {
	err = s.within(ctx, key.Company, write, func(q querier) error {
		first, err := claim(ctx, q, key, result{Customer: c.ID, Version: c.Version})
		if err != nil {
			return err
		}
		if first {
			kept = c
			if err := insertCustomer(ctx, q, c); err != nil {
				return err
			}
			return audit(ctx, q, key, c, "customer-created", c.CreatedAt)
		}
		was, err := earlier(ctx, q, key)
		if err != nil {
			return err
		}
		if was == nil {
			return lostRequest()
		}
		if kept, err = customerByID(ctx, q, key.Company, was.Customer); err != nil {
			return err
		}
		return sameDetails(key, *was, kept, c)
	})
	return kept, err
}

// ChangeCustomer stores what change makes of a customer, unless that is the same.
func (s *Store) ChangeCustomer(ctx context.Context, key estimating.RequestKey, id string,
	change func(estimating.Customer) (estimating.Customer, error),
) (kept estimating.Customer, err error) {
	err = s.within(ctx, key.Company, write, func(q querier) error {
		_, err := q.Exec(ctx, `select from customer where company = $1 and id = $2 for update`, key.Company, id)
		if err != nil {
			return err
		}
		old, err := customerByID(ctx, q, key.Company, id)
		if err != nil {
			return err
		}
		if err := writesAt(ctx, old.Office); err != nil {
			return err
		}
		was, err := earlier(ctx, q, key)
		if err != nil {
			return err
		}
		if was != nil {
			kept = old
			if again, err := change(old); err == nil { // not where it names the version before
				return sameDetails(key, *was, kept, again)
			}
			return nil
		}
		if kept, err = change(old); err != nil {
			return err
		}
		if !kept.Details.Equal(old.Details) || kept.Erased() != old.Erased() {
			kept.Version++
			if err := updateCustomer(ctx, q, kept); err != nil {
				return err
			}
			kind := "customer-updated"
			if kept.Erased() {
				kind = "customer-erased"
			}
			if err := audit(ctx, q, key, kept, kind, kept.UpdatedAt); err != nil {
				return err
			}
		} else {
			kept = old
		}
		return claimFirst(ctx, q, key, result{Customer: id, Version: kept.Version})
	})
	return kept, err
}

// sameDetails is AlreadyExists where a request id comes again with other details.
// The key's hash leaves them out, so this is seen as long as nobody has changed
// the customer since.
func sameDetails(key estimating.RequestKey, was result, now, again estimating.Customer) error {
	if was.Version != now.Version || now.Details.Equal(again.Details) {
		return nil
	}
	return requestReused(key)
}

// Customer is one customer.
func (s *Store) Customer(ctx context.Context, company, id string) (c estimating.Customer, err error) {
	err = s.within(ctx, company, read, func(q querier) error {
		c, err = customerByID(ctx, q, company, id)
		return err
	})
	return c, err
}

// ListCustomers is by id.
func (s *Store) ListCustomers(ctx context.Context, f estimating.CustomerFilter) (list []estimating.Customer, err error) {
	err = s.within(ctx, f.Company, read, func(q querier) error {
		rows, err := q.Query(ctx, `
			select `+customerColumns+`
			from customer c
			where c.company = $1 and c.id > $2 and ($3 or c.erased_at is null)
			order by c.id
			limit $4`, f.Company, f.After, f.Erased, f.Limit)
		if err != nil {
			return err
		}
		list, err = pgx.CollectRows(rows, scanCustomer)
		return err
	})
	return list, err
}

func customerByID(ctx context.Context, q querier, company, id string) (estimating.Customer, error) {
	rows, err := q.Query(ctx, `
		select `+customerColumns+`
		from customer c
		where c.company = $1 and c.id = $2`, company, id)
	if err != nil {
		return estimating.Customer{}, err
	}
	c, err := pgx.CollectExactlyOneRow(rows, scanCustomer)
	if errors.Is(err, pgx.ErrNoRows) {
		return c, fault.New(fault.NotFound, "CUSTOMER_NOT_FOUND", "there is no customer %q", id).
			About("customer", "companies/"+company+"/customers/"+id)
	}
	return c, err
}

// customerColumns are the columns of customer as c in the order of scanCustomer.
const customerColumns = `c.company, c.id, c.office, c.display_name, c.address_lines, c.locality, c.region, c.postal_code,
	c.country, c.email, c.telephone, c.note, c.version, c.created_at, c.updated_at, c.erased_at`

func scanCustomer(row pgx.CollectableRow) (estimating.Customer, error) {
	var c estimating.Customer
	var erasedAt *time.Time
	d := &c.Details
	a := &d.Address
	err := row.Scan(&c.Company, &c.ID, &c.Office, &d.DisplayName, &a.Lines, &a.Locality, &a.Region, &a.PostalCode,
		&a.Country, &d.Email, &d.Telephone, &d.Note, &c.Version, &c.CreatedAt, &c.UpdatedAt, &erasedAt)
	c.CreatedAt, c.UpdatedAt = c.CreatedAt.UTC(), c.UpdatedAt.UTC()
	c.ErasedAt = timeOf(erasedAt)
	if len(a.Lines) == 0 {
		a.Lines = nil
	}
	return c, err
}

func insertCustomer(ctx context.Context, q querier, c estimating.Customer) error {
	d, a := c.Details, c.Details.Address
	_, err := q.Exec(ctx, `
		insert into customer (company, id, office, display_name, address_lines, locality, region, postal_code,
			country, email, telephone, note, version, created_at, updated_at)
		values ($1, $2, $3, $4, coalesce($5, '{}'::text[]), $6, $7, $8, $9, $10, $11, $12, $13, $14, $15)`,
		c.Company, c.ID, c.Office, d.DisplayName, a.Lines, a.Locality, a.Region, a.PostalCode,
		a.Country, d.Email, d.Telephone, d.Note, c.Version, c.CreatedAt, c.UpdatedAt)
	return err
}

func updateCustomer(ctx context.Context, q querier, c estimating.Customer) error {
	d, a := c.Details, c.Details.Address
	_, err := q.Exec(ctx, `
		update customer set display_name = $3, address_lines = coalesce($4, '{}'::text[]), locality = $5, region = $6,
			postal_code = $7, country = $8, email = $9, telephone = $10, note = $11, version = $12, updated_at = $13, erased_at = $14
		where company = $1 and id = $2`,
		c.Company, c.ID, d.DisplayName, a.Lines, a.Locality, a.Region, a.PostalCode,
		a.Country, d.Email, d.Telephone, d.Note, c.Version, c.UpdatedAt, orNull(c.ErasedAt))
	return err
}

// audit says who did what to a customer, and nothing about the person.
func audit(ctx context.Context, q querier, key estimating.RequestKey, c estimating.Customer, kind string, at time.Time) error {
	_, err := q.Exec(ctx, `
		insert into audit (company, office, at, principal, kind, subject)
		values ($1, $2, $3, $4, $5, $6)`, c.Company, c.Office, at, key.Principal, kind, c.ID)
	return err
}

// ListCustomerChanges is newest first.
func (s *Store) ListCustomerChanges(ctx context.Context, f estimating.CustomerChangeFilter) (list []estimating.CustomerChange, err error) {
	err = s.within(ctx, f.Company, read, func(q querier) error {
		rows, err := q.Query(ctx, `
			select sequence, subject, office, kind, principal, at
			from audit
			where company = $1 and ($2 = '' or subject = $2) and ($3::bigint = 0 or sequence < $3)
			order by sequence desc
			limit $4`, f.Company, f.Customer, f.Before, f.Limit)
		if err != nil {
			return err
		}
		list, err = pgx.CollectRows(rows, pgx.RowToStructByPos[estimating.CustomerChange])
		return err
	})
	return list, err
}
