package main

import (
	"context"
	"fmt"
	"net/url"
	"os"
	"strings"
	"time"

	"wattle/internal/postgres"
)

// mostAhead is how far two clocks may be apart: the service signs by its own,
// retries by the database's.
const mostAhead = 2 * time.Second

// oldestPostgres is the oldest major version that the schema is written for.
const oldestPostgres = 15

// duty is what a database role is for.
type duty struct {
	what, flag, url, role string
	owner                 bool
}

// databases looks at each that is named, as the role that will work there.
func (d *doctor) databases(ctx context.Context) []finding {
	duties := []duty{
		{"service's database", "database-url", d.databaseURL, "wattle_service", false},
		{"workers' database", "worker-database-url", d.work.databaseURL, "wattle_worker", false},
		{"owner's database (migrate)", "owner-database-url", d.ownerURL, "wattle_owner", true},
	}
	var all []finding
	for _, u := range duties {
		if u.url == "" {
			all = append(all, u.unnamed(d.local, d.databaseURL != ""))
			continue
		}
		all = append(all, u.passwords()...)
		ctx, cancel := context.WithTimeout(ctx, 10*time.Second)
		e, err := postgres.Examine(ctx, u.url, time.Now)
		cancel()
		if err != nil {
			all = append(all, found(u.what, missing, "%v", err).but("see that it runs and lets the role in (pg_hba.conf, a password file), and what --%s says", u.flag))
			continue
		}
		all = append(all, u.judge(e)...)
	}
	return all
}

func (u duty) unnamed(local, served bool) finding {
	switch {
	case local:
		return found(u.what, unused, "serve --local brings its own")
	case u.owner:
		return found(u.what, unused, "--%s is not given; migrate alone needs it", u.flag)
	case served:
		return found(u.what, warning, "--%s is not given, so jobs (events, webhooks, expiry) wait for a `wattle work`", u.flag).but("name it, or run `wattle work` somewhere")
	default:
		return found(u.what, unused, "--%s is not given; serve needs a database, unless it runs with --local", u.flag)
	}
}

// judge says what an examination means for the role's duty.
func (u duty) judge(e postgres.Examination) []finding {
	var all []finding
	tell := func(s state, format string, args ...any) *finding {
		all = append(all, found(u.what, s, format, args...))
		return &all[len(all)-1]
	}
	if e.Major < oldestPostgres {
		tell(missing, "Postgres %s", e.Version).Do = fmt.Sprintf("upgrade it to %d or newer", oldestPostgres)
	}
	u.judgeSchema(e, tell)
	u.judgeRights(e, tell)
	judgeSettings(e, tell)
	if len(all) == 0 || u.owner {
		all = append([]finding{found(u.what, fine, "Postgres %s answers, database %s as %s, %s on disk", e.Version, e.Database, e.Role, size(e.Bytes))}, all...)
	}
	return all
}

// teller adds a finding, to which what to do can be set.
type teller func(s state, format string, args ...any) *finding

func (u duty) judgeSchema(e postgres.Examination, tell teller) {
	switch {
	case e.Schema == 0 && u.owner:
		tell(warning, "there are no tables yet").Do = "run wattle migrate"
	case e.Schema == 0:
		tell(missing, "there are no tables yet").Do = "run wattle migrate, as the owner"
	case e.Schema < e.Program:
		tell(missing, "it is at schema %d, and this program needs %d", e.Schema, e.Program).Do = "run wattle migrate, as the owner"
	case e.OldestProgram > e.Program:
		tell(missing, "it serves programs of schema %d and newer, and this one is of %d", e.OldestProgram, e.Program).Do = "use a newer program"
	case e.Schema > e.Program:
		tell(fine, "its schema %d is newer than this program's %d, which it still serves", e.Schema, e.Program)
	}
}

func (u duty) judgeRights(e postgres.Examination, tell teller) {
	if u.owner {
		if !e.OwnsTables && !e.Superuser && e.Schema != 0 || e.Schema == 0 && !e.MayCreate {
			tell(missing, "the role %s neither owns the tables nor may make them", e.Role).Do = "connect as " + u.role + ", or grant it CREATE on schema public"
		}
		return
	}
	as := "connect as " + u.role + ", which wattle migrate --admin-url makes"
	switch {
	case e.Superuser:
		tell(missing, "the role %s is a superuser: row-level security does not bind it, and companies would see each other's rows", e.Role).Do = as
	case e.BypassesRLS:
		tell(missing, "the role %s bypasses row-level security: companies would see each other's rows", e.Role).Do = as + ", or ALTER ROLE ... NOBYPASSRLS"
	case e.OwnsTables:
		tell(missing, "the role %s owns the tables, so row-level security does not bind it", e.Role).Do = as
	case len(e.Unbound) > 0:
		tell(missing, "row-level security does not bind %s on %s", e.Role, strings.Join(e.Unbound, ", ")).Do = "run wattle migrate, and ask who turned it off"
	}
}

// judgeSettings is about the server, whoever asks.
func judgeSettings(e postgres.Examination, tell teller) {
	off := func(name string) bool { return e.Settings[name] == "off" }
	if e.Standby {
		tell(missing, "it is a standby and takes no writes").Do = "name the primary: several hosts in the URL with target_session_attrs=read-write, or a proxy that follows it"
	}
	if off("fsync") || off("full_page_writes") {
		tell(warning, "fsync is %s and full_page_writes %s: a power cut may ruin the data", e.Settings["fsync"], e.Settings["full_page_writes"]).Do = "turn both on, but for a test"
	}
	if off("synchronous_commit") {
		tell(warning, "synchronous_commit is off: a crash loses quotes that were acknowledged").Do = "ALTER ROLE " + e.Role + " RESET synchronous_commit, or turn it on in postgresql.conf"
	}
	if e.Settings["wal_level"] == "minimal" {
		tell(warning, "wal_level is minimal: neither a standby nor a backup to a point in time can be made").Do = "set wal_level = replica and restart Postgres"
	}
	if e.Settings["server_encoding"] != "UTF8" {
		tell(missing, "its encoding is %s", e.Settings["server_encoding"]).Do = "make the database with ENCODING 'UTF8'"
	}
	if e.Free < e.Pool {
		tell(warning, "%d of its %s connections are free, and one process takes up to %d", max(e.Free, 0), e.Settings["max_connections"], e.Pool).Do =
			"raise max_connections, or lower pool_max_conns in the URL; count every serve and work"
	}
	if off := e.Ahead.Abs() - e.Slack; off > mostAhead {
		tell(warning, "its clock is %s %s this machine's", e.Ahead.Abs().Round(time.Millisecond), map[bool]string{true: "ahead of", false: "behind"}[e.Ahead > 0]).Do = "let both machines keep time (chrony, systemd-timesyncd)"
	}
	if !e.Encrypted && !e.Local {
		tell(warning, "the connection to %s is not encrypted", e.Host).Do = "add sslmode=verify-full to the URL, and turn ssl on in postgresql.conf"
	}
}

// passwords looks at the file of passwords that a URL names.
func (u duty) passwords() []finding {
	parsed, err := url.Parse(u.url)
	if err != nil {
		return nil // Examine says so
	}
	path := parsed.Query().Get("passfile")
	if path == "" {
		return nil
	}
	what := u.what + ", passfile"
	if f, bad := secretFile(what, path); bad {
		return []finding{f}
	}
	if os.Getenv("PGPASSWORD") != "" {
		return []finding{found(what, warning, "PGPASSWORD is set, and wins over %s", path).but("unset PGPASSWORD")}
	}
	return nil
}
