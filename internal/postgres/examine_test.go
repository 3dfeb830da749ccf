package postgres_test

import (
	"net/url"
	"slices"
	"strings"
	"testing"
	"time"

	"wattle/internal/postgres"
	"wattle/internal/postgres/pgtest"
	"wattle/internal/postgres/storetest"
	"wattle/migrations"
)

// A database says who may do what in it, to each of the roles.
func TestExamine(t *testing.T) {
	t.Parallel()
	db := pgtest.New(t, storetest.Schema())
	look := func(dsn string) postgres.Examination {
		t.Helper()
		e, err := postgres.Examine(t.Context(), dsn, time.Now)
		if err != nil {
			t.Fatal(err)
		}
		return e
	}
	for name, dsn := range map[string]string{"service": db.ServiceURL(), "worker": db.WorkerURL()} {
		e := look(dsn)
		if e.Superuser || e.BypassesRLS || e.OwnsTables || e.MayCreate || len(e.Unbound) > 0 || e.Standby {
			t.Errorf("the %s has rights that it should not: %+v", name, e)
		}
		if e.Schema != migrations.Latest() || e.Program != e.Schema || e.OldestProgram == 0 || e.OldestProgram > e.Schema || e.Major < 15 || e.Bytes <= 0 {
			t.Errorf("to the %s: %+v", name, e)
		}
		for _, setting := range []string{"max_connections", "fsync", "full_page_writes", "synchronous_commit", "wal_level", "TimeZone", "server_encoding"} {
			if e.Settings[setting] == "" {
				t.Errorf("%s is not read", setting)
			}
		}
		if e.Ahead.Abs() > e.Slack+5*time.Second { // the server is of this machine
			t.Errorf("the clock is %s ahead, give or take %s", e.Ahead, e.Slack)
		}
	}
	if e := look(db.OwnerURL()); !e.OwnsTables || !e.MayCreate || e.Superuser {
		t.Errorf("the owner: %+v", e)
	}
	if e := look(db.AdminURL()); !e.Superuser || e.OwnsTables || len(e.Unbound) < 10 {
		t.Errorf("the administrator: %+v", e)
	}
	if e, err := postgres.Examine(t.Context(), db.ServiceURL(), func() time.Time { return time.Now().Add(-time.Hour) }); err != nil || (e.Ahead-time.Hour).Abs() > e.Slack+5*time.Second {
		t.Errorf("to a machine an hour behind it is %s ahead, %v", e.Ahead, err)
	}
	if _, err := connect(t, db.OwnerURL()).Exec(t.Context(), `alter table quote disable row level security`); err != nil {
		t.Fatal(err)
	}
	if e := look(db.ServiceURL()); !slices.Equal(e.Unbound, []string{"quote"}) {
		t.Errorf("unbound: %v", e.Unbound)
	}
	if e := look(pgtest.New(t, pgtest.Schema{Hash: "empty"}).ServiceURL()); e.Schema != 0 || len(e.Unbound) > 0 {
		t.Errorf("without tables: %+v", e)
	}
}

// Whatever is wrong with a URL or a server, the password is not told.
func TestExamineTellsNoPassword(t *testing.T) {
	t.Parallel()
	const secret = "hunter2-is-secret"
	there, err := url.Parse(pgtest.New(t, pgtest.Schema{Hash: "empty"}).ServiceURL())
	if err != nil {
		t.Fatal(err)
	}
	there.User = url.UserPassword(pgtest.Service, secret)
	nobody := *there
	nobody.Host = "127.0.0.1:1"
	for dsn, want := range map[string]string{
		there.String():  "refuses: password authentication failed",
		nobody.String(): "no server answers at 127.0.0.1:1, database ",
		"postgres://a:" + secret + "%zz@db/wattle":                  "it cannot be read",
		"host=db password=" + secret + " port=notanumber":           "it cannot be read",
		"postgres://a:" + secret + "@db/wattle?pool_max_conns=many": "it cannot be read",
	} {
		_, err := postgres.Examine(t.Context(), dsn, time.Now)
		if err == nil || !strings.Contains(err.Error(), want) || strings.Contains(err.Error(), secret) {
			t.Errorf("%v; want %q", err, want)
		}
	}
}
