package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"time"

	"github.com/jackc/pgx/v5"

	"wattle/internal/localpg"
	"wattle/internal/postgres"
)

// database is a lasting Postgres of the trial, as `serve --local` has one, but in
// a process of its own, so that either may die without the other.
type database struct {
	dir    string
	server *localpg.Server
}

func startDatabase(ctx context.Context, dir string) (*database, error) {
	d := &database{dir: dir}
	if err := d.start(ctx); err != nil {
		return nil, err
	}
	names := postgres.Roles{}.WithDefaults()
	err := postgres.EnsureRoles(ctx, d.server.URL(), names)
	if err == nil {
		err = postgres.Migrate(ctx, d.server.URLFor(names.Owner, "postgres"), names)
	}
	if err != nil {
		return nil, errors.Join(err, d.Close())
	}
	return d, nil
}

func (d *database) start(ctx context.Context) (err error) {
	ctx, cancel := context.WithTimeout(ctx, time.Minute)
	defer cancel()
	d.server, err = localpg.Start(ctx, localpg.Options{Dir: d.dir})
	return err
}

// gone waits until the server has ended and gives back what it held.
func (d *database) gone(ctx context.Context) error {
	select {
	case <-d.server.Done():
	case <-time.After(30 * time.Second):
		return errors.New("postgres still runs after 30 s")
	case <-ctx.Done():
		return ctx.Err()
	}
	_ = d.server.Close() // that it had ended by itself is what was wanted
	return nil
}

// Close stops the server.
func (d *database) Close() error { return d.server.Close() }

// socket is the server's unix socket.
func (d *database) socket() (string, error) {
	config, err := pgx.ParseConfig(d.server.URL())
	if err != nil {
		return "", err
	}
	return filepath.Join(config.Host, fmt.Sprintf(".s.PGSQL.%d", config.Port)), nil
}

// service and worker are the URLs of these roles, over the socket.
func (d *database) service() string {
	return d.server.URLFor(postgres.Roles{}.WithDefaults().Service, "postgres")
}

func (d *database) worker() string {
	return d.server.URLFor(postgres.Roles{}.WithDefaults().Worker, "postgres")
}

// data is the folder that holds base and pg_wal.
func (d *database) data() (string, error) {
	found, err := filepath.Glob(filepath.Join(d.dir, "*", "data", "PG_VERSION"))
	if err != nil || len(found) != 1 {
		return "", errors.Join(err, fmt.Errorf("%d data folders in %s", len(found), d.dir))
	}
	return filepath.Dir(found[0]), nil
}

// admin runs statements as the superuser, one by one.
func (d *database) admin(ctx context.Context, statements ...string) error {
	ctx, cancel := context.WithTimeout(ctx, 20*time.Second)
	defer cancel()
	conn, err := pgx.Connect(ctx, d.server.URL())
	if err != nil {
		return err
	}
	defer func() { _ = conn.Close(ctx) }() // nothing is pending
	for _, s := range statements {
		if _, err := conn.Exec(ctx, s); err != nil {
			return fmt.Errorf("%s: %w", s, err)
		}
	}
	return nil
}

// backend is the process that serves one of the service's connections.
func (d *database) backend(ctx context.Context) (pid int, err error) {
	conn, err := pgx.Connect(ctx, d.server.URL())
	if err != nil {
		return 0, err
	}
	defer func() { _ = conn.Close(ctx) }() // nothing is pending
	err = conn.QueryRow(ctx, `select pid from pg_stat_activity where usename = $1 order by state = 'active' desc, query_start desc limit 1`, postgres.Roles{}.WithDefaults().Service).Scan(&pid)
	return pid, err
}

// processes are the server's and all that it has started.
func (d *database) processes() []int {
	all := []int{d.server.PID()}
	found, _ := filepath.Glob("/proc/[0-9]*/stat") // the pattern is well formed
	for _, path := range found {
		text, err := os.ReadFile(path)
		if err != nil {
			continue
		}
		// pid (name) state ppid ...; the name may have spaces.
		_, rest, _ := strings.Cut(string(text), ") ")
		fields := strings.Fields(rest)
		if len(fields) > 1 && fields[1] == strconv.Itoa(d.server.PID()) {
			pid, _ := strconv.Atoi(filepath.Base(filepath.Dir(path)))
			all = append(all, pid)
		}
	}
	return all
}

// signal tells every process of the server.
func (d *database) signal(sig syscall.Signal) {
	for _, pid := range d.processes() {
		_ = syscall.Kill(pid, sig) // one that just ended needs none
	}
}
