package estimating

import (
	"context"
	"time"

	"wattle/internal/auth"
	"wattle/internal/office"
)

// Company is one company.
type Company struct {
	ID, Title       string
	QuotesFromAbove bool
	CreatedAt       time.Time // UTC, to the microsecond
	Version         int64     // counts its changes, from 1
}

// OfficeStore keeps companies, offices and keys.
type OfficeStore interface {
	// Caller is who shows the secret with that hash; Unauthenticated where
	// there is no such key, or one that is revoked, expired or of a removed
	// office.
	Caller(ctx context.Context, hash [32]byte) (auth.Caller, error)
	// CreateCompany stores a company, its root office and its first key, and
	// reports whether this call did; a repeated one gets the same.
	CreateCompany(ctx context.Context, key RequestKey, c Company, root office.Office, k auth.Key, hash [32]byte) (Company, auth.Key, bool, error)
	Company(ctx context.Context, company string) (Company, error)
	// ListCompanies is by id, those after the named one.
	ListCompanies(ctx context.Context, after string, limit int) ([]Company, error)
	// UpdateCompany stores what change makes of the company.
	UpdateCompany(ctx context.Context, key RequestKey, change func(*Company) error) (Company, error)
	// ChangeOffice stores what change makes of the tree as it is then, of
	// which the caller sees his part; no two change it at once. A repeated call
	// gets the office as that call left it.
	ChangeOffice(ctx context.Context, key RequestKey, change func(office.Tree) (office.Office, error)) (office.Office, error)
	// CreateKey stores a key, and reports whether this call did.
	CreateKey(ctx context.Context, key RequestKey, k auth.Key, hash [32]byte) (auth.Key, bool, error)
	// ListKeys is by id, those after the named one.
	ListKeys(ctx context.Context, company, after string, limit int) ([]auth.Key, error)
	// RevokeKey is NotFound (KEY_NOT_FOUND) where the caller sees no such key.
	RevokeKey(ctx context.Context, key RequestKey, id string, at time.Time) (auth.Key, error)
}
