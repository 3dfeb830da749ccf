package postgres

import (
	"context"
	"sync"
	"sync/atomic"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
	"github.com/jackc/pgx/v5/pgconn/ctxwatch"
)

// probe asks whether the database can be written to, over a connection of its
// own: those of the pool may all be at work, and being busy is not being down.
type probe struct {
	config *pgx.ConnConfig

	mu   sync.Mutex
	conn *pgx.Conn
	down bool // what the last asking found; of who asks alone
	// full: a statement was refused for want of room on the disk, and no room
	// was seen since.
	full atomic.Bool
}

func newProbe(config *pgx.ConnConfig) *probe {
	config = config.Copy()
	config.Tracer = nil // it is no statement of any call
	// What is asked here needs no stopping; the connection is given up at once.
	config.BuildContextWatcherHandler = func(conn *pgconn.PgConn) ctxwatch.Handler {
		return &pgconn.DeadlineContextWatcherHandler{Conn: conn.Conn()}
	}
	return &probe{config: config}
}

// writes is the least that is a write all the same: a message in the write-ahead
// log that nobody reads. Its commit waits as every commit does, for the disk and
// for the standbys that have to have it, and a standby refuses it.
const writes = `
	begin read write;
	select pg_logical_emit_message(true, 'wattle', 'ready');
	commit`

// finds adds what it takes to see whether tables can grow. A message in the log
// needs no room among them, and making a table each second only to ask would
// leave rows in the catalogue, so it is asked where a call was refused for that.
const finds = `
	begin read write;
	create temporary table wattle_room on commit drop as
	select repeat('x', 1000) as filling from generate_series(1, 32);
	select pg_logical_emit_message(true, 'wattle', 'ready');
	commit`

// Writable is nil where the database takes writes: it answers, is no standby, and
// has room. The caller gives it a deadline; a database that does not answer within
// is as good as down. One goroutine asks, again and again; once the database is
// back it has the pool make its connections anew, since those it has may lead to
// where the database no longer is.
func (s *Store) Writable(ctx context.Context) error {
	err := s.probe.ask(ctx)
	if err == nil {
		err = s.connects(ctx)
	}
	if err == nil && s.probe.down {
		s.renew()
	}
	s.probe.down = err != nil
	return translate(ctx, err)
}

func (p *probe) ask(ctx context.Context) (err error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.conn == nil || p.conn.IsClosed() {
		if p.conn, err = pgx.ConnectConfig(ctx, p.config); err != nil {
			return err
		}
	}
	sql, full := writes, p.full.Load()
	if full {
		sql = finds
	}
	if _, err := p.conn.PgConn().Exec(ctx, sql).ReadAll(); err != nil {
		p.close() // it may be in a failed transaction, or lead to a standby
		return err
	}
	if full {
		p.full.Store(false)
	}
	return nil
}

// close gives the connection up. The lock is held.
func (p *probe) close() {
	if p.conn == nil {
		return
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel() // no farewell: whoever is there may not be listening
	_ = p.conn.Close(ctx)
	p.conn = nil
}

// Close ends the probe.
func (p *probe) Close() {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.close()
}

// notice remembers that an error was for want of room.
func (p *probe) notice(err error) {
	if sqlState(err) == diskFull {
		p.full.Store(true)
	}
}
