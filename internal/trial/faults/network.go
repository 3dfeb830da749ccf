package main

import (
	"context"
	"errors"
	"fmt"
	"net"
	"os"
	"os/exec"
	"os/signal"
	"slices"
	"syscall"
	"time"

	"wattle/internal/trial/line"
)

// overLine puts a line of ours between the service and Postgres's socket.
func overLine(_ context.Context, s *scene) error {
	socket, err := s.db.socket()
	if err != nil {
		return err
	}
	if s.line, err = line.Listen(toSocket(socket)); err != nil {
		return err
	}
	s.finally(s.line.Close)
	s.way = s.line.Addr()
	return nil
}

func toSocket(path string) func(context.Context) (net.Conn, error) {
	return func(ctx context.Context) (net.Conn, error) { return (&net.Dialer{}).DialContext(ctx, "unix", path) }
}

func silence(l *line.Line)  { l.Silence() }
func breakOff(l *line.Line) { l.Break() }
func slow(l *line.Line)     { l.Slow(20 * time.Millisecond) }

// onLine makes the line bad for some time.
func onLine(bad func(*line.Line), lasting time.Duration) func(context.Context, *scene, fault) error {
	return func(ctx context.Context, s *scene, _ fault) error {
		s.begin()
		bad(s.line)
		err := pause(ctx, lasting)
		s.line.Pass()
		s.end()
		return err
	}
}

// The port at the far end of the cable.
const farPort = "5432"

// forwardWord makes this program the far end of the cable: it runs in the
// namespace, and passes on to Postgres's socket, which is a file and so in no
// network.
const forwardWord = "forward-to-socket"

func forward(address, socket string) error {
	l, err := line.ListenAt(address, toSocket(socket))
	if err != nil {
		return err
	}
	fmt.Println("forwarding")
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	<-ctx.Done()
	return l.Close()
}

// overCable puts a pair of virtual network devices between the service and
// Postgres, the far one in a namespace of its own.
func overCable(ctx context.Context, s *scene) error {
	socket, err := s.db.socket()
	if err != nil {
		return err
	}
	space := fmt.Sprintf("wattle-faults-%d", os.Getpid())
	// Nobody else is on this link; another trial beside us has one of its own.
	net24 := fmt.Sprintf("10.213.%d.", os.Getpid()%256)
	near, far := fmt.Sprintf("wf%dn", os.Getpid()), fmt.Sprintf("wf%df", os.Getpid())
	s.space, s.far = space, far
	if _, err := tool(ctx, "ip", "netns", "add", space); err != nil {
		return err
	}
	s.finally(func() error {
		ctx := context.WithoutCancel(ctx)
		_, link := tool(ctx, "ip", "link", "del", near) // takes the other end with it, and at once
		_, netns := tool(ctx, "ip", "netns", "del", space)
		return errors.Join(link, netns)
	})
	for _, args := range [][]string{
		{"link", "add", near, "type", "veth", "peer", "name", far},
		{"link", "set", far, "netns", space},
		{"addr", "add", net24 + "1/30", "dev", near},
		{"link", "set", "dev", near, "up"},
		{"-n", space, "addr", "add", net24 + "2/30", "dev", far},
		{"-n", space, "link", "set", "dev", far, "up"},
	} {
		if _, err := tool(ctx, "ip", args...); err != nil {
			return err
		}
	}
	self, err := os.Executable()
	if err != nil {
		return err
	}
	s.way = net.JoinHostPort(net24+"2", farPort)
	end := exec.Command("ip", "netns", "exec", space, self, forwardWord, s.way, socket) //nolint:gosec,noctx // ourselves; ended below
	out, err := end.StdoutPipe()
	if err != nil {
		return err
	}
	if err := end.Start(); err != nil {
		return err
	}
	s.finally(func() error {
		_ = end.Process.Kill() // it holds nothing that outlives it
		_ = end.Wait()
		return nil
	})
	_, err = out.Read(make([]byte, 64)) // it says that it listens
	return err
}

// cutCable takes the link down. After some seconds the kernel here finds nobody on
// it, and says so to who wants to connect.
func cutCable(ctx context.Context, s *scene, _ fault) error {
	link := []string{"ip", "-n", s.space, "link", "set", "dev", s.far}
	return s.without(ctx, 15*time.Second, append(link, "down"), append(link, "up"))
}

// dropPackets has the far end of the cable take no notice of anything, as a
// firewall or a router on the way does: nobody ever says so.
func dropPackets(ctx context.Context, s *scene, _ fault) error {
	tables := []string{"ip", "netns", "exec", s.space, "iptables"}
	rule := []string{"INPUT", "-j", "DROP"}
	return s.without(ctx, 30*time.Second, slices.Concat(tables, []string{"-A"}, rule), slices.Concat(tables, []string{"-D"}, rule))
}

// without runs one command, and after some time the other.
func (s *scene) without(ctx context.Context, lasting time.Duration, off, on []string) error {
	s.begin()
	if _, err := tool(ctx, off[0], off[1:]...); err != nil {
		return err
	}
	err := pause(ctx, lasting)
	s.end()
	_, failed := tool(context.WithoutCancel(ctx), on[0], on[1:]...)
	return errors.Join(err, failed)
}
