package pgtest_test

import (
	"context"
	"os"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
	"go.uber.org/goleak"

	"wattle/internal/postgres/pgtest"
)

func TestMain(m *testing.M) {
	if os.Getenv(userEnv) != "" {
		useServer()
	}
	goleak.VerifyTestMain(m)
}

var house = pgtest.Schema{
	Hash: "harness",
	Apply: func(ctx context.Context, ownerURL string) error {
		conn, err := pgx.Connect(ctx, ownerURL)
		if err != nil {
			return err
		}
		defer conn.Close(ctx)
		_, err = conn.Exec(ctx, "CREATE TABLE guest (name text); GRANT SELECT, INSERT ON guest TO "+pgtest.Service)
		return err
	},
}

func connect(t *testing.T, url string) *pgx.Conn {
	t.Helper()
	conn, err := pgx.Connect(t.Context(), url)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = conn.Close(context.Background()) })
	return conn
}

func one[T any](t *testing.T, conn *pgx.Conn, sql string) T {
	t.Helper()
	var v T
	if err := conn.QueryRow(t.Context(), sql).Scan(&v); err != nil {
		t.Fatalf("%s: %v", sql, err)
	}
	return v
}

func TestDatabasesAreApart(t *testing.T) {
	a := connect(t, pgtest.New(t, house).ServiceURL())
	b := connect(t, pgtest.New(t, house).ServiceURL())
	if _, err := a.Exec(t.Context(), "INSERT INTO guest VALUES ('Ann')"); err != nil {
		t.Fatal(err)
	}
	if n := one[int](t, b, "SELECT count(*) FROM guest"); n != 0 {
		t.Errorf("b sees %d guests of a", n)
	}
}

func TestRoles(t *testing.T) {
	db := pgtest.New(t, house)
	for _, tc := range []struct {
		role, url string
		super     bool
	}{
		{pgtest.Owner, db.OwnerURL(), false},
		{pgtest.Service, db.ServiceURL(), false},
		{pgtest.Worker, db.WorkerURL(), false},
		{"", db.AdminURL(), true},
	} {
		conn := connect(t, tc.url)
		if got := one[string](t, conn, "SELECT current_user"); tc.role != "" && got != tc.role {
			t.Errorf("connected as %s, want %s", got, tc.role)
		}
		if got := one[bool](t, conn, "SELECT rolsuper OR rolbypassrls FROM pg_roles WHERE rolname = current_user"); got != tc.super {
			t.Errorf("role %q passes row-level security: %v", tc.role, got)
		}
		if got := one[string](t, conn, "SELECT current_database()"); got != db.Name {
			t.Errorf("connected to %s, want %s", got, db.Name)
		}
	}
	service := connect(t, db.ServiceURL())
	if _, err := service.Exec(t.Context(), "DELETE FROM guest"); err == nil {
		t.Error("the service may do what it was not granted")
	}
}

func TestSortingIsByBytes(t *testing.T) {
	conn := connect(t, pgtest.New(t, house).ServiceURL())
	if got := one[string](t, conn, "SELECT string_agg(x, '' ORDER BY x) FROM unnest('{b,A,a,B}'::text[]) x"); got != "ABab" {
		t.Errorf("sorted %s", got)
	}
}

func TestTheTemplateIsMadeOnce(t *testing.T) {
	times := 0
	once := pgtest.Schema{
		Hash: "once-" + time.Now().Format("150405.000000000"), // the server may be an earlier run's
		Apply: func(context.Context, string) error {
			times++
			return nil
		},
	}
	pgtest.New(t, once)
	pgtest.New(t, once)
	if times != 1 {
		t.Errorf("applied %d times", times)
	}
}

func TestInParallel(t *testing.T) {
	for range 8 {
		t.Run("copy", func(t *testing.T) {
			t.Parallel()
			conn := connect(t, pgtest.New(t, house).ServiceURL())
			if _, err := conn.Exec(t.Context(), "INSERT INTO guest VALUES ('Ann')"); err != nil {
				t.Fatal(err)
			}
			if n := one[int](t, conn, "SELECT count(*) FROM guest"); n != 1 {
				t.Errorf("%d guests", n)
			}
		})
	}
}

func BenchmarkNew(b *testing.B) {
	pgtest.New(b, house)
	for b.Loop() {
		pgtest.New(b, house)
	}
}
