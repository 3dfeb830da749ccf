package postgres_test

import (
	"context"
	"fmt"
	"net"
	"net/url"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"wattle/internal/fault"
	"wattle/internal/postgres"
	"wattle/internal/postgres/pgtest"
	"wattle/internal/postgres/storetest"
	"wattle/internal/trial/line"
)

// overLine is a store whose way to its database can be made bad.
func overLine(t *testing.T, parameters string) (*postgres.Store, *line.Line) {
	t.Helper()
	db := pgtest.New(t, storetest.Schema())
	target, err := url.Parse(db.ServiceURL())
	if err != nil {
		t.Fatal(err)
	}
	l, err := line.Listen(func(ctx context.Context) (net.Conn, error) {
		if socket := target.Query().Get("host"); socket != "" {
			return (&net.Dialer{}).DialContext(ctx, "unix", socket+"/.s.PGSQL."+target.Query().Get("port"))
		}
		return (&net.Dialer{}).DialContext(ctx, "tcp", target.Host)
	})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = l.Close() })
	through := *target
	through.Host, through.RawQuery = l.Addr(), "sslmode=disable&"+parameters
	store, err := postgres.Open(t.Context(), through.String())
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { l.Break(); store.Close() }) // what waits for a silent line ends
	return store, l
}

// A database that does not answer is seen within the deadline, and so is that it
// is back; calls then find connections that work.
func TestWritableOverASilentLine(t *testing.T) {
	t.Parallel()
	store, l := overLine(t, "connect_timeout=1")
	if err := store.Writable(t.Context()); err != nil {
		t.Fatalf("on a good line: %v", err)
	}
	l.Silence()
	for range 2 { // over the connection it has, then over a new one
		limited, cancel := context.WithTimeout(t.Context(), 100*time.Millisecond)
		wantFault(t, store.Writable(limited), fault.DeadlineExceeded, "DEADLINE_EXCEEDED")
		cancel()
	}
	// A call whose own deadline is far ends all the same, for want of a connection.
	l.Break()
	l.Silence()
	_, err := store.Resolve(scoped(), query("2026-01-01", 0, "post"))
	wantFault(t, err, fault.Unavailable, "DATABASE_UNAVAILABLE")
	l.Pass()
	if err := store.Writable(t.Context()); err != nil {
		t.Fatalf("on the line made good: %v", err)
	}
	if _, err := store.Resolve(scoped(), query("2026-01-01", 0, "post")); err != nil {
		t.Errorf("a call on the line made good: %v", err)
	}
}

func TestWritableOverABrokenLine(t *testing.T) {
	t.Parallel()
	store, l := overLine(t, "")
	l.Break()
	wantFault(t, store.Writable(t.Context()), fault.Unavailable, "DATABASE_UNAVAILABLE")
	l.Pass()
	if err := store.Writable(t.Context()); err != nil {
		t.Errorf("on the mended line: %v", err)
	}
}

// Postgres lets go of what a service that vanished had locked, and of its
// connections.
func TestPostgresGivesUpAVanishedService(t *testing.T) {
	t.Parallel()
	store := storetest.New(t)
	for name, want := range map[string]string{"idle_in_transaction_session_timeout": "10s", "application_name": "wattle", "jit": "off"} {
		if got, err := store.Setting(t.Context(), name); got != want || err != nil {
			t.Errorf("%s is %q, %v, want %q", name, got, err, want)
		}
	}
}

// After a statement that found no room, being writable takes room for a table;
// once that was seen it is not asked for again. A database in which the service
// may make no table stands for one without room.
func TestWritableAsksForRoom(t *testing.T) {
	t.Parallel()
	store, db := storetest.NewWithDB(t)
	admin := connect(t, db.AdminURL())
	may := func(statement string) {
		t.Helper()
		name := pgx.Identifier{db.Name}.Sanitize()
		if _, err := admin.Exec(t.Context(), fmt.Sprintf(statement, name)); err != nil {
			t.Fatal(err)
		}
	}
	may(`revoke temporary on database %s from public, wattle_service`)
	if err := store.Writable(t.Context()); err != nil {
		t.Fatalf("without a reason to ask for room: %v", err)
	}
	store.NoticeDiskFull()
	if err := store.Writable(t.Context()); err == nil {
		t.Fatal("writable without room")
	}
	may(`grant temporary on database %s to wattle_service`)
	if err := store.Writable(t.Context()); err != nil {
		t.Fatalf("with room again: %v", err)
	}
	may(`revoke temporary on database %s from wattle_service`)
	if err := store.Writable(t.Context()); err != nil {
		t.Errorf("room was seen, and is still asked for: %v", err)
	}
}
