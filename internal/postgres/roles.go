package postgres

import (
	"cmp"
	"context"
	"fmt"
	"strings"

	"github.com/jackc/pgx/v5"
)

// Roles are the names of the database roles; an empty one has the default
// named. They are made outside the numbered migrations, so that whoever runs
// the database may make them himself, with his own names and passwords.
type Roles struct {
	Owner   string // wattle_owner: owns the tables and migrates them
	Service string // wattle_service: answers calls, under row-level security
	Worker  string // wattle_worker: background work, under row-level security
}

// WithDefaults is r with every name filled.
func (r Roles) WithDefaults() Roles {
	return Roles{
		Owner:   cmp.Or(r.Owner, "wattle_owner"),
		Service: cmp.Or(r.Service, "wattle_service"),
		Worker:  cmp.Or(r.Worker, "wattle_worker"),
	}
}

// EnsureRoles makes the roles that are missing, without passwords, and lets
// them into the database that adminURL names; the owner may make tables there.
// Roles that exist are left as they are, but a service or worker role that
// row-level security does not bind is an error. Doing it again changes
// nothing.
func EnsureRoles(ctx context.Context, adminURL string, names Roles) error {
	names = names.WithDefaults()
	conn, err := pgx.Connect(ctx, adminURL)
	if err != nil {
		return fmt.Errorf("connect as the administrator: %w", err)
	}
	defer func() { _ = conn.Close(context.WithoutCancel(ctx)) }() // nothing is pending
	for _, name := range []string{names.Owner, names.Service, names.Worker} {
		if err := ensureRole(ctx, conn, name); err != nil {
			return fmt.Errorf("role %s: %w", name, err)
		}
	}
	for _, name := range []string{names.Service, names.Worker} {
		if err := mustBeBound(ctx, conn, name); err != nil {
			return err
		}
	}
	return letIn(ctx, conn, names)
}

func ensureRole(ctx context.Context, conn *pgx.Conn, name string) error {
	var exists bool
	err := conn.QueryRow(ctx, `select exists (select from pg_roles where rolname = $1)`, name).Scan(&exists)
	if err != nil || exists {
		return err
	}
	_, err = conn.Exec(ctx, `create role `+pgx.Identifier{name}.Sanitize()+` login nosuperuser nobypassrls nocreatedb nocreaterole`)
	// Roles belong to the server, so another database's start may have been
	// first between the two statements.
	if code := sqlState(err); code == duplicateObject || code == uniqueViolation {
		return nil
	}
	return err
}

func mustBeBound(ctx context.Context, conn *pgx.Conn, name string) error {
	var free bool
	err := conn.QueryRow(ctx, `select rolsuper or rolbypassrls from pg_roles where rolname = $1`, name).Scan(&free)
	if err != nil {
		return fmt.Errorf("role %s: %w", name, err)
	}
	if free {
		return fmt.Errorf("role %s is a superuser or bypasses row-level security; companies would see each other's rows", name)
	}
	return nil
}

// access is what a role needs before any table exists.
const access = `
grant connect on database DATABASE to OWNER, SERVICE, WORKER;
grant temporary on database DATABASE to SERVICE;
grant usage on schema public to OWNER, SERVICE, WORKER;
grant create on schema public to OWNER;
`

func letIn(ctx context.Context, conn *pgx.Conn, names Roles) error {
	err := pgx.BeginFunc(ctx, conn, func(tx pgx.Tx) error {
		// Grants change one row of a catalogue; two at once would fail.
		if _, err := tx.Exec(ctx, `select pg_advisory_xact_lock($1)`, rolesLock); err != nil {
			return err
		}
		_, err := tx.Exec(ctx, names.fill(access, conn.Config().Database))
		return err
	})
	if err != nil {
		return fmt.Errorf("let the roles into the database: %w", err)
	}
	return nil
}

// fill puts names, quoted, where a statement has OWNER, SERVICE, WORKER and
// DATABASE.
func (r Roles) fill(sql, database string) string {
	return strings.NewReplacer(
		"OWNER", pgx.Identifier{r.Owner}.Sanitize(),
		"SERVICE", pgx.Identifier{r.Service}.Sanitize(),
		"WORKER", pgx.Identifier{r.Worker}.Sanitize(),
		"DATABASE", pgx.Identifier{database}.Sanitize(),
	).Replace(sql)
}
