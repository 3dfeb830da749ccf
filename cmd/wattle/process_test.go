package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"
)

// wattle runs the program as a process and returns what it wrote. A machine
// without Postgres fails here, with the program's own sentence.
func wattle(t *testing.T, wantExit int, args ...string) (stdout, stderr string) {
	t.Helper()
	ctx, cancel := context.WithTimeout(t.Context(), 2*time.Minute)
	defer cancel()
	cmd := exec.CommandContext(ctx, "wattle", args...) // TestMain put it on PATH
	var out, errs bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &errs
	err := cmd.Run()
	if _, failed := errors.AsType[*exec.ExitError](err); err != nil && !failed {
		t.Fatalf("wattle %v: %v", args, err)
	}
	if got := cmd.ProcessState.ExitCode(); got != wantExit {
		t.Fatalf("wattle %v exited with %d, want %d\n%s%s", args, got, wantExit, out.String(), errs.String())
	}
	return out.String(), errs.String()
}

// processLog is what processes say, which a test may read while they go on.
type processLog struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (l *processLog) Write(p []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.b.Write(p)
}

func (l *processLog) String() string {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.b.String()
}

// serving is a running `wattle serve`.
type serving struct {
	*exec.Cmd
	address string
	http    string // where HTTP is answered; empty where it is not
	log     *processLog
	ended   chan error
}

// start runs serve and returns once it listens.
func start(t *testing.T, args ...string) *serving {
	t.Helper()
	args = append([]string{"serve", "--listen", "127.0.0.1:0"}, args...)
	s := &serving{Cmd: exec.CommandContext(t.Context(), "wattle", args...), log: &processLog{}, ended: make(chan error, 1)}
	stderr, err := s.StderrPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := s.Start(); err != nil {
		t.Fatal(err)
	}
	listens := make(chan string, 1)
	go func() {
		dec := json.NewDecoder(stderr)
		for {
			var raw json.RawMessage
			if dec.Decode(&raw) != nil { // the process ended, or its last words are no JSON
				break
			}
			_, _ = s.log.Write(append(raw, '\n')) // never fails
			var line struct{ Msg, Address string }
			switch {
			case json.Unmarshal(raw, &line) != nil:
			case line.Msg == "listening for HTTP":
				s.http = line.Address
			case line.Msg == "listening":
				listens <- line.Address
			}
		}
		rest := make([]byte, 4096)
		n, _ := dec.Buffered().Read(rest)
		_, _ = s.log.Write(rest[:n])
		s.ended <- s.Wait()
	}()
	select {
	case s.address = <-listens:
		return s
	case err := <-s.ended:
		t.Fatalf("serve ended: %v\n%s", err, s.log)
	case <-time.After(90 * time.Second):
		t.Fatal("serve does not listen after 90 s")
	}
	return nil
}

// harrow makes a company on a service with a private Postgres in dir, and gives
// the flags that reach it.
func (s *serving) harrow(t *testing.T, dir string) []string {
	t.Helper()
	key := filepath.Join(t.TempDir(), "harrow.key")
	wattle(t, exitDone, "company", "create", "harrow", "--server", s.address, "--key-file", localOperatorFile(dir), "--save-key", key)
	return []string{"--company", "harrow", "--server", s.address, "--key-file", key}
}

// stop sends a signal and returns what the process ended with.
func (s *serving) stop(t *testing.T, signal os.Signal) error {
	t.Helper()
	if err := s.Process.Signal(signal); err != nil {
		t.Fatal(err)
	}
	select {
	case err := <-s.ended:
		return err
	case <-time.After(90 * time.Second):
		t.Fatal("serve still runs 90 s after the signal")
		return nil
	}
}

// field is the value after a label at the start of a line.
func field(t *testing.T, text, label string) string {
	t.Helper()
	for line := range strings.Lines(text) {
		if rest, ok := strings.CutPrefix(line, label); ok {
			return strings.TrimSpace(rest)
		}
	}
	t.Fatalf("no line starts with %q in:\n%s", label, text)
	return ""
}
