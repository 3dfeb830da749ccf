package postgres

import (
	"context"
	"errors"
	"fmt"
	"net"
	"strconv"
	"strings"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
	"github.com/jackc/pgx/v5/pgxpool"

	"wattle/migrations"
)

// Examination is what a database says of itself to a role, for who runs the
// service. Nothing in it is a secret.
type Examination struct {
	Role, Host, Database string
	Version              string // 15.14
	Major                int
	Encrypted            bool // the connection
	Local                bool // over a socket of this machine, or its loopback

	Superuser, BypassesRLS bool
	OwnsTables             bool // of the schema, itself or through a role it is in
	MayCreate              bool // tables in the schema, as an owner must

	// Schema of the database, 0 where it has none; that which the program needs,
	// and that of the oldest program which the database serves.
	Schema, Program, OldestProgram int64
	// Unbound are the tables of companies whose row-level security does not bind
	// the role.
	Unbound []string

	Settings map[string]string // the server's, by name: see examined
	Standby  bool              // in recovery: it takes no writes
	Pool     int               // connections that one process takes at most
	Free     int               // connections that are neither taken nor kept for superusers
	Bytes    int64             // of the database on its disk

	// Ahead is how far the server's clock is ahead of this machine's; it is off by
	// at most Slack.
	Ahead, Slack time.Duration
}

// examined are the settings that an examination reads.
var examined = []string{
	"max_connections", "superuser_reserved_connections", "fsync", "full_page_writes", "synchronous_commit", "synchronous_standby_names",
	"wal_level", "TimeZone", "server_encoding", "idle_in_transaction_session_timeout", "statement_timeout",
}

// ErrUnreadableURL says that a database URL is none. What it reads is not told,
// since a password may be in it.
var ErrUnreadableURL = errors.New("it cannot be read: expected a URL such as postgres://wattle_service@db.internal/wattle?passfile=/etc/wattle/pgpass")

// Examine connects once and looks. An error says why there is no connection, in
// words for who runs the service; the password is never in it.
func Examine(ctx context.Context, url string, now func() time.Time) (Examination, error) {
	config, err := pgxpool.ParseConfig(url)
	if err != nil {
		return Examination{}, ErrUnreadableURL
	}
	config.ConnConfig.RuntimeParams["application_name"] = "wattle doctor"
	conn, err := pgx.ConnectConfig(ctx, config.ConnConfig)
	if err != nil {
		return Examination{}, unconnected(config.ConnConfig, err)
	}
	defer func() { _ = conn.Close(context.WithoutCancel(ctx)) }() // nothing is pending
	e := Examination{
		Host: config.ConnConfig.Host, Database: config.ConnConfig.Database, Pool: int(config.MaxConns),
		Program: migrations.Latest(), Settings: map[string]string{},
	}
	e.Local = strings.HasPrefix(e.Host, "/") || e.Host == "localhost" || net.ParseIP(e.Host).IsLoopback()
	for _, look := range []func(context.Context, *pgx.Conn) error{e.server, e.settings, e.schema, e.rights} {
		if err := look(ctx, conn); err != nil {
			return e, fmt.Errorf("it answers, and then: %w", err)
		}
	}
	return e, e.clock(ctx, conn, now)
}

// unconnected is the reason alone: pgx's own text repeats the address for each
// that it tried.
func unconnected(c *pgx.ConnConfig, err error) error {
	where := fmt.Sprintf("%s, database %s as %s", net.JoinHostPort(c.Host, strconv.Itoa(int(c.Port))), c.Database, c.User)
	if said, ok := errors.AsType[*pgconn.PgError](err); ok {
		return fmt.Errorf("the server at %s refuses: %s (%s)", where, said.Message, said.Code)
	}
	if failed, ok := errors.AsType[*net.OpError](err); ok {
		return fmt.Errorf("no server answers at %s: %w", where, failed)
	}
	return fmt.Errorf("no connection to %s: %w", where, err)
}

func (e *Examination) server(ctx context.Context, conn *pgx.Conn) error {
	var number int
	err := conn.QueryRow(ctx, `
		select current_user, current_setting('server_version'), current_setting('server_version_num')::int, pg_is_in_recovery(),
		       coalesce((select ssl from pg_stat_ssl where pid = pg_backend_pid()), false), pg_database_size(current_database()),
		       current_setting('max_connections')::int - current_setting('superuser_reserved_connections')::int
		           - (select sum(numbackends)::int from pg_stat_database)`).
		Scan(&e.Role, &e.Version, &number, &e.Standby, &e.Encrypted, &e.Bytes, &e.Free)
	e.Major = number / 10_000
	return err
}

func (e *Examination) settings(ctx context.Context, conn *pgx.Conn) error {
	rows, err := conn.Query(ctx, `select name, setting from pg_settings where name = any($1)`, examined)
	if err != nil {
		return err
	}
	settings, err := pgx.CollectRows(rows, pgx.RowToStructByPos[struct{ Name, Setting string }])
	for _, s := range settings {
		e.Settings[s.Name] = s.Setting
	}
	return err
}

func (e *Examination) schema(ctx context.Context, conn *pgx.Conn) error {
	var there bool
	err := conn.QueryRow(ctx, `select to_regclass('goose_db_version') is not null and to_regclass('schema_meta') is not null`).Scan(&there)
	if err != nil || !there {
		return err
	}
	err = conn.QueryRow(ctx, `
		select coalesce((select max(version_id) from goose_db_version where is_applied), 0), (select oldest_program from schema_meta)`).
		Scan(&e.Schema, &e.OldestProgram)
	if sqlState(err) == insufficientPrivilege {
		return errors.New("the role may not read the schema's version: run wattle migrate, which grants the service's and the worker's roles what they need")
	}
	return err
}

// rights also lists the tables with a company whose rows would not be apart. The
// staging table of imports has no row-level security: see DEVELOPERS.md.
func (e *Examination) rights(ctx context.Context, conn *pgx.Conn) error {
	return conn.QueryRow(ctx, `
		select r.rolsuper, r.rolbypassrls, has_schema_privilege('public', 'create'),
		       exists (select from pg_class where oid = to_regclass('price_entry') and pg_has_role(relowner, 'member') and not r.rolsuper),
		       coalesce((select array_agg(c.relname::text order by c.relname)
		                 from pg_class c join pg_attribute a on a.attrelid = c.oid and a.attname = 'company'
		                 where c.relnamespace = 'public'::regnamespace and c.relkind in ('r', 'p') and c.relname <> 'import_row'
		                   and not row_security_active(c.oid)), '{}')
		from pg_roles r where r.rolname = current_user`).
		Scan(&e.Superuser, &e.BypassesRLS, &e.MayCreate, &e.OwnsTables, &e.Unbound)
}

// clock asks thrice and takes the quickest answer, which says most.
func (e *Examination) clock(ctx context.Context, conn *pgx.Conn, now func() time.Time) error {
	for range 3 {
		var there time.Time
		before := now()
		if err := conn.QueryRow(ctx, `select clock_timestamp()`).Scan(&there); err != nil {
			return err
		}
		half := now().Sub(before) / 2
		if e.Slack == 0 || half < e.Slack {
			e.Ahead, e.Slack = there.Sub(before.Add(half)), half
		}
	}
	return nil
}

// ServerVersion is the server's own, such as 15.14; empty where it does not
// answer.
func (s *Store) ServerVersion(ctx context.Context) string {
	var version string
	if s.unscoped(ctx, `select current_setting('server_version')`, nil, &version) != nil {
		return ""
	}
	return version
}
