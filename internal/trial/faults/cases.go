package main

import (
	"context"
	"errors"
	"syscall"
	"time"

	"github.com/jackc/pgx/v5"

	"wattle/internal/postgres"
)

// cases in the order in which they are run.
var cases = []fault{
	{name: "service-kill", what: "kill -9 of the service, which is started again at once; three times", do: killService},
	{name: "worker-kill", what: "kill -9 of `wattle work` in the middle of its jobs, started again after 2 s; three times", apart: true, steady: true, do: killWorker},
	{name: "local-kill", what: "kill -9 of the private Postgres of `serve --local`; the service ends, and is started again", local: true, do: killLocal},
	{name: "postgres-kill", what: "kill -9 of Postgres, started again after 5 s", unready: true, do: stopPostgres(syscall.SIGKILL, 5*time.Second)},
	{name: "backend-kill", what: "kill -9 of one process of Postgres, which then starts all of them anew by itself; three times", do: killBackend},
	{name: "postgres-pause", what: "Postgres stands still for 10 s (SIGSTOP)", unready: true, do: pausePostgres},
	{name: "postgres-restart", what: "Postgres is restarted (fast)", do: stopPostgres(syscall.SIGINT, 0)},
	{name: "postgres-crash", what: "Postgres is restarted without a checkpoint (immediate)", do: stopPostgres(syscall.SIGQUIT, 0)},
	{name: "connections-role", what: "the service's role may not connect any more, and loses the connections it has, for 8 s", unready: true, do: limitRole},
	{name: "connections-all", what: "somebody else takes every connection of Postgres, and the service loses its own, for 8 s", unready: true, prepare: fewConnections, do: takeConnections},
	{name: "disk-full-tables", what: "no room for tables for 8 s (tmpfs under base)", root: true, tools: []string{"mount", "cp"}, unready: true, prepare: smallFolder("base", 24), do: fillFolder("base")},
	{name: "disk-full-log", what: "no room for the write-ahead log for 8 s (tmpfs under pg_wal); Postgres crashes", root: true, tools: []string{"mount", "cp"}, unready: true, prepare: smallFolder("pg_wal", 80), do: fillFolder("pg_wal")},
	{name: "disk-slow", what: "the disk takes 25 writes a second for 10 s (ext4 on a loop device, throttled by its control group)", root: true, tools: []string{"mount", "mkfs.ext4"}, disk: loopDisk, do: slowDisk},
	{name: "line-silent", what: "a proxy before Postgres stops to forward, and closes nothing, for 10 s", unready: true, prepare: overLine, do: onLine(silence, 10*time.Second)},
	{name: "line-broken", what: "a proxy before Postgres resets every connection for 8 s", unready: true, prepare: overLine, do: onLine(breakOff, 8*time.Second)},
	{name: "line-slow", what: "a slow database: a proxy before it holds everything back for 20 ms each way, for 10 s", steady: true, prepare: overLine, do: onLine(slow, 10*time.Second)},
	{name: "packets-dropped", what: "nothing gets through to Postgres for 30 s, and nobody says so (a network namespace that drops packets)", root: true, tools: []string{"ip", "iptables"}, unready: true, prepare: overCable, do: dropPackets},
	{name: "cable-cut", what: "the link to Postgres is down for 15 s (a network namespace)", root: true, tools: []string{"ip"}, unready: true, prepare: overCable, do: cutCable},
}

func killService(ctx context.Context, s *scene, c fault) error {
	s.begin()
	for i := range 3 {
		if i > 0 {
			if err := pause(ctx, 3*time.Second); err != nil {
				return err
			}
		}
		s.kill()
		s.end()
		if err := s.serve(c); err != nil {
			return err
		}
	}
	return nil
}

func killWorker(ctx context.Context, s *scene, _ fault) error {
	s.begin()
	for range 3 {
		s.worker.end(syscall.SIGKILL)
		if err := pause(ctx, 2*time.Second); err != nil {
			return err
		}
		s.end()
		if err := s.work(); err != nil {
			return err
		}
		if err := pause(ctx, 2*time.Second); err != nil {
			return err
		}
	}
	return nil
}

