package main

import (
	"context"
	"errors"
	"fmt"

	"wattle/internal/localpg"
	"wattle/internal/postgres"
)

// localDatabase is a private Postgres of this machine, migrated, and a store
// on it.
type localDatabase struct {
	server *localpg.Server
	store  *postgres.Store
}

// openLocal starts the private Postgres in dir, or where dir is empty a
// temporary one, and brings its schema up to date.
func openLocal(ctx context.Context, dir string, options ...postgres.Option) (*localDatabase, error) {
	server, err := localpg.Start(ctx, localpg.Options{Dir: dir})
	if err != nil {
		return nil, err
	}
	store, err := migrated(ctx, server, options)
	if err != nil {
		return nil, errors.Join(err, server.Close())
	}
	return &localDatabase{server, store}, nil
}

// localName is the database of a private Postgres.
const localName = "postgres"

// workerURL connects as the worker role.
func (d *localDatabase) workerURL() string {
	return d.server.URLFor(postgres.Roles{}.WithDefaults().Worker, localName)
}

func migrated(ctx context.Context, server *localpg.Server, options []postgres.Option) (*postgres.Store, error) {
	names := postgres.Roles{}.WithDefaults()
	if err := postgres.EnsureRoles(ctx, server.URL(), names); err != nil {
		return nil, err
	}
	if err := postgres.Migrate(ctx, server.URLFor(names.Owner, localName), names); err != nil {
		return nil, err
	}
	return postgres.Open(ctx, server.URLFor(names.Service, localName), options...)
}

// Close closes the store, then the server.
func (d *localDatabase) Close() error {
	d.store.Close()
	if err := d.server.Close(); err != nil {
		return fmt.Errorf("stop the private Postgres: %w", err)
	}
	return nil
}
