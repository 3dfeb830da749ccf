package estimating

import (
	"context"
	"time"

	"wattle/internal/auth"
	"wattle/internal/civil"
	"wattle/internal/fault"
	"wattle/internal/office"
)

type callerKey struct{}

// WithCaller is ctx for a call of c's. Stores see and write only what c reaches.
func WithCaller(ctx context.Context, c auth.Caller) context.Context {
	return context.WithValue(ctx, callerKey{}, c)
}

// CallerOf is who makes the call; the zero Caller, who reaches no company, where
// nobody is named.
func CallerOf(ctx context.Context) auth.Caller {
	c, _ := ctx.Value(callerKey{}).(auth.Caller)
	return c
}

// CallerFor is who makes the call; Denied (COMPANY_NOT_YOURS) where that is not
// somebody of the company.
func CallerFor(ctx context.Context, company string) (auth.Caller, error) {
	c := CallerOf(ctx)
	if c.Company != company || company == "" {
		return auth.Caller{}, fault.New(fault.Denied, "COMPANY_NOT_YOURS", "this key is not of the company %q", company)
	}
	return c, nil
}

// writesAt is the office that a call writes at: the one asked for, or the
// caller's own where that is empty. See auth.Caller.Writes.
func writesAt(ctx context.Context, company, field, asked string) (string, error) {
	c, err := CallerFor(ctx, company)
	if err != nil {
		return "", err
	}
	return c.Writes(field, asked)
}

// readsAt is the office whose prices a call reads, as writesAt.
func readsAt(ctx context.Context, company, asked string) (string, error) {
	c, err := CallerFor(ctx, company)
	if err != nil {
		return "", err
	}
	return c.Reads(asked)
}

// asService is ctx for work on the company's history as a whole, which the
// caller sees only a part of: the answer must not tell him rows.
func asService(ctx context.Context, company string) context.Context {
	return WithCaller(ctx, auth.ForCompany(company))
}

// today is the date at an office.
func (s *Service) today(ctx context.Context, at string) civil.Date {
	return civil.Of(s.Now().In(Zone(CallerOf(ctx).Tree.Settings(at))))
}

// Zone is the time zone of an office's settings, which were checked when they
// were set; UTC where this machine no longer knows it.
func Zone(s office.Settings) *time.Location {
	zone, err := time.LoadLocation(s.TimeZone)
	if err != nil {
		return time.UTC
	}
	return zone
}

// knownZone reports whether the machine knows a time zone by that name. Local is
// the machine's own affair and no name.
func knownZone(name string) bool {
	_, err := time.LoadLocation(name)
	return err == nil && name != "Local"
}
