package localpg_test

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	osexec "os/exec"
	"os/user"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"wattle/internal/localpg"
)

// ownerEnv makes this test binary a process that owns a server in the folder
// it names (empty: a temporary one) until it is killed or its input closes.
const ownerEnv = "LOCALPG_TEST_OWNER"

func ownUntilKilled(dir string) {
	ctx, cancel := context.WithTimeout(context.Background(), time.Minute)
	defer cancel()
	s, err := localpg.Start(ctx, localpg.Options{Dir: dir})
	if err != nil {
		fmt.Println("error", err)
		os.Exit(1)
	}
	fmt.Println(s.PID(), s.URL())
	_, _ = io.Copy(io.Discard, os.Stdin)
	if err := s.Close(); err != nil {
		fmt.Println("error", err)
		os.Exit(1)
	}
	os.Exit(0)
}

type owner struct {
	cmd      *osexec.Cmd
	input    io.Closer
	postgres int
	url      string
}

// otherOwner starts a server in another process. attr may be nil.
func otherOwner(t *testing.T, binary, dir string, attr *syscall.SysProcAttr, env ...string) owner {
	t.Helper()
	cmd := osexec.Command(binary)
	cmd.Env = append(append(os.Environ(), ownerEnv+"="+dir), env...)
	cmd.Stderr = os.Stderr
	cmd.SysProcAttr = attr
	cmd.Dir = "/"
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
	line, err := bufio.NewReader(out).ReadString('\n')
	if err != nil {
		t.Fatal(err)
	}
	pid, url, ok := strings.Cut(strings.TrimSpace(line), " ")
	o := owner{cmd: cmd, input: in, url: url}
	if o.postgres, err = strconv.Atoi(pid); err != nil || !ok {
		t.Fatalf("the other process says %q", line)
	}
	return o
}

func self(t *testing.T) string {
	t.Helper()
	path, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	return path
}

func (o owner) kill(t *testing.T) {
	t.Helper()
	if err := o.cmd.Process.Kill(); err != nil {
		t.Fatal(err)
	}
	_ = o.cmd.Wait() // killed, as it says
}

func alive(pid int) bool {
	stat, err := os.ReadFile(fmt.Sprintf("/proc/%d/stat", pid))
	return err == nil && !strings.Contains(string(stat), ") Z ")
}

func TestOwnerKilledLosesNothingCommitted(t *testing.T) {
	dir := folder(t)
	o := otherOwner(t, self(t), dir, nil)
	exec(t, o.url, "CREATE TABLE kept AS SELECT 7 AS n")
	_, err := localpg.Start(t.Context(), localpg.Options{Dir: dir})
	if locked := (localpg.ErrLocked{}); !errors.As(err, &locked) || locked.PID != o.cmd.Process.Pid {
		t.Errorf("while the owner lives: %v", err)
	}
	o.kill(t)
	s := start(t, localpg.Options{Dir: dir})
	if n := one[int](t, s.URL(), "SELECT n FROM kept"); n != 7 {
		t.Errorf("n = %d", n)
	}
	if alive(o.postgres) {
		t.Errorf("the earlier Postgres %d still runs", o.postgres)
	}
}

// leftRunning makes a lasting server, stops it, and starts its Postgres again
// without an owner, as one that outlived a killed owner runs: on a machine
// whose kernel has no parent-death signal, with the data lock inherited; or as
// a person starts one by hand, without.
func leftRunning(t *testing.T, dir string, inherit bool) *osexec.Cmd {
	t.Helper()
	s := start(t, localpg.Options{Dir: dir})
	exec(t, s.URL(), "CREATE TABLE kept AS SELECT 7 AS n")
	data := one[string](t, s.URL(), "SELECT current_setting('data_directory')")
	bin := one[string](t, s.URL(), "SELECT setting FROM pg_config WHERE name = 'BINDIR'")
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	info, err := os.Stat(data)
	if err != nil {
		t.Fatal(err)
	}
	cmd := osexec.Command(filepath.Join(bin, "postgres"), "-D", data, "-c", "listen_addresses=", "-k", data)
	cmd.Dir = data
	if st := info.Sys().(*syscall.Stat_t); os.Geteuid() == 0 {
		cmd.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: st.Uid, Gid: st.Gid}}
	}
	if inherit {
		lock, err := os.OpenFile(filepath.Join(filepath.Dir(data), "data.lock"), os.O_RDWR, 0)
		if err != nil {
			t.Fatal(err)
		}
		defer lock.Close()
		if err := syscall.Flock(int(lock.Fd()), syscall.LOCK_EX|syscall.LOCK_NB); err != nil {
			t.Fatal(err)
		}
		cmd.ExtraFiles = []*os.File{lock}
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		_ = cmd.Process.Kill()
		_ = cmd.Wait()
	})
	for deadline := time.Now().Add(30 * time.Second); time.Now().Before(deadline); time.Sleep(10 * time.Millisecond) {
		text, _ := os.ReadFile(filepath.Join(data, "postmaster.pid"))
		if strings.Contains(string(text), "ready") {
			return cmd
		}
	}
	t.Fatal("Postgres started by hand does not come up")
	return nil
}

