package postgres

import (
	"context"
	"errors"

	"github.com/jackc/pgx/v5"

	"wattle/internal/catalog"
	"wattle/internal/estimating"
	"wattle/internal/fault"
)

// Spec is a version of an entry, the newest where the ref names none.
func (s *Store) Spec(ctx context.Context, company string, r catalog.Ref) (saved estimating.SavedSpec, err error) {
	err = s.within(ctx, company, read, func(q querier) error {
		saved, err = specAt(ctx, q, company, r)
		return err
	})
	return saved, err
}

// ListSpecs is the newest version of each entry by name, without documents and
// without what is withdrawn.
func (s *Store) ListSpecs(ctx context.Context, f estimating.SpecFilter) (list []estimating.SavedSpec, err error) {
	err = s.within(ctx, f.Company, read, func(q querier) error {
		rows, err := q.Query(ctx, `
			select `+specColumns+`, null::bytea
			from (
				select distinct on (name) company, name, version, office, title, created_at, rules_version, hash
				from saved_spec
				where company = $1 and name > $2
				order by name, version desc
			) s
			where s.hash is not null
			order by s.name
			limit $3`, f.Company, f.After, f.Limit)
		if err != nil {
			return err
		}
		list, err = pgx.CollectRows(rows, scanSpec)
		return err
	})
	return list, err
}

// ListSpecVersions is the versions of an entry, newest first, without documents.
func (s *Store) ListSpecVersions(ctx context.Context, f estimating.VersionFilter) (list []estimating.SavedSpec, err error) {
	err = s.within(ctx, f.Company, read, func(q querier) error {
		rows, err := q.Query(ctx, `
			select `+specColumns+`, null::bytea
			from saved_spec s
			where s.company = $1 and s.name = $2 and ($3 = 0 or s.version < $3)
			order by s.version desc
			limit $4`, f.Company, f.Name, f.Before, f.Limit)
		if err != nil {
			return err
		}
		if list, err = pgx.CollectRows(rows, scanSpec); err == nil && len(list) == 0 && f.Before == 0 {
			err = noSpec(f.Company, catalog.Ref{Name: f.Name})
		}
		return err
	})
	return list, err
}

func specAt(ctx context.Context, q querier, company string, r catalog.Ref) (estimating.SavedSpec, error) {
	rows, err := q.Query(ctx, `
		select `+specColumns+`, s.document
		from saved_spec s
		where s.company = $1 and s.name = $2 and ($3 = 0 or s.version = $3)
		order by s.version desc
		limit 1`, company, r.Name, r.Version)
	if err != nil {
		return estimating.SavedSpec{}, err
	}
	saved, err := pgx.CollectExactlyOneRow(rows, scanSpec)
	if errors.Is(err, pgx.ErrNoRows) {
		return estimating.SavedSpec{}, noSpec(company, r)
	}
	return saved, err
}

func noSpec(company string, r catalog.Ref) error {
	return fault.New(fault.NotFound, "SPEC_NOT_FOUND", "there is no spec %q", r).
		About("spec", "companies/"+company+"/specs/"+r.String())
}

// specColumns are the columns of saved_spec as s in the order of scanSpec, which
// wants the document after them.
const specColumns = `s.company, s.name, s.version, s.office, s.title, s.created_at, coalesce(s.rules_version, 0), s.hash`

func scanSpec(row pgx.CollectableRow) (estimating.SavedSpec, error) {
	var s estimating.SavedSpec
	var hash []byte
	err := row.Scan(&s.Company, &s.Name, &s.Version, &s.Office, &s.Title, &s.CreatedAt, &s.RulesVersion, &hash, &s.Document)
	s.CreatedAt = s.CreatedAt.UTC()
	if s.Withdrawn = hash == nil; !s.Withdrawn && err == nil {
		s.Hash = [32]byte(hash)
	}
	return s, err
}
