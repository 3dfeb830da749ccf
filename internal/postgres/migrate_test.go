package postgres_test

import (
	"fmt"
	"net/url"
	"sync"
	"testing"

	"github.com/jackc/pgx/v5"

	"wattle/internal/book"
	"wattle/internal/fault"
	"wattle/internal/postgres"
	"wattle/internal/postgres/pgtest"
	"wattle/internal/postgres/storetest"
	"wattle/migrations"
)

// as is the URL with another role.
func as(t *testing.T, dsn, role, password string) string {
	t.Helper()
	u, err := url.Parse(dsn)
	if err != nil {
		t.Fatal(err)
	}
	u.User = url.UserPassword(role, password)
	return u.String()
}

// From an empty database, with names of our own: several at once, and again.
func TestMigrateFromEmpty(t *testing.T) {
	t.Parallel()
	ctx := scoped()
	db := pgtest.New(t, pgtest.Schema{Hash: "empty"})
	// Roles belong to the server, which other tests share.
	names := postgres.Roles{Owner: "x_" + db.Name + "_owner", Service: "x_" + db.Name + " \"service\"", Worker: "x_" + db.Name + "_worker"}
	admin := connect(t, db.AdminURL())
	t.Cleanup(func() {
		for _, name := range []string{names.Owner, names.Service, names.Worker} {
			id := pgx.Identifier{name}.Sanitize()
			if _, err := admin.Exec(ctx, `drop owned by `+id+`; drop role `+id); err != nil {
				t.Error(err)
			}
		}
	})
	_, err := postgres.Open(ctx, db.ServiceURL())
	wantFault(t, err, fault.Refused, "DATABASE_NOT_MIGRATED")

	atOnce(t, 3, func() error { return postgres.EnsureRoles(ctx, db.AdminURL(), names) })
	for _, name := range []string{names.Owner, names.Service} {
		if _, err := admin.Exec(ctx, `alter role `+pgx.Identifier{name}.Sanitize()+` password 'secret'`); err != nil {
			t.Fatal(err)
		}
	}
	owner := as(t, db.AdminURL(), names.Owner, "secret")
	atOnce(t, 3, func() error { return postgres.Migrate(ctx, owner, names) })
	s, err := postgres.Open(ctx, as(t, db.AdminURL(), names.Service, "secret"))
	if err != nil {
		t.Fatal(err)
	}
	mustImport(t, s, "1", list(t, book.Patch, "post 2026-01-01 10.00"))
	if err := postgres.EnsureRoles(ctx, db.AdminURL(), names); err != nil {
		t.Error(err)
	}
	if err := postgres.Migrate(ctx, owner, names); err != nil { // with data in place
		t.Error(err)
	}
	if got := price(t, s, "post", "2026-01-01", 1); got != "10.00" {
		t.Errorf("after migrating again: %s", got)
	}
	s.Close()
}

func atOnce(t *testing.T, n int, f func() error) {
	t.Helper()
	var wg sync.WaitGroup
	for range n {
		wg.Go(func() {
			if err := f(); err != nil {
				t.Error(err)
			}
		})
	}
	wg.Wait()
	if t.Failed() {
		t.FailNow()
	}
}

func TestEnsureRolesRefusesARoleThatBypassesSecurity(t *testing.T) {
	t.Parallel()
	db := pgtest.New(t, pgtest.Schema{Hash: "empty"})
	admin := connect(t, db.AdminURL())
	role := "x_" + db.Name
	if _, err := admin.Exec(scoped(), `create role `+role+` bypassrls`); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if _, err := admin.Exec(scoped(), `drop role `+role); err != nil {
			t.Error(err)
		}
	})
	if err := postgres.EnsureRoles(scoped(), db.AdminURL(), postgres.Roles{Service: role}); err == nil {
		t.Error("taken as the service role")
	}
}

// A program works with the schemas it knows: not with an older one, nor with
// one that has moved past it.
func TestOpenChecksTheSchema(t *testing.T) {
	t.Parallel()
	db := pgtest.New(t, storetest.Schema())
	ctx := scoped()
	admin := connect(t, db.AdminURL())
	for _, c := range []struct{ sql, reason string }{
		{`update schema_meta set oldest_program = %d + 1`, "PROGRAM_TOO_OLD"},
		{`update schema_meta set oldest_program = %d`, ""},
		{`insert into goose_db_version (version_id, is_applied) values (%d + 1, true)`, ""}, // newer, but serves us
		{`delete from goose_db_version where version_id >= %d`, "DATABASE_NOT_MIGRATED"},
	} {
		if _, err := admin.Exec(ctx, fmt.Sprintf(c.sql, migrations.Latest())); err != nil {
			t.Fatal(err)
		}
		s, err := postgres.Open(ctx, db.ServiceURL())
		if c.reason != "" {
			wantFault(t, err, fault.Refused, c.reason)
			continue
		}
		if err != nil {
			t.Fatalf("%s: %v", c.sql, err)
		}
		s.Close()
	}
}
