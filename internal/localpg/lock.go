package localpg

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"time"
)

// ErrLocked says that another process runs the Postgres of this folder.
type ErrLocked struct {
	Dir string
	PID int // 0 where the other has not said yet
}

func (e ErrLocked) Error() string {
	return fmt.Sprintf("the local Postgres in %s is in use by process %d: stop that one first, or choose another folder", e.Dir, e.PID)
}

// lockOwner makes this process the owner of dir until the file is closed.
func lockOwner(dir string) (*os.File, error) {
	f, err := os.OpenFile(filepath.Join(dir, "lock"), os.O_RDWR|os.O_CREATE, 0o600)
	if err != nil {
		return nil, fmt.Errorf("localpg: %w", err)
	}
	if err := tryLock(f); err != nil {
		defer f.Close()
		if errors.Is(err, syscall.EWOULDBLOCK) {
			return nil, ErrLocked{Dir: dir, PID: readPID(f)}
		}
		return nil, fmt.Errorf("localpg: lock %s: %w", f.Name(), err)
	}
	// The lock is the fact, the pid only tells people; so a crash between the
	// two does no harm.
	if err := errors.Join(f.Truncate(0), writePID(f)); err != nil {
		return nil, errors.Join(fmt.Errorf("localpg: %w", err), f.Close())
	}
	return f, nil
}

func tryLock(f *os.File) error {
	return syscall.Flock(int(f.Fd()), syscall.LOCK_EX|syscall.LOCK_NB)
}

// lockWithin waits for the lock, without a goroutine that could be left behind.
func lockWithin(f *os.File, wait time.Duration) error {
	for deadline := time.Now().Add(wait); ; time.Sleep(10 * time.Millisecond) {
		err := tryLock(f)
		if !errors.Is(err, syscall.EWOULDBLOCK) || time.Now().After(deadline) {
			return err
		}
	}
}

func writePID(f *os.File) error {
	_, err := f.WriteAt(fmt.Appendln(nil, os.Getpid()), 0)
	return err
}

// readPID gives the owner a moment to write what it has just locked.
func readPID(f *os.File) int {
	for range 20 {
		line := make([]byte, 32)
		n, _ := f.ReadAt(line, 0) // a short read is the normal case
		if pid, err := strconv.Atoi(strings.TrimSpace(string(line[:n]))); err == nil {
			return pid
		}
		time.Sleep(5 * time.Millisecond)
	}
	return 0
}
