package postgres

import (
	"context"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"

	"wattle/internal/fault"
)

// Where commits wait for a second machine (synchronous_standby_names), a wait
// that is cancelled, by a deadline, a statement_timeout or an administrator, ends
// with a warning and a COMMIT all the same: the change stands on one machine, is
// seen by others, and is lost with that machine [PostgreSQL 15, 27.2.8]. It is
// not acknowledged. Who repeats the request finds its result; that answer waits
// for the second machine in turn, see earlier.

// unconfirmed is the key under which a connection keeps that it was warned.
const unconfirmed = "wattle.unconfirmed"

// confirming has connections note that warning, and be made with a server that
// takes writes only, and left where it takes none any more: what a standby has
// may be old.
func confirming(c *pgx.ConnConfig) {
	if c.ValidateConnect == nil { // else the URL says what it wants (target_session_attrs)
		c.ValidateConnect = pgconn.ValidateConnectTargetSessionAttrsReadWrite
	}
	c.OnNotice = func(conn *pgconn.PgConn, n *pgconn.Notice) {
		if n.Routine == "SyncRepWaitForLSN" { // the one place that warns; its words are in the server's language
			conn.CustomData()[unconfirmed] = true
		}
	}
	keep := c.OnPgError
	c.OnPgError = func(conn *pgconn.PgConn, e *pgconn.PgError) bool {
		return e.Code != readOnly && keep(conn, e)
	}
}

// confirmed runs a transaction, and fails where it was committed on one machine
// alone.
func confirmed(ctx context.Context, conn *pgx.Conn, transaction func() error) error {
	noted := conn.PgConn().CustomData()
	delete(noted, unconfirmed)
	if err := transaction(); err != nil {
		return err
	}
	if noted[unconfirmed] == nil {
		return nil
	}
	if err := ctx.Err(); err != nil {
		return err
	}
	return fault.New(fault.Unavailable, "DATABASE_UNAVAILABLE", "the database could not confirm the change in time; send the same request again")
}
