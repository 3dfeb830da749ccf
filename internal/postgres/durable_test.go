package postgres_test

import (
	"context"
	"fmt"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"wattle/internal/estimating"
	"wattle/internal/fault"
	"wattle/internal/localpg"
	"wattle/internal/office"
	"wattle/internal/postgres"
	"wattle/internal/postgres/storetest"
)

// A change that a second machine has not confirmed is not acknowledged, neither
// when its wait is given up nor to who repeats the request, though it can be seen;
// once the second machine is there, the repeated request is answered and nothing
// was done twice.
func TestUnconfirmedCommitIsNoAnswer(t *testing.T) {
	ctx := context.Background()
	server, err := localpg.Start(ctx, localpg.Options{}) // how commits wait is a whole server's affair
	if err != nil {
		t.Fatal(err)
	}
	defer func() {
		if err := server.Close(); err != nil {
			t.Error(err)
		}
	}()
	names := postgres.Roles{}.WithDefaults()
	if err := postgres.EnsureRoles(ctx, server.URL(), names); err != nil {
		t.Fatal(err)
	}
	if err := postgres.Migrate(ctx, server.URLFor(names.Owner, "postgres"), names); err != nil {
		t.Fatal(err)
	}
	admin, err := pgx.Connect(ctx, server.URL())
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = admin.Close(ctx) }() // nothing is pending
	// A temporary server does without.
	if _, err := admin.Exec(ctx, `alter role wattle_service set synchronous_commit = on`); err != nil {
		t.Fatal(err)
	}
	store, err := postgres.Open(ctx, server.URLFor(names.Service, "postgres"))
	if err != nil {
		t.Fatal(err)
	}
	defer store.Close()
	storetest.FirstKey(t, store, company)

	setting := func(standbys string) {
		t.Helper()
		for _, sql := range []string{`alter system set synchronous_standby_names = '` + standbys + `'`, `select pg_reload_conf()`} {
			if _, err := admin.Exec(ctx, sql); err != nil {
				t.Fatal(err)
			}
		}
	}
	// givesUp cancels a call once its commit waits for a second machine, and gives
	// the error it ended with; of a call that did not wait, nil.
	givesUp := func(call func(context.Context) error) error {
		t.Helper()
		cancellable, cancel := context.WithCancel(scoped())
		defer cancel()
		ended := make(chan error, 1)
		go func() { ended <- call(cancellable) }()
		for {
			var waits bool
			if err := admin.QueryRow(ctx, `select exists (select from pg_stat_activity where wait_event = 'SyncRep')`).Scan(&waits); err != nil {
				t.Fatal(err)
			}
			if waits {
				cancel()
				return <-ended
			}
			select {
			case err := <-ended:
				return err
			case <-time.After(10 * time.Millisecond):
			}
		}
	}
	created := time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC)
	add := func(id string) func(context.Context) error {
		return func(ctx context.Context) error {
			c := estimating.Customer{Company: company, ID: id, Office: office.Main, Version: 1, CreatedAt: created, UpdatedAt: created}
			_, err := store.CreateCustomer(ctx, key("CreateCustomer", id, id), c)
			return err
		}
	}

	setting("absent")
	var id string
	for n := 0; ; n++ { // until the server has heard of the setting
		id = fmt.Sprint("customer-", n)
		if err := givesUp(add(id)); err != nil {
			if fault.KindOf(err) != fault.Canceled {
				t.Fatal(err)
			}
			break
		}
		if n == 200 {
			t.Fatal("acknowledged without a second machine")
		}
	}
	if _, err := store.Customer(scoped(), company, id); err != nil {
		t.Fatalf("the trial shows nothing, since the change is not there: %v", err)
	}
	if err := givesUp(add(id)); fault.KindOf(err) != fault.Canceled {
		t.Fatalf("acknowledged to who asked again, without a second machine: %v", err)
	}
	setting("")
	if err := add(id)(scoped()); err != nil {
		t.Fatalf("the repeated request: %v", err)
	}
	changes, err := store.ListCustomerChanges(scoped(), estimating.CustomerChangeFilter{Company: company, Customer: id, Limit: 10})
	if err != nil || len(changes) != 1 {
		t.Fatalf("done %d times: %v", len(changes), err)
	}
}
