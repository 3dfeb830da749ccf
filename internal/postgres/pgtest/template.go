package pgtest

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"time"

	"github.com/jackc/pgx/v5"
)

// setupLock is the advisory lock under which processes make roles and
// templates; the number only has to be the same for all.
const setupLock = 7_204_118

// keepCopies is how long the database of a process that died stays on a server
// that is not ours to stop.
const keepCopies = 24 * time.Hour

// prepare makes the roles, and drops what dead processes have left.
func (s *server) prepare(ctx context.Context) error {
	return s.underLock(ctx, func(conn *pgx.Conn) error {
		for _, role := range []string{Owner, Service, Worker} {
			var exists bool
			if err := conn.QueryRow(ctx, "SELECT EXISTS (SELECT FROM pg_roles WHERE rolname = $1)", role).Scan(&exists); err != nil {
				return fmt.Errorf("look for the role %s: %w", role, err)
			}
			if exists {
				continue
			}
			if _, err := conn.Exec(ctx, "CREATE ROLE "+role+" LOGIN PASSWORD '"+Password+"'"); err != nil {
				return fmt.Errorf("make the role %s: %w", role, err)
			}
		}
		return dropOld(ctx, conn, time.Now().Add(-keepCopies))
	})
}

// template returns the name of a finished database with the schema.
func (s *server) template(ctx context.Context, schema Schema) (string, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if name, ok := s.templates[schema.Hash]; ok {
		return name, nil
	}
	name := templateName(schema.Hash)
	err := s.underLock(ctx, func(conn *pgx.Conn) error {
		// Being marked a template is the last step, so it means finished.
		var finished bool
		err := conn.QueryRow(ctx, "SELECT datistemplate FROM pg_database WHERE datname = $1", name).Scan(&finished)
		if err != nil && !errors.Is(err, pgx.ErrNoRows) {
			return fmt.Errorf("look for the template %s: %w", name, err)
		}
		if finished {
			return nil
		}
		return s.makeTemplate(ctx, conn, name, schema)
	})
	if err != nil {
		return "", err
	}
	s.templates[schema.Hash] = name
	return name, nil
}

func (s *server) makeTemplate(ctx context.Context, conn *pgx.Conn, name string, schema Schema) error {
	for _, sql := range []string{
		"DROP DATABASE IF EXISTS " + quote(name) + " WITH (FORCE)",
		"CREATE DATABASE " + quote(name) + " TEMPLATE template0 ENCODING 'UTF8' LOCALE 'C' OWNER " + Owner,
	} {
		if _, err := conn.Exec(ctx, sql); err != nil {
			return fmt.Errorf("%s: %w", sql, err)
		}
	}
	if schema.Apply != nil {
		if err := schema.Apply(ctx, roleURL(s.url, Owner, name)); err != nil {
			return fmt.Errorf("apply the schema: %w", err)
		}
	}
	sql := "ALTER DATABASE " + quote(name) + " WITH IS_TEMPLATE true ALLOW_CONNECTIONS false"
	if _, err := conn.Exec(ctx, sql); err != nil {
		return fmt.Errorf("%s: %w", sql, err)
	}
	return nil
}

// underLock runs one process at a time, of all that use this server.
func (s *server) underLock(ctx context.Context, do func(*pgx.Conn) error) error {
	conn, err := pgx.Connect(ctx, s.url.String())
	if err != nil {
		return fmt.Errorf("connect to the test server: %w", err)
	}
	defer conn.Close(context.WithoutCancel(ctx)) // which gives the lock back
	if _, err := conn.Exec(ctx, "SELECT pg_advisory_lock($1)", setupLock); err != nil {
		return fmt.Errorf("wait for the set-up lock: %w", err)
	}
	return do(conn)
}

// templateName fits into the 63 bytes of an identifier.
func templateName(hash string) string {
	if len(hash) > 40 {
		hash = hash[:40]
	}
	return "wattle_template_" + hash
}

const copyPrefix = "wattle_test_"

// copyName tells when and by whom a copy was made.
func copyName(now time.Time, pid int, n int64) string {
	return fmt.Sprintf("%s%d_%d_%d", copyPrefix, now.Unix(), pid, n)
}

// madeAt reads the time out of copyName; other names have none.
func madeAt(name string) (time.Time, bool) {
	var sec, pid, n int64
	rest, ok := strings.CutPrefix(name, copyPrefix)
	if !ok {
		return time.Time{}, false
	}
	if _, err := fmt.Sscanf(rest, "%d_%d_%d", &sec, &pid, &n); err != nil {
		return time.Time{}, false
	}
	return time.Unix(sec, 0), true
}

// dropOld drops copies made before the given time.
func dropOld(ctx context.Context, conn *pgx.Conn, before time.Time) error {
	rows, err := conn.Query(ctx, "SELECT datname FROM pg_database WHERE datname LIKE $1", copyPrefix+"%")
	if err != nil {
		return fmt.Errorf("list the databases: %w", err)
	}
	names, err := pgx.CollectRows(rows, pgx.RowTo[string])
	if err != nil {
		return fmt.Errorf("list the databases: %w", err)
	}
	for _, name := range names {
		made, ok := madeAt(name)
		if !ok || !made.Before(before) {
			continue
		}
		if _, err := conn.Exec(ctx, "DROP DATABASE IF EXISTS "+quote(name)+" WITH (FORCE)"); err != nil {
			return fmt.Errorf("drop the left-over database %s: %w", name, err)
		}
	}
	return nil
}
