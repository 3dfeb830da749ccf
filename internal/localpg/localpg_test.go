package localpg_test

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
	"go.uber.org/goleak"

	"wattle/internal/localpg"
)

func TestMain(m *testing.M) {
	if dir, ok := os.LookupEnv(ownerEnv); ok {
		ownUntilKilled(dir)
	}
	goleak.VerifyTestMain(m)
}

func start(t *testing.T, opt localpg.Options) *localpg.Server {
	t.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), time.Minute)
	defer cancel()
	s, err := localpg.Start(ctx, opt)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = s.Close() }) // the tests that care have closed it
	return s
}

// one runs a query that gives one value.
func one[T any](t *testing.T, url, sql string) T {
	t.Helper()
	conn, err := pgx.Connect(t.Context(), url)
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close(context.Background())
	var v T
	if err := conn.QueryRow(t.Context(), sql).Scan(&v); err != nil {
		t.Fatalf("%s: %v", sql, err)
	}
	return v
}

func exec(t *testing.T, url string, sql ...string) {
	t.Helper()
	conn, err := pgx.Connect(t.Context(), url)
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close(context.Background())
	for _, s := range sql {
		if _, err := conn.Exec(t.Context(), s); err != nil {
			t.Fatalf("%s: %v", s, err)
		}
	}
}

// folder is one that an unprivileged user can reach, which t.TempDir need not be.
func folder(t *testing.T) string {
	t.Helper()
	dir, err := os.MkdirTemp("", "localpg-test-")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = os.RemoveAll(dir) })
	if err := os.Chmod(dir, 0o711); err != nil {
		t.Fatal(err)
	}
	return dir
}

func TestTemporaryServerServesAndIsDeleted(t *testing.T) {
	t.Setenv("TMPDIR", folder(t))
	s := start(t, localpg.Options{})
	for setting, want := range map[string]string{
		"listen_addresses": "", // the socket only
		"fsync":            "off",
		"server_encoding":  "UTF8",
		"lc_collate":       "C",
	} {
		if got := one[string](t, s.URL(), "SELECT current_setting('"+setting+"')"); got != want {
			t.Errorf("%s = %q, want %q", setting, got, want)
		}
	}
	exec(t, s.URL(), "CREATE ROLE visitor LOGIN", "CREATE DATABASE house")
	if got := one[string](t, s.URLFor("visitor", "house"), "SELECT current_user || ' in ' || current_database()"); got != "visitor in house" {
		t.Errorf("URLFor gives %s", got)
	}
	if err := s.Close(); err != nil {
		t.Error(err)
	}
	if err := s.Close(); err != nil {
		t.Errorf("closing again: %v", err)
	}
	if left, _ := os.ReadDir(os.TempDir()); len(left) > 0 {
		t.Errorf("left behind: %v", left)
	}
}

func TestTwoTemporaryServersAtOnce(t *testing.T) {
	a, b := start(t, localpg.Options{}), start(t, localpg.Options{})
	exec(t, a.URL(), "CREATE TABLE only_in_a ()")
	if n := one[int](t, b.URL(), "SELECT count(*) FROM pg_tables WHERE tablename = 'only_in_a'"); n != 0 {
		t.Error("b sees a's table")
	}
}

func TestLastingServerKeepsItsData(t *testing.T) {
	dir := filepath.Join(folder(t), "a b", "état,1") // spaces, other letters and a comma in the path
	s := start(t, localpg.Options{Dir: dir})
	for setting, want := range map[string]string{"fsync": "on", "synchronous_commit": "on", "full_page_writes": "on"} {
		if got := one[string](t, s.URL(), "SELECT current_setting('"+setting+"')"); got != want {
			t.Errorf("%s = %q, want %q", setting, got, want)
		}
	}
	exec(t, s.URL(), "CREATE TABLE kept AS SELECT 7 AS n")
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	s = start(t, localpg.Options{Dir: dir})
	if n := one[int](t, s.URL(), "SELECT n FROM kept"); n != 7 {
		t.Errorf("n = %d", n)
	}
}

