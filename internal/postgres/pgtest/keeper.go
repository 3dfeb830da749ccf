package pgtest

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"time"

	"wattle/internal/localpg"
)

// idleEnv changes how long the server outlives its last user. The usual time
// covers what `go test ./...` compiles between one package and the next.
const (
	idleEnv   = "WATTLE_TEST_IDLE"
	usualIdle = 20 * time.Second
)

// A test binary has no place to ask for the keeper before its tests run other
// than this; TestMain belongs to the package under test.
func init() {
	dir := os.Getenv(keeperEnv)
	if dir == "" {
		return
	}
	if err := keep(dir, os.NewFile(3, "answer")); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1) //nolint:forbidigo // this process is no test: there is no main to return to
	}
	os.Exit(0) //nolint:forbidigo // as above
}

// running is a started server.
type running struct {
	address
	stop func() error
}

// keep starts a server, tells so through answer, and stops it when its last
// user has gone. Its return is the end of the process.
func keep(dir string, answer *os.File) error {
	lock, err := lockFile(dir, keeperLock, syscall.LOCK_EX)
	if err != nil {
		return tell(answer, err)
	}
	defer lock.Close()
	// Opened once: somebody who empties the temporary folder must not leave a
	// keeper that looks for its users for ever.
	starting, err := openLock(dir, startLock)
	if err != nil {
		return tell(answer, err)
	}
	defer starting.Close()
	using, err := openLock(dir, usersLock)
	if err != nil {
		return tell(answer, err)
	}
	defer using.Close()
	// Left by a keeper that was killed.
	if err := os.Remove(filepath.Join(dir, serverFile)); err != nil && !errors.Is(err, os.ErrNotExist) {
		return tell(answer, err)
	}
	idle := usualIdle
	if text := os.Getenv(idleEnv); text != "" {
		if idle, err = time.ParseDuration(text); err != nil {
			return tell(answer, fmt.Errorf("%s: %w", idleEnv, err))
		}
	}
	ctx, cancel := context.WithTimeout(context.Background(), startWait)
	defer cancel()
	srv, err := startServer(ctx, waysFromEnvironment(), dir)
	if err != nil {
		return tell(answer, err)
	}
	srv.Keeper = os.Getpid()
	text, err := json.Marshal(srv.address)
	if err == nil {
		err = os.WriteFile(filepath.Join(dir, serverFile), text, 0o600)
	}
	if err != nil {
		return errors.Join(tell(answer, err), srv.stop())
	}
	if err := answer.Close(); err != nil {
		return errors.Join(err, srv.stop())
	}
	awaitIdle(starting, using, idle)
	// Who comes now waits for the start lock, until this process has ended.
	return errors.Join(os.Remove(filepath.Join(dir, serverFile)), srv.stop())
}

// tell says to the process that waits why there is no server.
func tell(answer *os.File, why error) error {
	_, err := answer.WriteString(why.Error())
	return errors.Join(why, err, answer.Close())
}

// awaitIdle returns, holding the start lock, when nobody has used the server
// for a while and nobody can begin to.
func awaitIdle(starting, using *os.File, idle time.Duration) {
	for since := time.Now(); ; time.Sleep(200 * time.Millisecond) {
		if !free(starting) || !free(using) {
			since = time.Now()
		} else if time.Since(since) > idle && flock(starting, syscall.LOCK_EX|syscall.LOCK_NB) == nil {
			if free(using) {
				return
			}
			_ = flock(starting, syscall.LOCK_UN)
		}
	}
}

// free says whether nobody else holds a lock.
func free(f *os.File) bool {
	if flock(f, syscall.LOCK_EX|syscall.LOCK_NB) != nil {
		return false
	}
	return flock(f, syscall.LOCK_UN) == nil
}

// startServer takes the first way that can be gone.
func startServer(ctx context.Context, w ways, dir string) (running, error) {
	srv, noContainer := startContainer(ctx, w, dir)
	if noContainer == nil {
		return srv, nil
	}
	if w.container {
		return running{}, fmt.Errorf("WATTLE_TEST_REQUIRE_CONTAINER=1 asks for a container, but %w", noContainer)
	}
	if w.imageSet {
		return running{}, fmt.Errorf("WATTLE_TEST_POSTGRES_IMAGE asks for %s, but %w", w.image, noContainer)
	}
	srv, err := startLocal(ctx)
	if errors.Is(err, localpg.ErrNoPostgres) {
		return running{}, fmt.Errorf("the tests need a Postgres and found none: set WATTLE_TEST_DATABASE_URL, "+
			"or build the image with deploy/postgres-image/build, or install Postgres on this machine (%w; no container, as %w)", err, noContainer)
	}
	return srv, err
}

func startLocal(ctx context.Context) (running, error) {
	srv, err := localpg.Start(ctx, localpg.Options{Log: os.Stderr})
	if err != nil {
		return running{}, err
	}
	return running{
		address: address{URL: srv.URL(), How: "the Postgres installed on this machine"},
		stop:    srv.Close,
	}, nil
}

// firstLine keeps an engine's error readable in a sentence.
func firstLine(err error) string {
	line, _, _ := strings.Cut(err.Error(), "\n")
	return line
}
