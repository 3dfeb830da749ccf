package main

import (
	"bufio"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"time"

	"buf.build/go/protoyaml"
	"google.golang.org/protobuf/proto"

	wattlev1 "wattle/api/wattle/v1"
)

// service is the real program with a private Postgres, a company and its prices.
type service struct {
	cmd           *exec.Cmd
	dir           string
	flags         []string
	address, key  string
	quote, layout []byte
	ended         chan error
}

// start builds and starts it. The trial has one key, whose rate is none of its
// business, so that has no limit; flags come after and may say otherwise.
func start(ctx context.Context, flags []string) (*service, error) {
	// A folder that the user Postgres runs as can pass; see localpg.
	dir, err := os.MkdirTemp("", "wattle-overload-")
	if err != nil {
		return nil, err
	}
	s := &service{dir: dir, flags: append([]string{"--key-rate", "0"}, flags...), ended: make(chan error, 1)}
	if err := s.start(ctx); err != nil {
		return nil, errors.Join(err, s.stop())
	}
	return s, nil
}

func (s *service) start(ctx context.Context) error {
	if err := os.Chmod(s.dir, 0o711); err != nil { //nolint:gosec // others pass, and see nothing
		return err
	}
	program, data := filepath.Join(s.dir, "wattle"), filepath.Join(s.dir, "data")
	wattle := func(args ...string) error {
		out, err := exec.CommandContext(ctx, program, args...).CombinedOutput() //nolint:gosec // built here
		if err != nil {
			return fmt.Errorf("wattle %s: %w\n%s", args[0], err, out)
		}
		return nil
	}
	build := exec.CommandContext(ctx, "go", "build", "-o", program, "./cmd/wattle") //nolint:gosec // in a folder of our own
	if out, err := build.CombinedOutput(); err != nil {
		return fmt.Errorf("build the program (run this from the top of the repository): %w\n%s", err, out)
	}
	log, err := os.Create(filepath.Join(s.dir, "log"))
	if err != nil {
		return err
	}
	defer func() { _ = log.Close() }()                                                                                                // the process has its own
	s.cmd = exec.Command(program, append([]string{"serve", "--local", "--data-dir", data, "--listen", "127.0.0.1:0"}, s.flags...)...) //nolint:gosec,noctx // built here; stopped by stop
	s.cmd.Stderr = log
	if err := s.cmd.Start(); err != nil {
		return err
	}
	go func() { s.ended <- s.cmd.Wait() }()
	if s.address, err = s.listens(ctx); err != nil {
		return err
	}
	keyFile := filepath.Join(s.dir, "harrow.key")
	if err := wattle("company", "create", "harrow", "--server", s.address, "--key-file", filepath.Join(data, "operator.key"), "--save-key", keyFile); err != nil {
		return err
	}
	if err := wattle("prices", "import", "testdata/demo/prices-2026-03.csv", "--mode", "patch", "--company", "harrow", "--server", s.address, "--key-file", keyFile); err != nil {
		return err
	}
	secret, err := os.ReadFile(keyFile)
	if err != nil {
		return err
	}
	s.key = strings.TrimSpace(string(secret))
	return s.requests()
}

// listens waits until it does, and gives the address.
func (s *service) listens(ctx context.Context) (string, error) {
	for range 600 {
		log, err := os.ReadFile(filepath.Join(s.dir, "log"))
		if err != nil {
			return "", err
		}
		for line := range strings.Lines(string(log)) {
			var said struct{ Msg, Address string }
			if json.Unmarshal([]byte(line), &said) == nil && said.Msg == "listening" {
				return said.Address, nil
			}
		}
		select {
		case err := <-s.ended:
			s.ended <- err
			return "", fmt.Errorf("serve ended: %w\n%s", err, log)
		case <-ctx.Done():
			return "", ctx.Err()
		case <-time.After(100 * time.Millisecond):
		}
	}
	return "", errors.New("serve does not listen after a minute")
}

// requests are made once.
func (s *service) requests() error {
	text, err := os.ReadFile("testdata/demo/job.yaml")
	if err != nil {
		return err
	}
	request := &wattlev1.CreateQuoteRequest{}
	if err := protoyaml.Unmarshal(text, request); err != nil {
		return err
	}
	request.RequestId = ""
	if s.quote, err = proto.Marshal(request); err != nil {
		return err
	}
	s.layout, err = proto.Marshal(&wattlev1.PlanLayoutRequest{Site: request.GetSite(), Spec: request.GetSpec()})
	return err
}

// stop ends the program and removes what it stored.
func (s *service) stop() error {
	var err error
	if s.cmd != nil && s.cmd.Process != nil {
		_ = s.cmd.Process.Signal(syscall.SIGTERM) // it may have ended
		select {
		case err = <-s.ended:
		case <-time.After(time.Minute):
			err = errors.Join(errors.New("serve still runs a minute after SIGTERM"), s.cmd.Process.Kill())
		}
	}
	return errors.Join(err, os.RemoveAll(s.dir))
}

// resident is the program's memory in MiB, without Postgres's.
func (s *service) resident() float64 {
	f, err := os.Open("/proc/" + strconv.Itoa(s.cmd.Process.Pid) + "/status")
	if err != nil {
		return 0
	}
	defer func() { _ = f.Close() }() // was read only
	lines := bufio.NewScanner(f)
	for lines.Scan() {
		if rest, ok := strings.CutPrefix(lines.Text(), "VmRSS:"); ok {
			kib, _ := strconv.ParseFloat(strings.TrimSpace(strings.TrimSuffix(rest, "kB")), 64)
			return kib / 1024
		}
	}
	return 0
}

// sample is the memory at a time.
type sample struct {
	at  time.Time
	mib float64
}

// watch looks at the memory ten times a second until the returned function is
// called.
func (s *service) watch() func() []sample {
	end, seen := make(chan struct{}), make(chan []sample)
	go func() {
		var all []sample
		tick := time.NewTicker(100 * time.Millisecond)
		defer tick.Stop()
		for {
			select {
			case at := <-tick.C:
				all = append(all, sample{at, s.resident()})
			case <-end:
				seen <- all
				return
			}
		}
	}()
	return func() []sample { close(end); return <-seen }
}