func TestOnlyTheOwnerEntersTheFolders(t *testing.T) {
	dir := folder(t)
	s := start(t, localpg.Options{Dir: dir})
	socket, err := pgx.ParseConfig(s.URL())
	if err != nil {
		t.Fatal(err)
	}
	data := one[string](t, s.URL(), "SELECT current_setting('data_directory')")
	for _, path := range []string{socket.Host, data} {
		info, err := os.Stat(path)
		if err != nil {
			t.Fatal(err)
		}
		if info.Mode().Perm() != 0o700 {
			t.Errorf("%s has mode %v", path, info.Mode())
		}
	}
}

func TestAPathTooLongForASocket(t *testing.T) {
	dir := filepath.Join(folder(t), strings.Repeat("long", 30))
	s := start(t, localpg.Options{Dir: dir})
	cfg, err := pgx.ParseConfig(s.URL())
	if err != nil {
		t.Fatal(err)
	}
	if n := len(cfg.Host + "/.s.PGSQL.5432"); n > 107 { // sockaddr_un, unix(7)
		t.Errorf("the socket's path has %d bytes", n)
	}
	one[int](t, s.URL(), "SELECT 1")
	if err := s.Close(); err != nil {
		t.Error(err)
	}
	if _, err := os.Stat(cfg.Host); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("the socket's folder is left behind: %v", err)
	}
}

func TestASecondStartIsRefusedAndNamesTheFirst(t *testing.T) {
	dir := folder(t)
	start(t, localpg.Options{Dir: dir})
	_, err := localpg.Start(t.Context(), localpg.Options{Dir: dir})
	var locked localpg.ErrLocked
	if !errors.As(err, &locked) || locked.PID != os.Getpid() {
		t.Fatalf("err = %v", err)
	}
	if want := fmt.Sprintf("in use by process %d", os.Getpid()); !strings.Contains(err.Error(), want) {
		t.Errorf("%q does not say %q", err, want)
	}
}

func TestPostgresKilledLosesNothingCommitted(t *testing.T) {
	dir := folder(t)
	s := start(t, localpg.Options{Dir: dir})
	exec(t, s.URL(), "CREATE TABLE ledger (n int)")
	conn, err := pgx.Connect(t.Context(), s.URL())
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close(context.Background())
	for n := range 200 {
		if _, err := conn.Exec(t.Context(), "INSERT INTO ledger VALUES ($1)", n); err != nil {
			t.Fatal(err)
		}
	}
	if err := syscall.Kill(s.PID(), syscall.SIGKILL); err != nil {
		t.Fatal(err)
	}
	select {
	case <-s.Done():
	case <-time.After(10 * time.Second):
		t.Fatal("Done is not closed")
	}
	if err := s.Close(); err == nil || !strings.Contains(err.Error(), "ended by itself") {
		t.Errorf("Close says %v", err)
	}
	s = start(t, localpg.Options{Dir: dir})
	if n := one[int](t, s.URL(), "SELECT count(*) FROM ledger"); n != 200 {
		t.Errorf("%d of 200 rows are left", n)
	}
}

// A backend that computes does not notice that its postmaster is gone.
func TestPostgresKilledWithABusyQuery(t *testing.T) {
	dir := folder(t)
	s := start(t, localpg.Options{Dir: dir})
	exec(t, s.URL(), "CREATE TABLE kept AS SELECT 7 AS n")
	conn, err := pgx.Connect(t.Context(), s.URL())
	if err != nil {
		t.Fatal(err)
	}
	ended := make(chan error)
	go func() {
		_, err := conn.Exec(context.Background(), "SELECT count(*) FROM generate_series(1, 1000000000000) a WHERE a % 7 = 9")
		ended <- err
	}()
	for one[int](t, s.URL(), "SELECT count(*) FROM pg_stat_activity WHERE state = 'active' AND pid <> pg_backend_pid() AND query LIKE 'SELECT count%'") == 0 {
		time.Sleep(10 * time.Millisecond)
	}
	if err := syscall.Kill(s.PID(), syscall.SIGKILL); err != nil {
		t.Fatal(err)
	}
	<-s.Done()
	_ = s.Close() // reports the kill
	if err := <-ended; err == nil {
		t.Error("the query came to an end by itself")
	}
	s = start(t, localpg.Options{Dir: dir})
	if n := one[int](t, s.URL(), "SELECT n FROM kept"); n != 7 {
		t.Errorf("n = %d", n)
	}
}

