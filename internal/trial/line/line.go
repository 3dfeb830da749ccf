// Package line is a TCP line between two programs that can be made bad while they
// talk: silent, so that nothing passes and nothing is closed; broken, so that
// connections are reset; or slow.
//
// A silent line of this kind still acknowledges, as far as TCP is concerned: the
// kernel at its near end takes what is sent. It is a stuck proxy and not a cut
// cable.
package line

import (
	"context"
	"errors"
	"net"
	"sync"
	"time"
)

// Line passes on what comes to its address. Close it when it is done.
type Line struct {
	lis  net.Listener
	dial func(context.Context) (net.Conn, error)
	ctx  context.Context
	stop context.CancelFunc
	wg   sync.WaitGroup

	mu      sync.Mutex
	state   state
	changed chan struct{} // closed when the state changes
	open    map[net.Conn]struct{}
}

type state struct {
	silent, broken bool
	delay          time.Duration
}

// Listen makes a line from a loopback address of its own to what dial reaches.
func Listen(dial func(context.Context) (net.Conn, error)) (*Line, error) {
	return ListenAt("127.0.0.1:0", dial)
}

// ListenAt is Listen at an address.
func ListenAt(address string, dial func(context.Context) (net.Conn, error)) (*Line, error) {
	lis, err := (&net.ListenConfig{}).Listen(context.Background(), "tcp", address)
	if err != nil {
		return nil, err
	}
	l := &Line{lis: lis, dial: dial, changed: make(chan struct{}), open: map[net.Conn]struct{}{}}
	l.ctx, l.stop = context.WithCancel(context.Background())
	l.wg.Go(l.accept)
	return l, nil
}

// Addr is where the line begins.
func (l *Line) Addr() string { return l.lis.Addr().String() }

// Pass makes the line good. What a silent line held back goes on its way.
func (l *Line) Pass() { l.set(state{}) }

// Silence lets nothing pass until the line is made good.
func (l *Line) Silence() { l.set(state{silent: true}) }

// Slow holds back everything for a time, each way.
func (l *Line) Slow(delay time.Duration) { l.set(state{delay: delay}) }

// Break resets the connections there are, and each that is made.
func (l *Line) Break() {
	l.set(state{broken: true})
	l.reset()
}

// Close ends the line and its connections.
func (l *Line) Close() error {
	l.stop()
	err := l.lis.Close()
	l.reset()
	l.wg.Wait()
	return err
}

func (l *Line) set(s state) {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.state = s
	close(l.changed)
	l.changed = make(chan struct{})
}

func (l *Line) now() (state, <-chan struct{}) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.state, l.changed
}

// reset ends every connection with a reset in place of a farewell.
func (l *Line) reset() {
	l.mu.Lock()
	defer l.mu.Unlock()
	for conn := range l.open {
		abort(conn)
	}
	clear(l.open)
}

func abort(conn net.Conn) {
	if tcp, ok := conn.(*net.TCPConn); ok {
		_ = tcp.SetLinger(0) // a connection that is gone already needs none
	}
	_ = conn.Close()
}

func (l *Line) accept() {
	for {
		near, err := l.lis.Accept()
		if err != nil {
			return
		}
		l.wg.Go(func() { l.join(near) })
	}
}

// join connects one caller with the far end.
func (l *Line) join(near net.Conn) {
	l.keep(near)
	defer l.drop(near)
	if !l.await() {
		abort(near)
		return
	}
	far, err := l.dial(l.ctx)
	if err != nil {
		abort(near)
		return
	}
	l.keep(far)
	defer l.drop(far)
	var both sync.WaitGroup
	both.Go(func() { l.pass(far, near) })
	both.Go(func() { l.pass(near, far) })
	both.Wait()
}

// await waits while the line is silent, then for its delay, and reports whether
// anything passes.
func (l *Line) await() bool {
	for {
		s, changed := l.now()
		var slow <-chan time.Time
		switch {
		case s.broken:
			return false
		case s.delay > 0:
			slow = time.After(s.delay)
		case !s.silent:
			return l.ctx.Err() == nil
		}
		select {
		case <-slow:
			return l.ctx.Err() == nil
		case <-changed:
		case <-l.ctx.Done():
			return false
		}
	}
}

// pass copies one way, and tells the end of it on.
func (l *Line) pass(to, from net.Conn) {
	buffer := make([]byte, 32<<10)
	for {
		n, err := from.Read(buffer)
		if !l.await() {
			abort(to)
			abort(from)
			return
		}
		if n > 0 {
			if _, failed := to.Write(buffer[:n]); failed != nil {
				err = errors.Join(err, failed)
			}
		}
		if err != nil {
			_ = to.Close() // either end's end is the line's
			_ = from.Close()
			return
		}
	}
}

func (l *Line) keep(conn net.Conn) {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.open[conn] = struct{}{}
}

func (l *Line) drop(conn net.Conn) {
	l.mu.Lock()
	defer l.mu.Unlock()
	delete(l.open, conn)
	_ = conn.Close() // again, where it was closed already
}
