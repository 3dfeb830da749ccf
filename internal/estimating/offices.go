package estimating

import (
	"context"
	"slices"
	"strings"
	"time"

	"wattle/internal/auth"
	"wattle/internal/fault"
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

// Authenticate is who shows a secret.
func (s *Service) Authenticate(ctx context.Context, secret string) (auth.Caller, error) {
	return s.Offices.Caller(ctx, auth.Hash(secret))
}

// CreateCompany makes a company with its root office and an admin key for it,
// whose secret is empty where an earlier call made them.
func (s *Service) CreateCompany(ctx context.Context, key RequestKey, title, zone string) (c Company, k auth.Key, secret string, err error) {
	v := &fault.List{}
	v.Require(zone == "" || knownZone(zone), "time_zone", "expected the name of a time zone, such as America/Chicago, found %q", zone)
	if err := v.Err(); err != nil {
		return Company{}, auth.Key{}, "", err
	}
	now := s.now()
	c = Company{ID: key.Company, Title: title, QuotesFromAbove: true, CreatedAt: now, Version: 1}
	root := office.Office{ID: office.Main, Title: title, Settings: office.Settings{TimeZone: zone}, Version: 1}
	k = auth.Key{
		Company: key.Company, ID: s.NewID(), Office: office.Main, Role: auth.Admin, WritesBelow: true,
		Title: "first key", CreatedAt: now,
	}
	secret = s.NewSecret()
	c, k, first, err := s.Offices.CreateCompany(asService(ctx, key.Company), key, c, root, k, auth.Hash(secret))
	if err != nil || !first {
		secret = ""
	}
	return c, k, secret, err
}

// ListCompanies is by id, those after the named one.
func (s *Service) ListCompanies(ctx context.Context, after string, limit int) ([]Company, error) {
	return s.Offices.ListCompanies(asService(ctx, everyCompany), after, limit)
}

// everyCompany is no company's id, and the scope of who lists them.
const everyCompany = "*"

// GetCompany is the caller's company.
func (s *Service) GetCompany(ctx context.Context, company string) (Company, error) {
	return s.Offices.Company(ctx, company)
}

// UpdateCompany changes the company; for keys of the root office.
func (s *Service) UpdateCompany(ctx context.Context, key RequestKey, version *int64, change func(*Company)) (Company, error) {
	c, err := CallerFor(ctx, key.Company)
	if err != nil {
		return Company{}, err
	}
	if c.Office != office.Main {
		return Company{}, fault.New(fault.Denied, "OFFICE_NOT_YOURS", "this needs a key of the office %s, and yours is of %s", office.Main, c.Office)
	}
	return s.Offices.UpdateCompany(ctx, key, func(c *Company) error {
		if err := sameVersion(version, c.Version); err != nil {
			return err
		}
		change(c)
		return nil
	})
}

func sameVersion(asked *int64, now int64) error {
	if asked != nil && *asked != now {
		return fault.New(fault.Conflict, "ETAG_MISMATCH", "it was changed since it was read: read it again")
	}
	return nil
}

// GetOffice is an office that the caller reads prices of.
func (s *Service) GetOffice(ctx context.Context, company, id string) (office.Office, error) {
	c, err := CallerFor(ctx, company)
	if err != nil {
		return office.Office{}, err
	}
	o, ok := c.Tree.Find(id)
	if !ok || !slices.Contains(c.PriceOffices(), id) {
		return office.Office{}, noOffice(company, id)
	}
	return o, nil
}

func noOffice(company, id string) error {
	return fault.New(fault.NotFound, "OFFICE_NOT_FOUND", "there is no office %q above or under yours", id).
		About("office", "companies/"+company+"/offices/"+id)
}

// ListOffices is the offices that the caller reads prices of, by id, those after
// the named one.
func (s *Service) ListOffices(ctx context.Context, company, after string, limit int) ([]office.Office, error) {
	c, err := CallerFor(ctx, company)
	if err != nil {
		return nil, err
	}
	var list []office.Office
	for _, id := range slices.Sorted(slices.Values(c.PriceOffices())) {
		if o, ok := c.Tree.Find(id); ok && id > after && len(list) < limit {
			list = append(list, o)
		}
	}
	return list, nil
}

// CreateOffice adds an office, under the caller's own where it names no parent.
func (s *Service) CreateOffice(ctx context.Context, key RequestKey, o office.Office) (office.Office, error) {
	c, err := CallerFor(ctx, key.Company)
	if err != nil {
		return o, err
	}
	if o.Parent == "" {
		o.Parent = c.Office
	}
	o.Version = 1
	return s.Offices.ChangeOffice(ctx, key, func(t office.Tree) (office.Office, error) {
		if _, exists := t.Find(o.ID); exists {
			return o, fault.New(fault.AlreadyExists, "OFFICE_EXISTS", "there is an office %q already", o.ID)
		}
		return o, placed(c, t, o, true)
	})
}

// placed says what is wrong with an office at its place in the tree.
func placed(c auth.Caller, t office.Tree, o office.Office, moved bool) error {
	v := &fault.List{}
	o.Validate(v.At("office"), knownZone)
	if moved {
		if t.Place(v.At("office"), o.ID, o.Parent); v.Len() == 0 && !slices.Contains(t.Below(c.Office), o.Parent) {
			return fault.New(fault.Denied, "OFFICE_NOT_YOURS", "the office %q is not under yours, %s", o.Parent, c.Office)
		}
	}
	return v.Err()
}

// UpdateOffice changes an office under the caller's own, or the root by a key of
// the root: what an office may sell at is decided above it.
func (s *Service) UpdateOffice(ctx context.Context, key RequestKey, id string, version *int64, change func(*office.Office)) (office.Office, error) {
	c, err := CallerFor(ctx, key.Company)
	if err != nil {
		return office.Office{}, err
	}
	return s.Offices.ChangeOffice(ctx, key, func(t office.Tree) (office.Office, error) {
		o, err := under(c, t, id, version)
		if err != nil {
			return o, err
		}
		was := o.Parent
		change(&o)
		o.Version++
		return o, placed(c, t, o, o.Parent != was)
	})
}

// under is an office that the caller may change.
func under(c auth.Caller, t office.Tree, id string, version *int64) (office.Office, error) {
	o, ok := t.Find(id)
	switch {
	case !ok:
		return o, noOffice(c.Company, id)
	case !slices.Contains(t.Below(c.Office), id) || id == c.Office && id != office.Main:
		return o, fault.New(fault.Denied, "OFFICE_NOT_YOURS", "the office %q is changed with a key of an office above it; yours is of %s", id, c.Office)
	case o.Removed:
		return o, fault.New(fault.Refused, "OFFICE_REMOVED", "the office %q is removed", id)
	}
	return o, sameVersion(version, o.Version)
}

// RemoveOffice ends an office under the caller's own.
func (s *Service) RemoveOffice(ctx context.Context, key RequestKey, id string, version *int64) (office.Office, error) {
	c, err := CallerFor(ctx, key.Company)
	if err != nil {
		return office.Office{}, err
	}
	return s.Offices.ChangeOffice(ctx, key, func(t office.Tree) (office.Office, error) {
		o, err := under(c, t, id, version)
		if err != nil {
			return o, err
		}
		if id == office.Main {
			return o, fault.New(fault.Refused, "OFFICE_IS_ROOT", "the root of the offices is not removed")
		}
		alive := slices.DeleteFunc(t.Below(id), func(below string) bool {
			each, _ := t.Find(below)
			return below == id || each.Removed
		})
		if len(alive) > 0 {
			return o, fault.New(fault.Refused, "OFFICE_HAS_OFFICES", "offices stand under %q: %s; move or remove them first", id, strings.Join(alive, ", "))
		}
		o.Removed = true
		o.Version++
		return o, nil
	})
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