func killLocal(_ context.Context, s *scene, c fault) error {
	pid, err := postmaster(s.dataDir())
	if err != nil {
		return err
	}
	s.note()
	s.begin()
	if err := syscall.Kill(pid, syscall.SIGKILL); err != nil {
		return err
	}
	select {
	case <-s.service.ended:
	case <-time.After(time.Minute):
		return errors.New("the service did not end with its private Postgres")
	}
	if s.service.err == nil {
		return errors.New("the service ended without an error, so nobody would start it again")
	}
	s.end()
	return s.serve(c)
}

// stopPostgres ends it by a signal, and starts it again after some time.
func stopPostgres(sig syscall.Signal, down time.Duration) func(context.Context, *scene, fault) error {
	return func(ctx context.Context, s *scene, _ fault) error {
		s.begin()
		if err := syscall.Kill(s.db.server.PID(), sig); err != nil {
			return err
		}
		if err := s.db.gone(ctx); err != nil {
			return err
		}
		if err := pause(ctx, down); err != nil {
			return err
		}
		s.end()
		return s.db.start(ctx)
	}
}

func killBackend(ctx context.Context, s *scene, _ fault) error {
	s.begin()
	for range 3 {
		pid, err := s.db.backend(ctx)
		if err != nil {
			return err
		}
		if err := syscall.Kill(pid, syscall.SIGKILL); err != nil {
			return err
		}
		s.end()
		if err := pause(ctx, 3*time.Second); err != nil {
			return err
		}
	}
	return nil
}

func pausePostgres(ctx context.Context, s *scene, _ fault) error {
	s.begin()
	s.db.signal(syscall.SIGSTOP)
	err := pause(ctx, 10*time.Second)
	s.db.signal(syscall.SIGCONT)
	s.end()
	return err
}

// disconnect ends the connections that the service has.
const disconnect = `select pg_terminate_backend(pid) from pg_stat_activity where usename in ('wattle_service', 'wattle_worker')`

func limitRole(ctx context.Context, s *scene, _ fault) error {
	if err := s.db.admin(ctx, `alter role wattle_service connection limit 0`, `alter role wattle_worker connection limit 0`); err != nil {
		return err
	}
	s.begin()
	if err := s.db.admin(ctx, disconnect); err != nil {
		return err
	}
	if err := pause(ctx, 8*time.Second); err != nil {
		return err
	}
	err := s.db.admin(ctx, `alter role wattle_service connection limit -1`, `alter role wattle_worker connection limit -1`)
	s.end()
	return err
}

// fewConnections has Postgres take no more than it takes to fill up quickly.
func fewConnections(ctx context.Context, s *scene) error {
	if err := s.db.admin(ctx, `alter system set max_connections = 30`); err != nil {
		return err
	}
	if err := s.db.Close(); err != nil {
		return err
	}
	return s.db.start(ctx)
}

// takeConnections holds every connection that a role without privileges can have,
// and takes those that become free.
func takeConnections(ctx context.Context, s *scene, _ fault) error {
	var held []*pgx.Conn
	defer func() {
		for _, conn := range held {
			_ = conn.Close(context.WithoutCancel(ctx)) // nothing is pending
		}
	}()
	url := s.db.server.URLFor(postgres.Roles{}.WithDefaults().Owner, "postgres")
	take := func() {
		for {
			conn, err := pgx.Connect(ctx, url)
			if err != nil {
				return
			}
			held = append(held, conn)
		}
	}
	take()
	s.begin()
	// The service may be the first at a place that becomes free, and loses it again.
	for until := time.Now().Add(8 * time.Second); time.Now().Before(until); {
		if err := s.db.admin(ctx, disconnect); err != nil {
			return err
		}
		take()
		if err := pause(ctx, 50*time.Millisecond); err != nil {
			return err
		}
	}
	s.end()
	return nil
}
