// Package localpg runs a private Postgres for one machine: a temporary one for
// a demonstration or a test, a lasting one for a service without a database of
// its own. It listens on a Unix socket only, in a folder no other user enters.
//
// A folder belongs to one process at a time. Two locks say who is there, and
// both are kernel locks, so nothing stale survives a crash or a reboot:
//
//	DIR/lock           held by our process; a second start is refused with its pid
//	DIR/15/data.lock   held by every process of the Postgres itself (inherited)
//	DIR/15/data        one data folder per major version
//	DIR/15/s           the socket
//
// Where DIR/lock is free and DIR/15/data.lock is not, a Postgres outlived its
// owner: it is shut down cleanly before a new one starts, never deleted around.
package localpg

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net/url"
	"os"
	"path/filepath"
	"sync"
	"syscall"
	"time"
)

// The superuser and the database that a new server has.
const (
	superuser = "postgres"
	database  = "postgres"
)

// How long a server may take to go. A fast shutdown writes a checkpoint, which
// on a slow disk is a matter of seconds; an immediate one writes nothing.
const (
	fastShutdown      = 60 * time.Second
	immediateShutdown = 10 * time.Second
)

// Options say which server to start. The zero value is a temporary one.
type Options struct {
	// Dir is the folder of a lasting server, made if absent; see DefaultDir.
	// Empty means a temporary server: its folder is deleted by Close, or by
	// the next temporary start where the owner died before it could.
	Dir string
	// Bin is the folder that holds initdb and postgres. Empty means
	// WATTLE_POSTGRES_BIN, else PATH, else the distribution's usual folder.
	Bin string
	// Log receives what Postgres prints. Nil discards it; the last lines are
	// still part of the error of a start that fails.
	Log io.Writer
}

// Server is a running Postgres. Close must be called.
type Server struct {
	cluster   *cluster
	owner     *os.File
	temporary bool
	postgres  *process
	closeOnce sync.Once
	closeErr  error
}

// Start starts a server and returns once it accepts connections. ctx bounds
// the start only, crash recovery included; the server then runs until Close.
// The errors to tell apart are ErrNoPostgres and ErrLocked.
func Start(ctx context.Context, opt Options) (*Server, error) {
	found, err := installations(opt.Bin)
	if err != nil {
		return nil, err
	}
	who, err := unprivileged()
	if err != nil {
		return nil, err
	}
	temporary := opt.Dir == ""
	var dir string
	var owner *os.File
	if temporary {
		sweep()
		dir, owner, err = temporaryDir(who)
	} else {
		dir, owner, err = lastingDir(opt.Dir, who)
	}
	if err != nil {
		return nil, err
	}
	s := &Server{owner: owner, temporary: temporary}
	if err := s.start(ctx, dir, found, who, opt.Log); err != nil {
		if temporary {
			err = errors.Join(err, os.RemoveAll(dir))
		}
		return nil, errors.Join(err, owner.Close())
	}
	return s, nil
}

func (s *Server) start(ctx context.Context, dir string, found []installation, who account, log io.Writer) error {
	chosen, err := choose(found, dir)
	if err != nil {
		return err
	}
	if s.cluster, err = openCluster(dir, chosen, who); err != nil {
		return err
	}
	s.postgres, err = s.cluster.start(ctx, s.temporary, log)
	return err
}

// lastingDir makes and locks the folder of a lasting server.
func lastingDir(dir string, who account) (string, *os.File, error) {
	dir, err := filepath.Abs(dir)
	if err != nil {
		return "", nil, fmt.Errorf("localpg: %w", err)
	}
	if err := who.mkdirPassable(dir); err != nil {
		return "", nil, fmt.Errorf("localpg: make the data folder: %w", err)
	}
	// The path is compared with what the kernel says of a process, so it has
	// no links in it.
	if dir, err = filepath.EvalSymlinks(dir); err != nil {
		return "", nil, fmt.Errorf("localpg: %w", err)
	}
	owner, err := lockOwner(dir)
	return dir, owner, err
}

// URL is the connection string of the superuser on the database "postgres", as
// pgx reads it. It needs no password: whoever may enter the socket's folder is
// the user that runs the server, or root.
func (s *Server) URL() string { return s.URLFor(superuser, database) }

// URLFor is URL for another role and database of the same server.
func (s *Server) URLFor(role, database string) string {
	u := url.URL{
		Scheme:   "postgres",
		User:     url.User(role),
		Path:     "/" + database,
		RawQuery: url.Values{"host": {s.cluster.socket}, "port": {socketPort}, "sslmode": {"disable"}}.Encode(),
	}
	return u.String()
}

// PID is the process id of the Postgres server.
func (s *Server) PID() int { return s.postgres.pid }

// Done is closed when Postgres has ended, by Close or by itself.
func (s *Server) Done() <-chan struct{} { return s.postgres.done }

// Close stops the server and waits until it is gone; a temporary one is
// deleted. It reports a server that had ended by itself before. Closing again
// returns the same error.
func (s *Server) Close() error {
	s.closeOnce.Do(func() { s.closeErr = s.close() })
	return s.closeErr
}

func (s *Server) close() error {
	var errs []error
	select {
	case <-s.postgres.done:
		errs = append(errs, fmt.Errorf("localpg: Postgres had ended by itself: %w", s.postgres.ended()))
	default:
	}
	if s.temporary {
		// Its data is about to go, so there is nothing to write first.
		s.postgres.stop(syscall.SIGQUIT, immediateShutdown)
	} else if !s.postgres.stop(syscall.SIGINT, fastShutdown) {
		s.postgres.stop(syscall.SIGQUIT, immediateShutdown)
	}
	if err := s.cluster.awaitEnd(immediateShutdown); err != nil {
		errs = append(errs, err)
	}
	if s.temporary {
		errs = append(errs, os.RemoveAll(s.cluster.top))
	}
	return errors.Join(append(errs, s.owner.Close())...)
}
