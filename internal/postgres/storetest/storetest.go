// Package storetest gives a test a store on a migrated database of its own,
// connected as the service role.
package storetest

import (
	"context"
	"testing"

	"wattle/internal/postgres"
	"wattle/internal/postgres/pgtest"
	"wattle/migrations"
)

// Schema is the program's own schema, for pgtest.New.
func Schema() pgtest.Schema {
	return pgtest.Schema{
		Hash: migrations.Hash(),
		Apply: func(ctx context.Context, ownerURL string) error {
			return postgres.Migrate(ctx, ownerURL, postgres.Roles{Owner: pgtest.Owner, Service: pgtest.Service, Worker: pgtest.Worker})
		},
	}
}

// New is a store on an empty database that lasts as long as t.
func New(t testing.TB, options ...postgres.Option) *postgres.Store {
	t.Helper()
	store, _ := NewWithDB(t, options...)
	return store
}

// NewWithDB is New for a test that also looks behind the store.
func NewWithDB(t testing.TB, options ...postgres.Option) (*postgres.Store, *pgtest.DB) {
	t.Helper()
	db := pgtest.New(t, Schema())
	return Open(t, db, options...), db
}

// Open is one more store on a test's database, with connections of its own.
func Open(t testing.TB, db *pgtest.DB, options ...postgres.Option) *postgres.Store {
	t.Helper()
	store, err := postgres.Open(context.Background(), db.ServiceURL(), options...)
	if err != nil {
		t.Fatalf("open the store: %v", err)
	}
	t.Cleanup(store.Close)
	return store
}
