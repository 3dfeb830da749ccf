package estimating

import (
	"context"

	"wattle/internal/auth"
	"wattle/internal/fault"
	"wattle/internal/office"
)

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
