package postgres

import (
	"context"
	"slices"

	"github.com/jackc/pgx/v5"

	"wattle/internal/estimating"
	"wattle/internal/fault"
	"wattle/internal/render"
)

// SaveTemplate stores the template as its office's next version, unless the
// newest is the same.
func (s *Store) SaveTemplate(ctx context.Context, key estimating.RequestKey, in estimating.SavedTemplate) (kept estimating.SavedTemplate, applied bool, err error) {
	err = s.within(ctx, key.Company, write, func(q querier) error {
		if err := lockName(ctx, q, "paper_template/"+key.Company+"/"+in.Office); err != nil {
			return err
		}
		answer, _, err := once(ctx, q, key, func() (result, error) {
			newest, err := templateOf(ctx, q, key.Company, []string{in.Office}, 0)
			if err != nil && fault.KindOf(err) != fault.NotFound {
				return result{}, err
			}
			if newest.Version > 0 && newest.Hash == in.Hash {
				return result{Office: in.Office, Version: newest.Version}, nil
			}
			next := in
			next.Version = newest.Version + 1
			return result{Office: in.Office, Version: next.Version, Applied: true}, insertTemplate(ctx, q, next)
		})
		if err != nil {
			return err
		}
		applied = answer.Applied
		kept, err = templateOf(ctx, q, key.Company, []string{answer.Office}, answer.Version)
		return err
	})
	if err != nil {
		return estimating.SavedTemplate{}, false, err
	}
	return kept, applied, nil
}

// Template is a version of the first of the offices that has one.
func (s *Store) Template(ctx context.Context, company string, offices []string, version int) (t estimating.SavedTemplate, err error) {
	err = s.within(ctx, company, read, func(q querier) error {
		t, err = templateOf(ctx, q, company, offices, version)
		return err
	})
	return t, err
}

// ListTemplates is by office, newest first, without logos and fonts.
func (s *Store) ListTemplates(ctx context.Context, f estimating.TemplateFilter) (list []estimating.SavedTemplate, err error) {
	err = s.within(ctx, f.Company, read, func(q querier) error {
		rows, err := q.Query(ctx, `
			select `+templateColumns+`, ''::bytea, ''::bytea
			from paper_template t
			where t.company = $1
			  and ($2 or t.version = (select max(n.version) from paper_template n where n.company = t.company and n.office = t.office))
			  and (t.office > $3 or t.office = $3 and t.version < $4)
			order by t.office, t.version desc
			limit $5`, f.Company, f.Every, f.AfterOffice, f.BeforeVersion, f.Limit)
		if err != nil {
			return err
		}
		list, err = pgx.CollectRows(rows, scanTemplate)
		return err
	})
	return list, err
}

func templateOf(ctx context.Context, q querier, company string, offices []string, version int) (estimating.SavedTemplate, error) {
	rows, err := q.Query(ctx, `
		select `+templateColumns+`, t.logo, t.font
		from paper_template t
		where t.company = $1 and t.office = any ($2::text[]) and ($3 = 0 or t.version = $3)
		order by array_position($2::text[], t.office), t.version desc
		limit 1`, company, offices, version)
	if err != nil {
		return estimating.SavedTemplate{}, err
	}
	list, err := pgx.CollectRows(rows, scanTemplate)
	if err != nil || len(list) == 1 {
		return slices.Concat(list, []estimating.SavedTemplate{{}})[0], err
	}
	name := ""
	if len(offices) > 0 {
		name = offices[0]
	}
	return estimating.SavedTemplate{}, fault.New(fault.NotFound, "TEMPLATE_NOT_FOUND", "the office %q has no such template", name).
		About("template", "companies/"+company+"/templates/"+name)
}

// templateColumns are the columns of paper_template as t in the order of
// scanTemplate, which wants logo and font after them.
const templateColumns = `t.company, t.office, t.version, t.created_at, t.hash, t.title, t.address, t.terms, t.locale, t.paper, t.measures`

func scanTemplate(row pgx.CollectableRow) (estimating.SavedTemplate, error) {
	var t estimating.SavedTemplate
	var hash []byte
	var measures string
	p := &t.Template
	err := row.Scan(&t.Company, &t.Office, &t.Version, &t.CreatedAt, &hash, &p.Title, &p.Address, &p.Terms, &p.Locale, &p.Paper, &measures, &p.Logo, &p.Font)
	if err != nil {
		return t, err
	}
	t.CreatedAt, t.Hash, p.Measures = t.CreatedAt.UTC(), [32]byte(hash), render.Measures(measures)
	return t, nil
}

func insertTemplate(ctx context.Context, q querier, t estimating.SavedTemplate) error {
	p := t.Template
	_, err := q.Exec(ctx, `
		insert into paper_template (company, office, version, created_at, hash, title, address, terms, locale, paper, measures, logo, font)
		values ($1, $2, $3, $4, $5, $6, coalesce($7, '{}'::text[]), coalesce($8, '{}'::text[]), $9, $10, $11, coalesce($12, ''::bytea), coalesce($13, ''::bytea))`,
		t.Company, t.Office, t.Version, t.CreatedAt, t.Hash[:], p.Title, p.Address, p.Terms, p.Locale, p.Paper, string(p.Measures), p.Logo, p.Font)
	return err
}
