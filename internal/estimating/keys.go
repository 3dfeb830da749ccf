package estimating

import (
	"context"
	"time"

	"wattle/internal/auth"
	"wattle/internal/fault"
)

// Authenticate is who shows a secret.
func (s *Service) Authenticate(ctx context.Context, secret string) (auth.Caller, error) {
	return s.Offices.Caller(ctx, auth.Hash(secret))
}

// CreateKey makes a key for an office at or under the caller's own, with a role
// no higher than his and no wider reach. The secret is empty where an earlier
// call made it.
func (s *Service) CreateKey(ctx context.Context, key RequestKey, k auth.Key) (auth.Key, string, error) {
	c, err := CallerFor(ctx, key.Company)
	if err != nil {
		return k, "", err
	}
	if k.Office == "" {
		k.Office = c.Office
	}
	v := &fault.List{}
	at := v.At("key")
	at.Require(k.ExpiresAt.IsZero() || k.ExpiresAt.After(s.Now()), "expire_time", "expected a time to come, found %s", k.ExpiresAt.UTC().Format(time.RFC3339))
	o, ok := c.Tree.Find(k.Office)
	at.Require(ok && c.Manages(k.Office), "office", "there is no office %q at or under yours, %s", k.Office, c.Office)
	at.Require(!o.Removed, "office", "the office %q is removed", k.Office)
	if err := v.Err(); err != nil {
		return k, "", err
	}
	if !c.Role.May(k.Role) || k.WritesBelow && !c.WritesBelow {
		return k, "", fault.New(fault.Denied, "ROLE_TOO_LOW", "a key cannot make one that may do more than itself")
	}
	k.Company, k.ID, k.CreatedAt, k.CreatedBy = key.Company, s.NewID(), s.now(), c.Principal
	secret := s.NewSecret()
	k, first, err := s.Offices.CreateKey(ctx, key, k, auth.Hash(secret))
	if err != nil || !first {
		secret = ""
	}
	return k, secret, err
}

// ListKeys is the keys of the offices at and under the caller's own, by id,
// those after the named one.
func (s *Service) ListKeys(ctx context.Context, company, after string, limit int) ([]auth.Key, error) {
	return s.Offices.ListKeys(ctx, company, after, limit)
}

// RevokeKey ends a key of an office at or under the caller's own.
func (s *Service) RevokeKey(ctx context.Context, key RequestKey, id string) (auth.Key, error) {
	return s.Offices.RevokeKey(ctx, key, id, s.now())
}
