package postgres

import (
	"context"
	"errors"
	"time"

	"github.com/jackc/pgx/v5"

	"wattle/internal/auth"
	"wattle/internal/estimating"
	"wattle/internal/fault"
)

const keyColumns = `k.company, k.id, k.office, k.role, k.writes_below, k.title, k.created_at, k.created_by, k.expires_at, k.revoked_at, k.revoked_by`

func scanKey(row pgx.CollectableRow) (auth.Key, error) {
	var k auth.Key
	var expires, revoked *time.Time
	err := row.Scan(&k.Company, &k.ID, &k.Office, &k.Role, &k.WritesBelow, &k.Title, &k.CreatedAt, &k.CreatedBy, &expires, &revoked, &k.RevokedBy)
	k.CreatedAt, k.ExpiresAt, k.RevokedAt = k.CreatedAt.UTC(), timeOf(expires), timeOf(revoked)
	return k, err
}

// timeOf is a time that may be absent, in UTC; zero where it is.
func timeOf(t *time.Time) time.Time {
	if t == nil {
		return time.Time{}
	}
	return t.UTC()
}

// orNull is a time for a column that may be null; zero is null.
func orNull(t time.Time) *time.Time {
	if t.IsZero() {
		return nil
	}
	t = t.UTC()
	return &t
}

func insertKey(ctx context.Context, q querier, k auth.Key, hash [32]byte) error {
	_, err := q.Exec(ctx, `
		insert into api_key (company, id, office, role, writes_below, title, hash, created_at, created_by, expires_at)
		values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10)`,
		k.Company, k.ID, k.Office, string(k.Role), k.WritesBelow, k.Title, hash[:], k.CreatedAt.UTC(), k.CreatedBy, orNull(k.ExpiresAt))
	return err
}

func keyByID(ctx context.Context, q querier, company, id string) (auth.Key, error) {
	rows, err := q.Query(ctx, `select `+keyColumns+` from api_key k where k.company = $1 and k.id = $2`, company, id)
	if err != nil {
		return auth.Key{}, err
	}
	k, err := pgx.CollectExactlyOneRow(rows, scanKey)
	if errors.Is(err, pgx.ErrNoRows) {
		return k, fault.New(fault.NotFound, "KEY_NOT_FOUND", "there is no key %q at or under your office", id).About("key", "companies/"+company+"/keys/"+id)
	}
	return k, err
}

// CreateKey stores a key.
func (s *Store) CreateKey(ctx context.Context, key estimating.RequestKey, k auth.Key, hash [32]byte) (kept auth.Key, first bool, err error) {
	err = s.within(ctx, key.Company, write, func(q querier) error {
		if first, err = claim(ctx, q, key, result{Key: k.ID}); err != nil {
			return err
		}
		if first {
			kept = k
			return insertKey(ctx, q, k, hash)
		}
		was, err := earlier(ctx, q, key)
		if err != nil {
			return err
		}
		if was == nil {
			return lostRequest()
		}
		kept, err = keyByID(ctx, q, key.Company, was.Key)
		return err
	})
	return kept, first, err
}

// ListKeys is by id, those after the named one.
func (s *Store) ListKeys(ctx context.Context, company, after string, limit int) (list []auth.Key, err error) {
	err = s.within(ctx, company, read, func(q querier) error {
		rows, err := q.Query(ctx, `
			select `+keyColumns+` from api_key k where k.company = $1 and k.id > $2 order by k.id limit $3`, company, after, limit)
		if err != nil {
			return err
		}
		list, err = pgx.CollectRows(rows, scanKey)
		return err
	})
	return list, err
}

// RevokeKey ends a key; one that is revoked stays as it is.
func (s *Store) RevokeKey(ctx context.Context, key estimating.RequestKey, id string, at time.Time) (k auth.Key, err error) {
	err = s.within(ctx, key.Company, write, func(q querier) error {
		if _, err := claim(ctx, q, key, result{Key: id}); err != nil {
			return err
		}
		if _, err := earlier(ctx, q, key); err != nil { // the request id of another call
			return err
		}
		_, err := q.Exec(ctx, `
			update api_key set revoked_at = $3, revoked_by = $4 where company = $1 and id = $2 and revoked_at is null`,
			key.Company, id, at.UTC(), key.Principal)
		if err != nil {
			return err
		}
		k, err = keyByID(ctx, q, key.Company, id)
		return err
	})
	return k, err
}
