package main

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"time"
)

// process is a wattle that runs beside us.
type process struct {
	cmd   *exec.Cmd
	ended chan struct{}
	err   error // how it ended; read after ended

	mu      sync.Mutex
	slowest time.Duration // the longest that a call with one answer took
	waits   map[string]chan struct{}
}

// launch starts a wattle, its log added to a file, and returns once it has said
// the word that tells that it works.
func launch(program, logFile, word string, args ...string) (*process, error) {
	file, err := os.OpenFile(logFile, os.O_CREATE|os.O_APPEND|os.O_WRONLY, 0o600)
	if err != nil {
		return nil, err
	}
	ready := make(chan struct{})
	p := &process{cmd: exec.Command(program, args...), ended: make(chan struct{}), waits: map[string]chan struct{}{word: ready}} //nolint:gosec,noctx // the program under trial; it is ended by name
	p.cmd.SysProcAttr = &syscall.SysProcAttr{Setpgid: true}                                                                      // Ctrl-C at the terminal is for us
	stderr, err := p.cmd.StderrPipe()
	if err != nil {
		return nil, errors.Join(err, file.Close())
	}
	if err := p.cmd.Start(); err != nil {
		return nil, errors.Join(err, file.Close())
	}
	go func() {
		lines := bufio.NewReader(stderr)
		for {
			line, err := lines.ReadBytes('\n')
			p.hear(line)
			_, _ = file.Write(line) // the log is for people, after the fact
			if err != nil {
				break
			}
		}
		p.err = p.cmd.Wait()
		_ = file.Close()
		close(p.ended)
	}()
	select {
	case <-ready:
		return p, nil
	case <-p.ended:
		return nil, fmt.Errorf("wattle %s ended: %w; see %s", args[0], p.err, logFile)
	case <-time.After(time.Minute):
		p.end(syscall.SIGKILL)
		return nil, fmt.Errorf("wattle %s does not work after a minute; see %s", args[0], logFile)
	}
}

// streams may take as long as their callers like.
var streams = []string{"WatchEvents", "VerifyHistory", "ImportPrices", "Health/Watch"}

func (p *process) hear(line []byte) {
	var said struct {
		Msg, Method string
		TookMS      float64 `json:"took_ms"`
	}
	if !bytes.HasPrefix(line, []byte("{")) || json.Unmarshal(line, &said) != nil {
		return
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	if wait := p.waits[said.Msg]; wait != nil {
		close(wait)
		delete(p.waits, said.Msg)
	}
	if said.Method == "" { // a statement of a worker's own, which takes as long as the line is silent
		return
	}
	for _, s := range streams {
		if strings.HasSuffix(said.Method, s) {
			return
		}
	}
	p.slowest = max(p.slowest, time.Duration(said.TookMS*float64(time.Millisecond)))
}

func (p *process) slowestCall() time.Duration {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.slowest
}

// end signals the process and waits for it.
func (p *process) end(sig syscall.Signal) {
	_ = p.cmd.Process.Signal(sig) // it knows whether it is gone already
	select {
	case <-p.ended:
	case <-time.After(time.Minute):
		_ = p.cmd.Process.Kill()
		<-p.ended
	}
}

// peak is the most memory that the process ever held, in MB; 0 where the system
// does not tell.
func (p *process) peak() int {
	text, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", p.cmd.Process.Pid))
	if err != nil {
		return 0
	}
	for line := range strings.Lines(string(text)) {
		if rest, ok := strings.CutPrefix(line, "VmHWM:"); ok {
			kb, _ := strconv.Atoi(strings.TrimSuffix(strings.TrimSpace(rest), " kB"))
			return kb / 1000
		}
	}
	return 0
}

// tool runs a program of the machine and returns what it printed.
func tool(ctx context.Context, name string, args ...string) (string, error) {
	out, err := exec.CommandContext(ctx, name, args...).CombinedOutput() //nolint:gosec // programs of this machine, with our own arguments
	if err != nil {
		return "", fmt.Errorf("%s %s: %w: %s", name, strings.Join(args, " "), err, strings.TrimSpace(string(out)))
	}
	return strings.TrimSpace(string(out)), nil
}
