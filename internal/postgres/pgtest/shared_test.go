package pgtest_test

import (
	"bufio"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"wattle/internal/postgres/pgtest"
)

// userEnv makes this test binary a process that uses the shared server until
// its input closes, or it is killed.
const userEnv = "PGTEST_TEST_USER"

// joined is what such a process prints.
type joined struct {
	URL, How, Error string
	Keeper          int
}

func useServer() {
	var j joined
	var err error
	if j.URL, j.How, j.Keeper, err = pgtest.Join(); err != nil {
		j.Error = err.Error()
	}
	_ = json.NewEncoder(os.Stdout).Encode(j)
	_, _ = io.Copy(io.Discard, os.Stdin)
	os.Exit(0)
}

type testProcess struct {
	joined
	cmd   *exec.Cmd
	input io.Closer
}

// startUser starts a test process with these variables set, and no wish of
// this process's own environment.
func startUser(t *testing.T, env ...string) testProcess {
	t.Helper()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(self)
	for _, kv := range os.Environ() {
		if !strings.HasPrefix(kv, "WATTLE_") {
			cmd.Env = append(cmd.Env, kv)
		}
	}
	cmd.Env = append(append(cmd.Env, userEnv+"=1", "WATTLE_TEST_IDLE=1s"), env...)
	cmd.Stderr = os.Stderr
	in, err := cmd.StdinPipe()
	if err != nil {
		t.Fatal(err)
	}
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		_ = cmd.Process.Kill()
		_ = cmd.Wait()
	})
	p := testProcess{cmd: cmd, input: in}
	line, err := bufio.NewReader(out).ReadBytes('\n')
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(line, &p.joined); err != nil {
		t.Fatalf("the test process says %q: %v", line, err)
	}
	return p
}

// eachWay runs a test with the container and with the installed Postgres, in a
// temporary folder of its own, so that it shares no server with anybody.
func eachWay(t *testing.T, test func(t *testing.T, start func(*testing.T) testProcess)) {
	for _, way := range []struct{ name, env string }{
		{"container", "WATTLE_TEST_REQUIRE_CONTAINER=1"},
		{"installed", "WATTLE_TEST_POSTGRES_IMAGE=none"},
	} {
		t.Run(way.name, func(t *testing.T) {
			tmp, err := os.MkdirTemp("", "pgtest-")
			if err != nil {
				t.Fatal(err)
			}
			if err := os.Chmod(tmp, 0o711); err != nil { // the user postgres passes through
				t.Fatal(err)
			}
			t.Cleanup(func() {
				// The keeper may still be at work for its last second.
				eventually(t, "the folder is empty of servers", func() bool {
					left, _ := filepath.Glob(filepath.Join(tmp, "*", "server.json"))
					return len(left) == 0
				})
				_ = os.RemoveAll(tmp)
			})
			start := func(t *testing.T) testProcess {
				t.Helper()
				return startUser(t, way.env, "TMPDIR="+tmp)
			}
			first := start(t)
			if first.Error != "" {
				if os.Getenv("WATTLE_TEST_REQUIRE_CONTAINER") == "1" {
					t.Fatal(first.Error)
				}
				t.Skipf("this way is not to be had here: %s", first.Error)
			}
			first.leave(t)
			test(t, start)
		})
	}
}

func (p testProcess) leave(t *testing.T) {
	t.Helper()
	_ = p.input.Close()
	if err := p.cmd.Wait(); err != nil {
		t.Errorf("the test process ended with %v", err)
	}
}

func (p testProcess) answers() bool {
	ctx, cancel := context.WithTimeout(context.Background(), 5*time.Second)
	defer cancel()
	conn, err := pgx.Connect(ctx, p.URL)
	if err != nil {
		return false
	}
	_ = conn.Close(ctx)
	return true
}

func eventually(t *testing.T, what string, is func() bool) {
	t.Helper()
	for deadline := time.Now().Add(40 * time.Second); !is(); time.Sleep(50 * time.Millisecond) {
		if time.Now().After(deadline) {
			t.Errorf("not within 40 s: %s", what)
			return
		}
	}
}

func TestTheLastOneOutStopsTheServer(t *testing.T) {
	eachWay(t, func(t *testing.T, start func(*testing.T) testProcess) {
		a, b := start(t), start(t)
		if a.URL != b.URL {
			t.Fatalf("two servers: %s and %s", a.How, b.How)
		}
		if err := a.cmd.Process.Kill(); err != nil { // a crash is a way to leave
			t.Fatal(err)
		}
		time.Sleep(3 * time.Second) // three times the idle time
		if !b.answers() {
			t.Fatal("the server is gone while somebody uses it")
		}
		b.leave(t)
		eventually(t, "the server stops", func() bool { return !b.answers() })
		eventually(t, "the keeper ends", func() bool { return syscall.Kill(b.Keeper, 0) != nil })
	})
}

