package line_test

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"net"
	"os"
	"testing"
	"time"

	"wattle/internal/trial/line"
)

// echo answers each line with itself.
func echo(t *testing.T) *line.Line {
	t.Helper()
	lis, err := (&net.ListenConfig{}).Listen(t.Context(), "tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = lis.Close() })
	go func() {
		for {
			conn, err := lis.Accept()
			if err != nil {
				return
			}
			go func() {
				defer func() { _ = conn.Close() }()
				in := bufio.NewReader(conn)
				for {
					text, err := in.ReadString('\n')
					if err != nil {
						return
					}
					if _, err := io.WriteString(conn, text); err != nil {
						return
					}
				}
			}()
		}
	}()
	l, err := line.Listen(func(ctx context.Context) (net.Conn, error) {
		return (&net.Dialer{}).DialContext(ctx, "tcp", lis.Addr().String())
	})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = l.Close() })
	return l
}

func call(t *testing.T, l *line.Line) net.Conn {
	t.Helper()
	conn, err := (&net.Dialer{}).DialContext(t.Context(), "tcp", l.Addr())
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = conn.Close() })
	return conn
}

// say sends a line and reads the answer, which must come within the time.
func say(conn net.Conn, text string, within time.Duration) (string, error) {
	if _, err := fmt.Fprintln(conn, text); err != nil {
		return "", err
	}
	return hear(conn, within)
}

func hear(conn net.Conn, within time.Duration) (string, error) {
	_ = conn.SetReadDeadline(time.Now().Add(within))
	return bufio.NewReader(conn).ReadString('\n')
}

func TestPassAndSilence(t *testing.T) {
	l := echo(t)
	conn := call(t, l)
	if got, err := say(conn, "one", time.Minute); got != "one\n" {
		t.Fatalf("heard %q, %v", got, err)
	}
	l.Silence()
	if got, err := say(conn, "two", 50*time.Millisecond); !errors.Is(err, os.ErrDeadlineExceeded) {
		t.Fatalf("a silent line said %q, %v", got, err)
	}
	late := call(t, l) // it is taken, and hears nothing
	if got, err := say(late, "three", 50*time.Millisecond); !errors.Is(err, os.ErrDeadlineExceeded) {
		t.Fatalf("a silent line said %q, %v", got, err)
	}
	l.Pass()
	if got, err := hear(conn, time.Minute); got != "two\n" {
		t.Errorf("after the silence it said %q, %v", got, err)
	}
	if got, err := hear(late, time.Minute); got != "three\n" {
		t.Errorf("after the silence the late one heard %q, %v", got, err)
	}
}

func TestBreak(t *testing.T) {
	l := echo(t)
	conn := call(t, l)
	if _, err := say(conn, "one", time.Minute); err != nil {
		t.Fatal(err)
	}
	l.Break()
	if got, err := hear(conn, time.Minute); err == nil || errors.Is(err, os.ErrDeadlineExceeded) {
		t.Fatalf("a broken line said %q, %v", got, err)
	}
	if got, err := say(call(t, l), "two", time.Minute); err == nil || errors.Is(err, os.ErrDeadlineExceeded) {
		t.Fatalf("a broken line said %q, %v", got, err)
	}
	l.Pass()
	if got, err := say(call(t, l), "three", time.Minute); got != "three\n" {
		t.Errorf("a mended line said %q, %v", got, err)
	}
}

func TestSlow(t *testing.T) {
	l := echo(t)
	conn := call(t, l)
	l.Slow(100 * time.Millisecond)
	start := time.Now()
	if got, err := say(conn, "one", time.Minute); got != "one\n" {
		t.Fatalf("heard %q, %v", got, err)
	}
	if took := time.Since(start); took < 200*time.Millisecond {
		t.Errorf("there and back took %v", took)
	}
}
