package postgres

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"

	"github.com/govalues/decimal"
	"github.com/jackc/pgx/v5"

	"wattle/internal/book"
	"wattle/internal/estimating"
	"wattle/internal/fault"
)

// uploadHeader is an import's header as price_import keeps it.
type uploadHeader struct {
	Mode               book.Mode       `json:"mode"`
	DryRun             bool            `json:"dry_run,omitempty"`
	Base               *book.Revision  `json:"base,omitempty"`
	JumpLimit          decimal.Decimal `json:"jump_limit"`
	AcceptJumps        bool            `json:"accept_jumps,omitempty"`
	AcceptZeroPrices   bool            `json:"accept_zero_prices,omitempty"`
	AcceptUnitChanges  bool            `json:"accept_unit_changes,omitempty"`
	RefuseUnknownItems bool            `json:"refuse_unknown_items,omitempty"`
}

// StartUpload implements estimating.ImportStore.
func (s *Store) StartUpload(ctx context.Context, key estimating.RequestKey, u estimating.Upload) (id string, err error) {
	in := u.Import
	header, err := json.Marshal(uploadHeader{
		Mode: in.Mode, DryRun: in.DryRun, Base: in.Base, JumpLimit: in.JumpLimit, AcceptJumps: in.AcceptJumps,
		AcceptZeroPrices: in.AcceptZeroPrices, AcceptUnitChanges: in.AcceptUnitChanges, RefuseUnknownItems: in.RefuseUnknownItems,
	})
	if err != nil {
		return "", err
	}
	id = u.ID
	err = s.within(ctx, key.Company, write, func(q querier) error {
		first, err := claim(ctx, q, key, result{Import: id})
		if err != nil {
			return err
		}
		if !first {
			was, err := earlier(ctx, q, key)
			if err == nil && was == nil {
				err = lostRequest()
			}
			if err == nil {
				id = was.Import
			}
			return err
		}
		_, err = q.Exec(ctx, `
			insert into price_import (company, import, office, request_id, request_hash, header)
			values ($1, $2, $3, $4, $5, $6::text::jsonb)`, key.Company, id, in.Office, key.RequestID, key.Hash[:], string(header))
		return err
	})
	return id, err
}

// Upload implements estimating.ImportStore.
func (s *Store) Upload(ctx context.Context, company, id string) (u estimating.Upload, err error) {
	var hash []byte
	var stored string
	err = s.within(ctx, company, read, func(q querier) error {
		err := q.QueryRow(ctx, `
			select office, request_id, request_hash, header::text from price_import where company = $1 and import = $2`,
			company, id).Scan(&u.Import.Office, &u.Key.RequestID, &hash, &stored)
		return orImportNotFound(err, id)
	})
	if err != nil {
		return estimating.Upload{}, err
	}
	var h uploadHeader
	if err := json.Unmarshal([]byte(stored), &h); err != nil {
		return estimating.Upload{}, fmt.Errorf("header of import %q: %w", id, err)
	}
	u.ID, u.Key.Company = id, company
	copy(u.Key.Hash[:], hash)
	u.Import = book.Import{
		Company: company, Office: u.Import.Office, Mode: h.Mode, DryRun: h.DryRun, Base: h.Base, JumpLimit: h.JumpLimit, AcceptJumps: h.AcceptJumps,
		AcceptZeroPrices: h.AcceptZeroPrices, AcceptUnitChanges: h.AcceptUnitChanges, RefuseUnknownItems: h.RefuseUnknownItems,
	}
	return u, nil
}

func orImportNotFound(err error, id string) error {
	if errors.Is(err, pgx.ErrNoRows) {
		return fault.New(fault.NotFound, "IMPORT_NOT_FOUND", "there is no import %q under way; one that is not committed within a day is removed", id).
			About("import", id)
	}
	return err
}

// AddPart implements estimating.ImportStore. The import's row is locked, so
// parts of one import come one after another.
func (s *Store) AddPart(ctx context.Context, company, id string, part int, content []byte, most int64) error {
	return s.within(ctx, company, write, func(q querier) error {
		var size int64
		var office string
		err := q.QueryRow(ctx, `select bytes, office from price_import where company = $1 and import = $2 for update`, company, id).Scan(&size, &office)
		if err != nil {
			return orImportNotFound(err, id)
		}
		stored, err := partOf(ctx, q, company, id, part)
		switch {
		case err != nil:
			return err
		case stored != nil && bytes.Equal(stored, content):
			return nil
		case stored != nil:
			return fault.New(fault.AlreadyExists, "PART_DIFFERS", "part %d is there already, with other content: start another import", part)
		case size+int64(len(content)) > most:
			return fault.New(fault.Exhausted, "PRICE_LIST_TOO_LARGE", "the price list is too large: at most %d bytes", most)
		}
		_, err = q.Exec(ctx, `insert into import_part (company, import, office, part, content) values ($1, $2, $3, $4, $5)`, company, id, office, part, content)
		if err != nil {
			return err
		}
		_, err = q.Exec(ctx, `update price_import set bytes = bytes + $3 where company = $1 and import = $2`, company, id, len(content))
		return err
	})
}

// Parts implements estimating.ImportStore.
func (s *Store) Parts(ctx context.Context, company, id string) (parts int, err error) {
	err = s.within(ctx, company, read, func(q querier) error {
		var missing int
		err := q.QueryRow(ctx, `
			select coalesce(max(part), 0), coalesce(min(n) filter (where part <> n), 0)
			from (select part, row_number() over (order by part) as n
			      from import_part where company = $1 and import = $2) p`, company, id).Scan(&parts, &missing)
		if err != nil {
			return err
		}
		var v fault.List
		v.Require(parts > 0, "parts", "no part of the file has come")
		v.Require(missing == 0, "parts", "part %d has not come, and part %d has", missing, parts)
		return v.Err()
	})
	return parts, err
}

// Part implements estimating.ImportStore.
func (s *Store) Part(ctx context.Context, company, id string, part int) (content []byte, err error) {
	err = s.within(ctx, company, read, func(q querier) error {
		content, err = partOf(ctx, q, company, id, part)
		if err == nil && content == nil { // committed meanwhile by another call
			err = orImportNotFound(pgx.ErrNoRows, id)
		}
		return err
	})
	return content, err
}

// partOf is a part's content, nil where there is none.
func partOf(ctx context.Context, q querier, company, id string, part int) (content []byte, err error) {
	err = q.QueryRow(ctx, `select content from import_part where company = $1 and import = $2 and part = $3`, company, id, part).Scan(&content)
	if errors.Is(err, pgx.ErrNoRows) {
		return nil, nil
	}
	return content, err
}

// DropParts implements estimating.ImportStore.
func (s *Store) DropParts(ctx context.Context, company, id string) error {
	return s.within(ctx, company, write, func(q querier) error {
		_, err := q.Exec(ctx, `delete from import_part where company = $1 and import = $2`, company, id)
		return err
	})
}
