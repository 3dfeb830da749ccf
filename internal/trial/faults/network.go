package main

import (
	"context"
	"fmt"
	"net"
	"os"
	"os/exec"
	"os/signal"
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

// The link between here and the namespace. Nobody else is on it.
const (
	nearAddress = "10.213.77.1/30"
	farAddress  = "10.213.77.2/30"
	farHost     = "10.213.77.2"
	farPort     = "5432"
)

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
	near, far := fmt.Sprintf("wf%dn", os.Getpid()), fmt.Sprintf("wf%df", os.Getpid())
	s.cut = func(ctx context.Context, state string) error {
		_, err := tool(ctx, "ip", "-n", space, "link", "set", "dev", far, state)
		return err
	}
	if _, err := tool(ctx, "ip", "netns", "add", space); err != nil {
		return err
	}
	s.finally(func() error { // takes the devices with it
		_, err := tool(context.WithoutCancel(ctx), "ip", "netns", "del", space)
		return err
	})
	for _, args := range [][]string{
		{"link", "add", near, "type", "veth", "peer", "name", far},
		{"link", "set", far, "netns", space},
		{"addr", "add", nearAddress, "dev", near},
		{"link", "set", "dev", near, "up"},
		{"-n", space, "addr", "add", farAddress, "dev", far},
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
	s.way = net.JoinHostPort(farHost, farPort)
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

func cutCable(ctx context.Context, s *scene, _ fault) error {
	s.begin()
	if err := s.cut(ctx, "down"); err != nil {
		return err
	}
	err := pause(ctx, 15*time.Second)
	s.end()
	if e := s.cut(context.WithoutCancel(ctx), "up"); err == nil {
		err = e
	}
	return err
}
