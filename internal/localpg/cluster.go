package localpg

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"time"
)

// cluster is the data of one major version in a folder we own.
type cluster struct {
	top    string // the folder of the server, all versions
	root   string // top/15
	data   string // root/data, the Postgres data directory
	socket string // the folder of the socket
	bin    string
	who    account
}

func openCluster(top string, in installation, who account) (*cluster, error) {
	root := filepath.Join(top, strconv.Itoa(in.major))
	if err := who.mkdirPassable(root); err != nil {
		return nil, fmt.Errorf("localpg: %w", err)
	}
	data := dataFolder(root)
	who, err := who.ownerOf(data)
	if err != nil {
		return nil, err
	}
	return &cluster{top: top, root: root, data: data, socket: socketFolder(root), bin: in.bin, who: who}, nil
}

func dataFolder(root string) string { return filepath.Join(root, "data") }

// start leaves a server that accepts connections, or nothing.
func (c *cluster) start(ctx context.Context, temporary bool, log io.Writer) (*process, error) {
	lock, err := takeData(c.root, syscall.SIGINT, fastShutdown)
	if err != nil {
		return nil, err
	}
	// From here on the lock lives in Postgres; our own copy would hide
	// whether Postgres still does.
	defer lock.Close()
	if err := c.clearStale(); err != nil {
		return nil, err
	}
	if err := c.initialise(ctx, lock, temporary); err != nil {
		return nil, err
	}
	if err := c.makeSocketFolder(); err != nil {
		return nil, err
	}
	args := []string{
		"-D", c.data,
		"-k", c.socket,
		"-p", socketPort,
		"-c", "listen_addresses=",
		"-c", "logging_collector=off",
		"-c", "log_destination=stderr",
	}
	deathSignal := syscall.SIGINT // lasting: shut down cleanly when we die
	if temporary {
		deathSignal = syscall.SIGQUIT
		args = append(args,
			"-c", "fsync=off",
			"-c", "synchronous_commit=off",
			"-c", "full_page_writes=off",
			// A shared memory file outside the folder would outlive kill -9.
			"-c", "dynamic_shared_memory_type=mmap",
			"-c", "max_connections=200")
	}
	out := &tail{next: log}
	p, err := c.launch("postgres", args, lock, out, deathSignal)
	if err != nil {
		return nil, err
	}
	if err := c.awaitReady(ctx, p); err != nil {
		p.stop(syscall.SIGQUIT, immediateShutdown)
		return nil, fmt.Errorf("localpg: start Postgres in %s: %w%s", c.top, err, out.lines())
	}
	return p, nil
}

// clearStale removes the pid file of a Postgres that is gone. Postgres does so
// itself, except where another process got the same pid since, or where nobody
// has collected the dead one; then it would refuse to start until a person
// helps. We hold the data lock, so no Postgres that we started is there; one
// started by hand is asked for by its working folder.
func (c *cluster) clearStale() error {
	pid := postmasterPID(c.data)
	if pid == 0 {
		return nil
	}
	uses, known := worksIn(pid, c.data)
	switch {
	case uses:
		return fmt.Errorf("localpg: a Postgres started by hand, process %d, uses %s: stop it first", pid, c.data)
	case !known:
		return nil // Postgres decides
	}
	if err := os.Remove(pidFile(c.data)); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("localpg: %w", err)
	}
	return nil
}

// initialise makes the data folder, whole or not at all.
func (c *cluster) initialise(ctx context.Context, lock *os.File, temporary bool) error {
	if _, err := os.Stat(filepath.Join(c.data, "PG_VERSION")); err == nil {
		return nil
	}
	unfinished := c.data + ".new"
	if err := os.RemoveAll(unfinished); err != nil {
		return fmt.Errorf("localpg: %w", err)
	}
	if err := c.who.mkdir(unfinished); err != nil {
		return fmt.Errorf("localpg: %w", err)
	}
	args := []string{
		"--pgdata", unfinished,
		"--username", superuser,
		"--auth", "trust", // the socket's folder is the door
		"--encoding", "UTF8",
		"--locale", "C",
		"--no-instructions",
	}
	if temporary {
		args = append(args, "--no-sync")
	}
	out := &tail{}
	p, err := c.launch("initdb", args, lock, out, syscall.SIGKILL)
	if err != nil {
		return err
	}
	select {
	case <-p.done:
		err = p.err
	case <-ctx.Done():
		p.stop(syscall.SIGKILL, immediateShutdown)
		err = ctx.Err()
	}
	if err != nil {
		return fmt.Errorf("localpg: initdb in %s: %w%s", c.root, err, out.lines())
	}
	if err := os.Rename(unfinished, c.data); err != nil {
		return fmt.Errorf("localpg: %w", err)
	}
	if temporary {
		return nil
	}
	return syncFolder(c.root)
}

// syncFolder makes the renaming itself survive a power cut.
func syncFolder(path string) error {
	f, err := os.Open(path)
	if err != nil {
		return fmt.Errorf("localpg: %w", err)
	}
	if err := errors.Join(f.Sync(), f.Close()); err != nil {
		return fmt.Errorf("localpg: %w", err)
	}
	return nil
}

// launch starts one of the installation's programs as the right user.
func (c *cluster) launch(program string, args []string, lock *os.File, out *tail, death syscall.Signal) (*process, error) {
	cmd := exec.Command(filepath.Join(c.bin, program), args...)
	cmd.Dir = c.root
	cmd.Env = cleanEnvironment()
	cmd.Stdout, cmd.Stderr = out, out
	cmd.WaitDelay = time.Second       // a child of a killed postmaster may hold the pipe
	cmd.ExtraFiles = []*os.File{lock} // see the package comment
	cmd.SysProcAttr = &syscall.SysProcAttr{
		Setpgid:    true, // Ctrl-C at our terminal is for us; we then stop Postgres
		Credential: c.who.cred,
	}
	dieWithParent(cmd.SysProcAttr, death)
	p, err := launch(cmd)
	switch {
	case err == nil:
		return p, nil
	case errors.Is(err, fs.ErrPermission) && c.who.cred != nil:
		return nil, fmt.Errorf("localpg: the user %s, as whom Postgres runs, may not enter %s or not run %s: "+
			"choose a folder that every user can reach", c.who.name, c.root, cmd.Path)
	default:
		return nil, fmt.Errorf("localpg: %w", err)
	}
}

// cleanEnvironment is ours without what would steer Postgres from outside.
func cleanEnvironment() []string {
	var env []string
	for _, kv := range os.Environ() {
		if !strings.HasPrefix(kv, "PG") && !strings.HasPrefix(kv, "LC_") && !strings.HasPrefix(kv, "LANG") {
			env = append(env, kv)
		}
	}
	return append(env, "LC_ALL=C")
}

// awaitReady follows the pid file, as pg_ctl does: the eighth line is the state.
func (c *cluster) awaitReady(ctx context.Context, p *process) error {
	tick := time.NewTicker(5 * time.Millisecond)
	defer tick.Stop()
	for {
		lines := pidFileLines(c.data)
		if len(lines) >= 8 && lines[0] == strconv.Itoa(p.pid) && lines[7] == "ready" {
			return nil
		}
		select {
		case <-p.done:
			return p.ended()
		case <-ctx.Done():
			return ctx.Err()
		case <-tick.C:
		}
	}
}

// awaitEnd waits until no process of this Postgres is left, and clears up.
func (c *cluster) awaitEnd(wait time.Duration) error {
	lock, err := takeData(c.root, syscall.SIGQUIT, wait)
	if err != nil {
		return err
	}
	return errors.Join(os.RemoveAll(c.socket), lock.Close())
}
