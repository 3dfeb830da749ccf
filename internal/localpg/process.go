package localpg

import (
	"errors"
	"io"
	"os/exec"
	"runtime"
	"strings"
	"sync"
	"syscall"
	"time"
)

// process is a child that is being waited for.
type process struct {
	pid  int
	cmd  *exec.Cmd
	done chan struct{} // closed when it has ended
	err  error         // how it ended; read after done
}

// launch starts cmd. The kernel sends the parent-death signal when the thread
// that made the child ends, so one thread is kept for as long as the child
// lives; it has nothing to do but to wait.
func launch(cmd *exec.Cmd) (*process, error) {
	p := &process{cmd: cmd, done: make(chan struct{})}
	started := make(chan error)
	go func() {
		runtime.LockOSThread()
		defer runtime.UnlockOSThread()
		defer close(p.done)
		err := cmd.Start()
		if err == nil {
			p.pid = cmd.Process.Pid
		}
		started <- err
		if err == nil {
			p.err = cmd.Wait()
		}
	}()
	if err := <-started; err != nil {
		return nil, err
	}
	return p, nil
}

// stop signals the process and says whether it ended in time.
func (p *process) stop(sig syscall.Signal, wait time.Duration) bool {
	_ = p.cmd.Process.Signal(sig) // it knows whether the process is gone already
	timer := time.NewTimer(wait)
	defer timer.Stop()
	select {
	case <-p.done:
		return true
	case <-timer.C:
		return false
	}
}

// ended is how a process that should live has ended.
func (p *process) ended() error {
	if p.err != nil {
		return p.err
	}
	return errors.New("it ended")
}

// tail passes lines on and remembers the last ones for an error.
type tail struct {
	next io.Writer
	mu   sync.Mutex
	last []byte
}

const tailBytes = 2000

func (t *tail) Write(b []byte) (int, error) {
	t.mu.Lock()
	defer t.mu.Unlock()
	t.last = append(t.last, b...)
	if over := len(t.last) - tailBytes; over > 0 {
		t.last = append(t.last[:0], t.last[over:]...)
	}
	if t.next == nil {
		return len(b), nil
	}
	return t.next.Write(b)
}

func (t *tail) lines() string {
	t.mu.Lock()
	defer t.mu.Unlock()
	text := strings.TrimSpace(string(t.last))
	if text == "" {
		return ""
	}
	return "; it printed:\n" + text
}
