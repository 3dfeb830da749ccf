package storetest

import (
	"context"
	"crypto/rand"
	"testing"
	"time"

	"wattle/internal/auth"
	"wattle/internal/estimating"
	"wattle/internal/fault"
	"wattle/internal/office"
	"wattle/internal/postgres"
)

// Context is for calls that reach everything of one company.
func Context(company string) context.Context {
	return estimating.WithCaller(context.Background(), auth.ForCompany(company))
}

// Office makes an office under parent, and the company where it is missing.
func Office(t testing.TB, s *postgres.Store, company, id, parent string) {
	t.Helper()
	ensureCompany(t, s, company)
	_, err := s.ChangeOffice(Context(company), estimating.RequestKey{Company: company}, func(office.Tree) (office.Office, error) {
		return office.Office{ID: id, Parent: parent, Version: 1}, nil
	})
	if err != nil {
		t.Fatal(err)
	}
}

// Key is the secret of a fresh key, of a company that is made where it is
// missing. The role admin writes below its office.
func Key(t testing.TB, s *postgres.Store, company, at string, role auth.Role) string {
	t.Helper()
	ensureCompany(t, s, company)
	k := auth.Key{
		Company: company, ID: rand.Text(), Office: at, Role: role, WritesBelow: role == auth.Admin,
		CreatedAt: time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC),
	}
	secret := auth.SecretPrefix + rand.Text() + rand.Text()
	if _, _, err := s.CreateKey(Context(company), estimating.RequestKey{Company: company}, k, auth.Hash(secret)); err != nil {
		t.Fatal(err)
	}
	return secret
}

// FirstKey is the secret of a company's first key, an admin of its root, the same
// whenever it is asked for. The company is made where it is missing.
func FirstKey(t testing.TB, s *postgres.Store, company string) string {
	t.Helper()
	ensureCompany(t, s, company)
	return firstSecret(company)
}

func firstSecret(company string) string { return auth.SecretPrefix + "the-first-key-of-" + company }

func ensureCompany(t testing.TB, s *postgres.Store, company string) {
	t.Helper()
	_, _, _, err := s.CreateCompany(Context(company), estimating.RequestKey{Company: company},
		estimating.Company{ID: company, QuotesFromAbove: true, CreatedAt: time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC), Version: 1},
		office.Office{ID: office.Main, Version: 1},
		auth.Key{Company: company, ID: "first", Office: office.Main, Role: auth.Admin, WritesBelow: true}, auth.Hash(firstSecret(company)))
	if err != nil && fault.KindOf(err) != fault.AlreadyExists {
		t.Fatal(err)
	}
}
