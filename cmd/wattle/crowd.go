package main

import (
	"log/slog"
	"net"
	"sync"
	"sync/atomic"

	"golang.org/x/time/rate"
)

// crowd is a listener of at most so many connections. A further one is closed at
// once, so that its caller knows and may try another service; netutil's
// LimitListener would leave him waiting with nobody there.
type crowd struct {
	net.Listener
	most int64
	open atomic.Int64
	log  *slog.Logger
	told *rate.Limiter
}

// limited bounds the connections of a listener; 0 is no bound.
func limited(lis net.Listener, most int, log *slog.Logger) net.Listener {
	if most == 0 {
		return lis
	}
	return &crowd{Listener: lis, most: int64(most), log: log, told: rate.NewLimiter(1, 1)}
}

// Accept waits for a connection within the bound.
func (c *crowd) Accept() (net.Conn, error) {
	for {
		conn, err := c.Listener.Accept()
		if err != nil {
			return nil, err
		}
		if c.open.Add(1) <= c.most {
			return &roomed{conn, sync.OnceFunc(func() { c.open.Add(-1) })}, nil
		}
		c.open.Add(-1)
		peer := conn.RemoteAddr().String()
		_ = conn.Close() // nothing was sent
		if c.told.Allow() {
			c.log.Warn("a connection was closed: there are as many as may be", "connections", c.most, "address", c.Addr().String(), "peer", peer)
		}
	}
}

// roomed is a connection that makes room when it is closed.
type roomed struct {
	net.Conn
	leave func()
}

// Close is part of the interface.
func (c *roomed) Close() error {
	c.leave()
	return c.Conn.Close()
}
