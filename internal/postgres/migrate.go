package postgres

import (
	"context"
	"database/sql"
	"fmt"
	"log/slog"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgxpool"
	"github.com/jackc/pgx/v5/stdlib"
	"github.com/pressly/goose/v3"
	"github.com/pressly/goose/v3/lock"
	"github.com/riverqueue/river/riverdriver/riverpgxv5"
	"github.com/riverqueue/river/rivermigrate"

	"wattle/internal/fault"
	"wattle/migrations"
)

// The advisory locks of whoever changes schema and grants, and of whoever lets
// roles in: "wattle" in ASCII, and the next.
const (
	migrationLock int64 = 0x776174746c65
	rolesLock           = migrationLock + 1
)

// Migrate brings the schema up to date and grants the roles what they may do.
// It connects as the owner. Of several at once, one works and the others wait;
// on a current schema it changes nothing.
func Migrate(ctx context.Context, ownerURL string, names Roles) (err error) {
	config, err := pgx.ParseConfig(ownerURL)
	if err != nil {
		return fmt.Errorf("read the owner's database URL: %w", err)
	}
	db := stdlib.OpenDB(*config)
	defer func() { _ = db.Close() }() // nothing is pending
	unlock, err := lockMigrations(ctx, db)
	if err != nil {
		return fmt.Errorf("lock the schema: %w", err)
	}
	defer unlock()
	provider, err := goose.NewProvider(goose.DialectPostgres, db, migrations.Files, goose.WithDisableGlobalRegistry(true))
	if err != nil {
		return fmt.Errorf("read the migrations: %w", err)
	}
	if _, err := provider.Up(ctx); err != nil {
		return fmt.Errorf("migrate: %w", err)
	}
	if err := migrateQueue(ctx, ownerURL); err != nil {
		return fmt.Errorf("migrate the job queue: %w", err)
	}
	if err := grant(ctx, db, names.WithDefaults().fill(migrations.Grants, config.Database)); err != nil {
		return fmt.Errorf("grant the roles their rights: %w", err)
	}
	return nil
}

// migrateQueue brings River's own tables up to date. It is called under our
// lock.
func migrateQueue(ctx context.Context, ownerURL string) error {
	pool, err := pgxpool.New(ctx, ownerURL)
	if err != nil {
		return err
	}
	defer pool.Close()
	migrator, err := rivermigrate.New(riverpgxv5.New(pool), &rivermigrate.Config{Logger: slog.New(slog.DiscardHandler)})
	if err != nil {
		return err
	}
	_, err = migrator.Migrate(ctx, rivermigrate.DirectionUp, nil)
	return err
}

// lockMigrations asks again every second instead of waiting in the database: a
// waiting statement holds a snapshot, and CREATE INDEX CONCURRENTLY would wait
// for it in turn.
func lockMigrations(ctx context.Context, db *sql.DB) (unlock func(), err error) {
	locker, err := lock.NewPostgresSessionLocker(lock.WithLockID(migrationLock), lock.WithLockTimeout(1, 3600))
	if err != nil {
		return nil, err
	}
	conn, err := db.Conn(ctx)
	if err != nil {
		return nil, err
	}
	// Closing the pool ends the session, and with it the lock.
	unlock = func() { _ = conn.Close() }
	if err := locker.SessionLock(ctx, conn); err != nil {
		unlock()
		return nil, err
	}
	return unlock, nil
}

// grant applies all grants at once, so that a running service never misses
// one.
func grant(ctx context.Context, db *sql.DB, statements string) error {
	tx, err := db.BeginTx(ctx, nil)
	if err != nil {
		return err
	}
	defer func() { _ = tx.Rollback() }() // does nothing after Commit
	if _, err := tx.ExecContext(ctx, statements); err != nil {
		return err
	}
	return tx.Commit()
}

// checkSchema refuses a database this program cannot work with, and a role
// that row-level security does not bind.
func checkSchema(ctx context.Context, conn *pgx.Conn) error {
	var newest, oldestProgram int64
	var bound bool
	err := conn.QueryRow(ctx, `
		select (select max(version_id) from goose_db_version where is_applied),
		       (select oldest_program from schema_meta),
		       row_security_active('price_entry')`).Scan(&newest, &oldestProgram, &bound)
	program := migrations.Latest()
	switch {
	case sqlState(err) == undefinedTable:
		return fault.Wrap(err, fault.Refused, "DATABASE_NOT_MIGRATED", "the database has no tables yet: run wattle migrate")
	case err != nil:
		return translate(ctx, err)
	case newest < program:
		return fault.New(fault.Refused, "DATABASE_NOT_MIGRATED", "the database is at schema %d and this program needs %d: run wattle migrate", newest, program)
	case oldestProgram > program:
		return fault.New(fault.Refused, "PROGRAM_TOO_OLD", "the database serves programs of schema %d and newer, and this one is of %d: use a newer program", oldestProgram, program)
	case !bound:
		return fault.New(fault.Refused, "ROLE_NOT_BOUND", "row-level security does not bind this database role: connect as the service role, not as the owner or a superuser")
	}
	return nil
}
