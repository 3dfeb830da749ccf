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

// takeData locks the data of a root folder. A Postgres that still holds it has
// outlived its owner and is ended: first as sig says, then at once.
func takeData(root string, sig syscall.Signal, wait time.Duration) (*os.File, error) {
	lock, err := os.OpenFile(filepath.Join(root, "data.lock"), os.O_RDWR|os.O_CREATE, 0o600)
	if err != nil {
		return nil, fmt.Errorf("localpg: %w", err)
	}
	err = tryLock(lock)
	if errors.Is(err, syscall.EWOULDBLOCK) {
		err = endHolder(lock, dataFolder(root), sig, wait)
	}
	if err != nil {
		return nil, errors.Join(fmt.Errorf("localpg: lock %s: %w", lock.Name(), err), lock.Close())
	}
	return lock, nil
}

func endHolder(lock *os.File, data string, sig syscall.Signal, wait time.Duration) error {
	if pid := postmasterPID(data); pid != 0 {
		if uses, known := worksIn(pid, data); uses || !known {
			_ = syscall.Kill(pid, sig) // gone already is as good
			if err := lockWithin(lock, wait); !errors.Is(err, syscall.EWOULDBLOCK) {
				return err
			}
		}
	}
	// The postmaster is gone, or deaf. One that was killed may have left a
	// process that is busy with a query and has not noticed.
	for _, pid := range workers(data) {
		_ = syscall.Kill(pid, syscall.SIGQUIT)
	}
	err := lockWithin(lock, immediateShutdown)
	if errors.Is(err, syscall.EWOULDBLOCK) {
		return fmt.Errorf("an earlier Postgres still uses it and does not end: end its processes %v", workers(data))
	}
	return err
}

// endOrphan ends what is left of a Postgres in root, if anything is.
func endOrphan(root string, sig syscall.Signal, wait time.Duration) error {
	lock, err := takeData(root, sig, wait)
	if err != nil {
		return err
	}
	return errors.Join(os.RemoveAll(socketFolder(root)), lock.Close())
}

func pidFile(data string) string { return filepath.Join(data, "postmaster.pid") }

// pidFileLines is empty where there is no server.
func pidFileLines(data string) []string {
	text, err := os.ReadFile(pidFile(data))
	if err != nil {
		return nil
	}
	lines := strings.Split(string(text), "\n")
	for i := range lines {
		lines[i] = strings.TrimSpace(lines[i])
	}
	return lines
}

// postmasterPID is 0 where the pid file is absent or says nothing.
func postmasterPID(data string) int {
	lines := pidFileLines(data)
	if len(lines) == 0 {
		return 0
	}
	pid, err := strconv.Atoi(lines[0])
	if err != nil || pid <= 1 {
		return 0
	}
	return pid
}