func TestAServerWhoseKeeperWasKilledIsRemoved(t *testing.T) {
	eachWay(t, func(t *testing.T, start func(*testing.T) testProcess) {
		a := start(t)
		if err := syscall.Kill(a.Keeper, syscall.SIGKILL); err != nil {
			t.Fatal(err)
		}
		a.leave(t)
		b := start(t)
		if b.Error != "" || !b.answers() {
			t.Fatalf("no new server: %s", b.Error)
		}
		if a.URL == b.URL {
			t.Fatal("the same server")
		}
		eventually(t, "the old server is gone", func() bool { return !a.answers() })
		b.leave(t)
	})
}

// A folder for temporary files may be emptied at any time.
func TestAServerWhoseFolderIsGoneStopsAllTheSame(t *testing.T) {
	tmp, err := os.MkdirTemp("", "pgtest-")
	if err != nil {
		t.Fatal(err)
	}
	if err := os.Chmod(tmp, 0o711); err != nil {
		t.Fatal(err)
	}
	p := startUser(t, "TMPDIR="+tmp)
	if p.Error != "" {
		t.Fatal(p.Error)
	}
	shared, err := filepath.Glob(filepath.Join(tmp, "wattle-pgtest-*"))
	if err != nil || len(shared) != 1 {
		t.Fatalf("shared folders: %v, %v", shared, err)
	}
	if err := os.RemoveAll(shared[0]); err != nil {
		t.Fatal(err)
	}
	time.Sleep(2 * time.Second) // twice the idle time
	if !p.answers() {
		t.Error("the server stopped while it was used")
	}
	p.leave(t)
	eventually(t, "the server stops", func() bool { return !p.answers() })
	eventually(t, "the keeper ends", func() bool { return syscall.Kill(p.Keeper, 0) != nil })
	if err := os.RemoveAll(tmp); err != nil {
		t.Error(err)
	}
}

func TestWithoutAServerTheReasonIsSaid(t *testing.T) {
	empty := t.TempDir()
	for _, tc := range []struct {
		name string
		env  []string
		want []string
	}{
		{"nothing at all", []string{"WATTLE_TEST_POSTGRES_IMAGE=none", "WATTLE_POSTGRES_BIN=" + empty},
			[]string{"the tests need a Postgres and found none", "WATTLE_TEST_DATABASE_URL", "deploy/postgres-image/build", "apt-get install postgresql"}},
		{"a container is required and forbidden", []string{"WATTLE_TEST_REQUIRE_CONTAINER=1", "WATTLE_TEST_POSTGRES_IMAGE=none"},
			[]string{"WATTLE_TEST_REQUIRE_CONTAINER=1 asks for a container, but"}},
		{"a container is required and a server named", []string{"WATTLE_TEST_REQUIRE_CONTAINER=1", "WATTLE_TEST_DATABASE_URL=postgres://localhost"},
			[]string{"contradict each other"}},
	} {
		t.Run(tc.name, func(t *testing.T) {
			p := startUser(t, append(tc.env, "TMPDIR="+t.TempDir())...)
			for _, want := range tc.want {
				if !strings.Contains(p.Error, want) {
					t.Errorf("%q does not say %q", p.Error, want)
				}
			}
		})
	}
}

func TestAServerThatIsThere(t *testing.T) {
	p := startUser(t, "WATTLE_TEST_DATABASE_URL=postgres://somebody@somewhere/db")
	if p.Error != "" || p.URL != "postgres://somebody@somewhere/db" || p.Keeper != 0 {
		t.Errorf("joined %+v", p.joined)
	}
}

func TestCopiesOfDeadProcessesAreDropped(t *testing.T) {
	db := pgtest.New(t, house)
	admin := connect(t, db.AdminURL())
	old := fmt.Sprintf("wattle_test_%d_1_1", time.Now().Add(-48*time.Hour).Unix())
	young := fmt.Sprintf("wattle_test_%d_1_1", time.Now().Add(-time.Hour).Unix())
	for _, name := range []string{old, young} {
		if _, err := admin.Exec(t.Context(), "CREATE DATABASE "+name); err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { _, _ = admin.Exec(context.Background(), "DROP DATABASE IF EXISTS "+name) })
	}
	if err := pgtest.DropOld(t.Context(), admin); err != nil {
		t.Fatal(err)
	}
	left := one[[]string](t, admin, "SELECT array_agg(datname::text) FROM pg_database WHERE datname IN ('"+old+"', '"+young+"')")
	if len(left) != 1 || left[0] != young {
		t.Errorf("left: %v; want only the young one", left)
	}
}
