package postgres

import (
	"context"

	"github.com/govalues/decimal"
	"github.com/jackc/pgx/v5"

	"wattle/internal/estimating"
	"wattle/internal/fault"
	"wattle/internal/office"
)

// officeColumns are the columns of office, or of office_version, as o in the
// order of scanOffice.
const officeColumns = `o.office, coalesce(o.parent, ''), o.title, o.time_zone, o.margin_floor::text, o.stale_after_days, o.preferred_suppliers, o.removed, o.version`

func scanOffice(row pgx.CollectableRow) (office.Office, error) {
	var o office.Office
	var floor *string
	s := &o.Settings
	err := row.Scan(&o.ID, &o.Parent, &o.Title, &s.TimeZone, &floor, &s.StaleAfterDays, &s.PreferredSuppliers, &o.Removed, &o.Version)
	if err != nil || floor == nil {
		return o, err
	}
	d, err := decimal.Parse(*floor)
	s.MarginFloor = &d
	return o, err
}

// officeArgs are an office's values for insertOffice and updateOffice.
func officeArgs(company string, o office.Office) []any {
	var parent, floor *string
	if o.Parent != "" {
		parent = &o.Parent
	}
	if o.Settings.MarginFloor != nil {
		text := o.Settings.MarginFloor.String()
		floor = &text
	}
	suppliers := o.Settings.PreferredSuppliers
	if suppliers == nil {
		suppliers = []string{}
	}
	return []any{company, o.ID, parent, o.Title, o.Settings.TimeZone, floor, o.Settings.StaleAfterDays, suppliers, o.Removed, o.Version}
}

const (
	insertOffice = `
		insert into office (company, office, parent, title, time_zone, margin_floor, stale_after_days, preferred_suppliers, removed, version)
		values ($1, $2, $3, $4, $5, $6::text::numeric, $7, $8, $9, $10)`
	updateOffice = `
		update office set parent = $3, title = $4, time_zone = $5, margin_floor = $6::text::numeric, stale_after_days = $7,
			preferred_suppliers = $8, removed = $9, version = $10
		where company = $1 and office = $2`
	insertOfficeVersion = `
		insert into office_version (company, office, version, principal, parent, title, time_zone, margin_floor, stale_after_days, preferred_suppliers, removed)
		select company, office, version, $3, parent, title, time_zone, margin_floor, stale_after_days, preferred_suppliers, removed
		from office where company = $1 and office = $2`
)

// storeOffice writes an office, new where its version is 1, and keeps that
// version for people.
func storeOffice(ctx context.Context, q querier, key estimating.RequestKey, o office.Office) error {
	sql := updateOffice
	if o.Version == 1 {
		sql = insertOffice
	}
	if _, err := q.Exec(ctx, sql, officeArgs(key.Company, o)...); err != nil {
		return err
	}
	tag, err := q.Exec(ctx, insertOfficeVersion, key.Company, o.ID, key.Principal)
	if err == nil && tag.RowsAffected() != 1 {
		err = fault.New(fault.Internal, "OFFICE_LOST", "the office %q was stored and cannot be read", o.ID)
	}
	return err
}

// ChangeOffice stores what change makes of the tree, one change at a time.
func (s *Store) ChangeOffice(ctx context.Context, key estimating.RequestKey, change func(office.Tree) (office.Office, error)) (o office.Office, err error) {
	caller, err := estimating.CallerFor(ctx, key.Company)
	if err != nil {
		return o, err
	}
	// The whole tree is read and written: who may change what of it is
	// change's to say.
	err = s.within(everywhere(ctx, caller), key.Company, write, func(q querier) error {
		if err := lockName(ctx, q, "office/"+key.Company); err != nil {
			return err
		}
		was, err := earlier(ctx, q, key)
		if err != nil {
			return err
		}
		if was != nil {
			o, err = officeVersion(ctx, q, key.Company, was.Office, was.Version)
			return err
		}
		t, err := treeOf(ctx, q, key.Company)
		if err != nil {
			return err
		}
		if o, err = change(t); err != nil {
			return err
		}
		if err := storeOffice(ctx, q, key, o); err != nil {
			return err
		}
		if _, err := q.Exec(ctx, `update company set tree_version = tree_version + 1 where company = $1`, key.Company); err != nil {
			return err
		}
		return claimFirst(ctx, q, key, result{Office: o.ID, Version: int(o.Version)})
	})
	return o, err
}

func officeVersion(ctx context.Context, q querier, company, id string, version int) (office.Office, error) {
	rows, err := q.Query(ctx, `select `+officeColumns+` from office_version o where o.company = $1 and o.office = $2 and o.version = $3`, company, id, version)
	if err != nil {
		return office.Office{}, err
	}
	return pgx.CollectExactlyOneRow(rows, scanOffice)
}
