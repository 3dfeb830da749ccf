package localpg

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"syscall"
	"time"
)

const temporaryPrefix = "wattle-pg-"

// temporaryDir makes and locks a folder of its own. A sweep in another process
// may see the folder before its lock is taken; then another is made.
func temporaryDir(who account) (string, *os.File, error) {
	root, err := filepath.EvalSymlinks(os.TempDir())
	if err != nil {
		return "", nil, fmt.Errorf("localpg: %w", err)
	}
	for range 10 {
		dir, err := os.MkdirTemp(root, temporaryPrefix)
		if err != nil {
			return "", nil, fmt.Errorf("localpg: %w", err)
		}
		if err := os.Chmod(dir, who.passable()); err != nil {
			return "", nil, fmt.Errorf("localpg: %w", err)
		}
		owner, err := lockOwner(dir)
		if errors.As(err, new(ErrLocked)) || errors.Is(err, fs.ErrNotExist) {
			continue
		}
		if err != nil {
			return "", nil, errors.Join(err, os.RemoveAll(dir))
		}
		if _, err := os.Lstat(owner.Name()); err == nil {
			return dir, owner, nil
		}
		_ = owner.Close() // swept between its making and its locking
	}
	return "", nil, fmt.Errorf("localpg: no temporary folder could be kept in %s", root)
}

// sweep deletes temporary folders whose owner died without deleting them. It
// does what it can: what it cannot delete is no reason not to start.
func sweep() {
	root, err := filepath.EvalSymlinks(os.TempDir())
	if err != nil {
		return
	}
	dirs, _ := filepath.Glob(filepath.Join(root, temporaryPrefix+"*"))
	for _, dir := range dirs {
		info, err := os.Lstat(dir)
		// Another user's folder of this name is none of our business, and in
		// a folder open to all it may be a trap.
		if err != nil || !info.IsDir() || uidOf(info) != uint32(os.Geteuid()) {
			continue
		}
		sweepOne(dir, info.ModTime())
	}
}

func sweepOne(dir string, made time.Time) {
	lock, err := os.OpenFile(filepath.Join(dir, "lock"), os.O_RDWR|syscall.O_NOFOLLOW, 0)
	if errors.Is(err, fs.ErrNotExist) && time.Since(made) > time.Hour {
		_ = os.RemoveAll(dir) // its maker never came as far as the lock
		return
	}
	if err != nil {
		return
	}
	defer lock.Close()
	if tryLock(lock) != nil {
		return // its owner lives
	}
	entries, err := os.ReadDir(dir)
	if err != nil {
		return
	}
	for _, e := range entries {
		if e.IsDir() && endOrphan(filepath.Join(dir, e.Name()), syscall.SIGQUIT, immediateShutdown) != nil {
			return // the next sweep tries again
		}
	}
	_ = os.RemoveAll(dir)
}