func TestAnOrphanIsEndedBeforeANewStart(t *testing.T) {
	dir := folder(t)
	orphan := leftRunning(t, dir, true)
	s := start(t, localpg.Options{Dir: dir})
	if err := orphan.Wait(); err != nil { // a clean shutdown exits with 0
		t.Errorf("the orphan was not shut down cleanly: %v", err)
	}
	if n := one[int](t, s.URL(), "SELECT n FROM kept"); n != 7 {
		t.Errorf("n = %d", n)
	}
}

func TestAPostgresStartedByHandIsNamedAndLeftAlone(t *testing.T) {
	dir := folder(t)
	cmd := leftRunning(t, dir, false)
	_, err := localpg.Start(t.Context(), localpg.Options{Dir: dir})
	if want := fmt.Sprintf("started by hand, process %d", cmd.Process.Pid); err == nil || !strings.Contains(err.Error(), want) {
		t.Errorf("err = %v, want one that says %q", err, want)
	}
	if !alive(cmd.Process.Pid) {
		t.Error("it was ended")
	}
}

// Owner and Postgres both killed, and the pid in Postgres's own file taken by
// a process that has nothing to do with it (here: this test).
func TestBothKilledAndThePidTakenByAnother(t *testing.T) {
	dir := folder(t)
	o := otherOwner(t, self(t), dir, nil)
	exec(t, o.url, "CREATE TABLE kept AS SELECT 7 AS n")
	if err := syscall.Kill(o.postgres, syscall.SIGKILL); err != nil {
		t.Fatal(err)
	}
	o.kill(t)
	files, err := filepath.Glob(filepath.Join(dir, "*", "data", "postmaster.pid"))
	if err != nil || len(files) != 1 {
		t.Fatalf("pid files: %v, %v", files, err)
	}
	text, err := os.ReadFile(files[0])
	if err != nil {
		t.Fatal(err)
	}
	_, rest, _ := strings.Cut(string(text), "\n")
	if err := os.WriteFile(files[0], fmt.Appendf(nil, "%d\n%s", os.Getppid(), rest), 0o600); err != nil {
		t.Fatal(err)
	}
	s := start(t, localpg.Options{Dir: dir})
	if n := one[int](t, s.URL(), "SELECT n FROM kept"); n != 7 {
		t.Errorf("n = %d", n)
	}
}

func TestATemporaryServerOfAKilledOwnerIsSweptAway(t *testing.T) {
	tmp := folder(t)
	t.Setenv("TMPDIR", tmp)
	living := otherOwner(t, self(t), "", nil)
	dead := otherOwner(t, self(t), "", nil)
	dead.kill(t)
	for deadline := time.Now().Add(10 * time.Second); alive(dead.postgres); time.Sleep(20 * time.Millisecond) {
		if time.Now().After(deadline) {
			t.Fatalf("Postgres %d outlived its owner", dead.postgres)
		}
	}
	start(t, localpg.Options{})
	left, err := filepath.Glob(filepath.Join(tmp, "wattle-pg-*"))
	if err != nil || len(left) != 2 {
		t.Errorf("folders left: %v, %v; want the living one's and ours", left, err)
	}
	one[int](t, living.url, "SELECT 1")
}

func TestSweepLeavesOthersFolders(t *testing.T) {
	if os.Geteuid() != 0 {
		t.Skip("only root can make a folder that belongs to another")
	}
	tmp := folder(t)
	t.Setenv("TMPDIR", tmp)
	others := filepath.Join(tmp, "wattle-pg-others")
	if err := errors.Join(os.Mkdir(others, 0o700), os.Chown(others, 65534, 65534)); err != nil {
		t.Fatal(err)
	}
	write(t, filepath.Join(others, "lock"), "")
	start(t, localpg.Options{})
	if _, err := os.Stat(others); err != nil {
		t.Error(err)
	}
}

// As root this runs the whole thing again as a user without rights; as such a
// user every other test here already does.
func TestAsAnOrdinaryUser(t *testing.T) {
	if os.Geteuid() != 0 {
		t.Skip("not root: the other tests are this test")
	}
	u, err := user.Lookup("nobody")
	if err != nil {
		t.Fatal(err)
	}
	uid, _ := strconv.Atoi(u.Uid)
	gid, _ := strconv.Atoi(u.Gid)
	home := folder(t)
	if err := os.Chown(home, uid, gid); err != nil {
		t.Fatal(err)
	}
	binary := filepath.Join(home, "localpg.test") // the original is in a folder closed to others
	image, err := os.ReadFile(self(t))
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(binary, image, 0o755); err != nil {
		t.Fatal(err)
	}
	attr := &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: uint32(uid), Gid: uint32(gid)}}
	dir := filepath.Join(home, "state")
	first := otherOwner(t, binary, dir, attr, "TMPDIR="+home)
	exec(t, first.url, "CREATE TABLE kept AS SELECT 7 AS n")
	first.kill(t)
	second := otherOwner(t, binary, dir, attr, "TMPDIR="+home)
	if n := one[int](t, second.url, "SELECT n FROM kept"); n != 7 {
		t.Errorf("n = %d", n)
	}
	temporary := otherOwner(t, binary, "", attr, "TMPDIR="+home)
	one[int](t, temporary.url, "SELECT 1")
	for _, o := range []owner{second, temporary} {
		_ = o.input.Close()
		if err := o.cmd.Wait(); err != nil {
			t.Errorf("closing: %v", err)
		}
	}
	if left, _ := filepath.Glob(filepath.Join(home, "wattle-pg-*")); len(left) > 0 {
		t.Errorf("left behind: %v", left)
	}
}
