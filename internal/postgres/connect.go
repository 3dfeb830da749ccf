package postgres

import (
	"cmp"
	"net"
	"strconv"
	"time"

	"github.com/jackc/pgx/v5/pgconn"
	"github.com/jackc/pgx/v5/pgconn/ctxwatch"
	"github.com/jackc/pgx/v5/pgxpool"
)

// A network that is cut says nothing, so each wait for the database has an end of
// its own. Calls end at their deadlines whatever these are; what they decide is
// how long a dead connection keeps its place in the pool, and so how soon calls
// succeed again.
const (
	// connectWait is how long a connection may take to be made, unless the URL
	// says otherwise (connect_timeout). Without it one that is begun in a cut
	// network is waited for until the kernel asks again, long after it healed.
	connectWait = 5 * time.Second
	// pingWait is how long a connection that was idle may take to show that it
	// is alive, before it is replaced.
	pingWait = 5 * time.Second
	// silence is how long what was sent may stay without the other side having
	// taken it.
	silence = 20 * time.Second
	// A connection on which nothing happens is asked after this time, and then
	// at these intervals, whether anybody is there; by the service and, so that
	// it does not keep places for who is gone, by Postgres.
	keepAliveIdle     = 10 * time.Second
	keepAliveInterval = 5 * time.Second
	keepAliveCount    = 2
	// idleInTransaction is how long Postgres waits for the next statement of a
	// transaction. Ours follow one another at once; where none comes, the service
	// is gone without a word, and its locks would keep others out.
	idleInTransaction = 10 * time.Second
)

// settle gives a configuration what every connection of ours has.
func settle(config *pgxpool.Config) {
	config.ConnConfig.RuntimeParams["timezone"] = "UTC"
	// The planner prices a recursive query so high that it compiles it first:
	// 200 ms of compiling for 1 ms of work.
	config.ConnConfig.RuntimeParams["jit"] = "off"
	config.ConnConfig.RuntimeParams["application_name"] = cmp.Or(config.ConnConfig.RuntimeParams["application_name"], "wattle")
	config.ConnConfig.RuntimeParams["idle_in_transaction_session_timeout"] = milliseconds(idleInTransaction)
	config.ConnConfig.RuntimeParams["tcp_keepalives_idle"] = seconds(keepAliveIdle)
	config.ConnConfig.RuntimeParams["tcp_keepalives_interval"] = seconds(keepAliveInterval)
	config.ConnConfig.RuntimeParams["tcp_keepalives_count"] = strconv.Itoa(keepAliveCount)
	// When a caller's deadline passes, the server is told to stop the query.
	config.ConnConfig.BuildContextWatcherHandler = func(conn *pgconn.PgConn) ctxwatch.Handler {
		return &pgconn.CancelRequestContextWatcherHandler{Conn: conn, DeadlineDelay: cancelGrace}
	}
	config.ConnConfig.ConnectTimeout = cmp.Or(config.ConnConfig.ConnectTimeout, connectWait)
	config.PingTimeout = cmp.Or(config.PingTimeout, pingWait)
	dialer := &net.Dialer{
		KeepAliveConfig: net.KeepAliveConfig{Enable: true, Idle: keepAliveIdle, Interval: keepAliveInterval, Count: keepAliveCount},
		Control:         endSilence,
	}
	config.ConnConfig.DialFunc = dialer.DialContext
}

func seconds(d time.Duration) string { return strconv.Itoa(int(d / time.Second)) }

func milliseconds(d time.Duration) string { return strconv.FormatInt(d.Milliseconds(), 10) }