func TestNoPostgres(t *testing.T) {
	_, err := localpg.Start(t.Context(), localpg.Options{Bin: t.TempDir()})
	if !errors.Is(err, localpg.ErrNoPostgres) {
		t.Fatalf("err = %v", err)
	}
	for _, want := range []string{"no Postgres 15 or newer is installed", "apt-get install postgresql", "WATTLE_POSTGRES_BIN"} {
		if !strings.Contains(err.Error(), want) {
			t.Errorf("%q does not say %q", err, want)
		}
	}
}

func TestAStartThatFailsSaysWhyAndLeavesNothing(t *testing.T) {
	bin := folder(t)
	t.Setenv("TMPDIR", folder(t))
	write(t, filepath.Join(bin, "postgres"), "#!/bin/sh\necho 'postgres (PostgreSQL) 15.1'\n")
	write(t, filepath.Join(bin, "initdb"), "#!/bin/sh\necho 'the disk is made of cheese'\nexit 1\n")
	_, err := localpg.Start(t.Context(), localpg.Options{Bin: bin})
	if err == nil || !strings.Contains(err.Error(), "made of cheese") {
		t.Errorf("err = %v", err)
	}
	if left, _ := os.ReadDir(os.TempDir()); len(left) > 0 {
		t.Errorf("left behind: %v", left)
	}
}

func TestADeadlineEndsAStart(t *testing.T) {
	dir := folder(t)
	ctx, cancel := context.WithTimeout(t.Context(), 50*time.Millisecond)
	defer cancel()
	if _, err := localpg.Start(ctx, localpg.Options{Dir: dir}); !errors.Is(err, context.DeadlineExceeded) {
		t.Fatalf("err = %v", err)
	}
	s := start(t, localpg.Options{Dir: dir}) // an interrupted initdb is begun anew
	one[int](t, s.URL(), "SELECT 1")
}

func TestVersions(t *testing.T) {
	dir, bin := folder(t), folder(t)
	write(t, filepath.Join(bin, "initdb"), "#!/bin/sh\nexit 1\n")
	for _, tc := range []struct {
		name, version, held, want string
	}{
		{"too old", "postgres (PostgreSQL) 14.9", "", "holds Postgres 14"},
		{"not Postgres", "hello", "", `prints "hello"`},
		{"data of an older version", "postgres (PostgreSQL) 99.1", "15", "holds data of Postgres 15, but the Postgres found here is 99"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			write(t, filepath.Join(bin, "postgres"), "#!/bin/sh\necho '"+tc.version+"'\n")
			if tc.held != "" {
				data := filepath.Join(dir, tc.held, "data")
				if err := os.MkdirAll(data, 0o700); err != nil {
					t.Fatal(err)
				}
				write(t, filepath.Join(data, "PG_VERSION"), tc.held)
			}
			_, err := localpg.Start(t.Context(), localpg.Options{Dir: dir, Bin: bin})
			if err == nil || !strings.Contains(err.Error(), tc.want) {
				t.Errorf("err = %v, want one that says %q", err, tc.want)
			}
		})
	}
}

func write(t *testing.T, path, text string) {
	t.Helper()
	if err := os.WriteFile(path, []byte(text), 0o755); err != nil {
		t.Fatal(err)
	}
}

func TestDefaultDir(t *testing.T) {
	t.Setenv("XDG_STATE_HOME", "/state")
	want := "/state/wattle"
	if os.Geteuid() == 0 {
		want = "/var/lib/wattle"
	}
	if dir, err := localpg.DefaultDir(); err != nil || dir != want {
		t.Errorf("DefaultDir() = %q, %v; want %q", dir, err, want)
	}
}
