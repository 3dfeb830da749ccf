package pgtest

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"syscall"
	"time"
)

// Test processes come and go, and none knows which is the last; so the server
// belongs to a process of its own, the keeper: this same test binary, started
// once more. Kernel locks count the users, so that a process that crashes is
// not counted any longer. The files of the shared folder:
//
//	start.lock   held while a server is looked for, started or stopped
//	users.lock   held shared by every test process that uses the server
//	keeper.lock  held by the keeper as long as it lives
//	server.json  the address, while the server runs
//	keeper.log   what the keeper has to say
const (
	startLock  = "start.lock"
	usersLock  = "users.lock"
	keeperLock = "keeper.lock"
	serverFile = "server.json"
	keeperLog  = "keeper.log"
)

// keeperEnv makes a test binary a keeper, for the folder it names.
const keeperEnv = "WATTLE_PGTEST_KEEPER"

// startWait covers a container engine that is busy with other things.
const startWait = 3 * time.Minute

// users stays open, and its lock held, until this process ends.
var users *os.File //nolint:unused // to be reachable is its use: a collected file is closed, and its lock gone

// joinServer makes this process a user of the shared server, starting it if
// nobody has.
func joinServer(key string) (address, error) {
	dir, err := sharedFolder(key)
	if err != nil {
		return address{}, err
	}
	starting, err := lockFile(dir, startLock, syscall.LOCK_EX)
	if err != nil {
		return address{}, err
	}
	defer starting.Close()
	if users, err = lockFile(dir, usersLock, syscall.LOCK_SH); err != nil {
		return address{}, err
	}
	if keeperLives(dir) {
		return readAddress(dir)
	}
	return startKeeper(dir)
}

// sharedFolder is one that nobody else could have put there for us.
func sharedFolder(key string) (string, error) {
	dir := filepath.Join(os.TempDir(), "wattle-pgtest-"+key)
	if err := os.Mkdir(dir, 0o700); err != nil && !errors.Is(err, fs.ErrExist) {
		return "", err
	}
	info, err := os.Lstat(dir)
	if err != nil {
		return "", err
	}
	if st, ok := info.Sys().(*syscall.Stat_t); !info.IsDir() || !ok || st.Uid != uint32(os.Geteuid()) {
		return "", fmt.Errorf("%s is not a folder of ours: remove it", dir)
	}
	return dir, nil
}

func openLock(dir, name string) (*os.File, error) {
	return os.OpenFile(filepath.Join(dir, name), os.O_RDWR|os.O_CREATE, 0o600)
}

// flock repeats what a signal interrupts.
func flock(f *os.File, how int) error {
	for {
		if err := syscall.Flock(int(f.Fd()), how); !errors.Is(err, syscall.EINTR) {
			return err
		}
	}
}

// lockFile waits for a lock, which is given back by closing the file.
func lockFile(dir, name string, how int) (*os.File, error) {
	f, err := openLock(dir, name)
	if err != nil {
		return nil, err
	}
	if err := flock(f, how); err != nil {
		return nil, errors.Join(fmt.Errorf("lock %s: %w", f.Name(), err), f.Close())
	}
	return f, nil
}

// keeperLives asks the lock, which dies with its holder.
func keeperLives(dir string) bool {
	f, err := lockFile(dir, keeperLock, syscall.LOCK_SH|syscall.LOCK_NB)
	if err != nil {
		return errors.Is(err, syscall.EWOULDBLOCK)
	}
	_ = f.Close()
	return false
}

func readAddress(dir string) (address, error) {
	text, err := os.ReadFile(filepath.Join(dir, serverFile))
	if err != nil {
		return address{}, err
	}
	var a address
	if err := json.Unmarshal(text, &a); err != nil {
		return address{}, fmt.Errorf("%s/%s: %w", dir, serverFile, err)
	}
	return a, nil
}

// startKeeper starts the keeper and waits for what it says: nothing where the
// server runs, else why it does not.
func startKeeper(dir string) (address, error) {
	self, err := os.Executable()
	if err != nil {
		return address{}, err
	}
	logFile, err := os.OpenFile(filepath.Join(dir, keeperLog), os.O_WRONLY|os.O_CREATE|os.O_TRUNC, 0o600)
	if err != nil {
		return address{}, err
	}
	defer logFile.Close()
	answer, says, err := os.Pipe()
	if err != nil {
		return address{}, err
	}
	defer answer.Close()
	cmd := exec.Command(self)
	cmd.Env = append(os.Environ(), keeperEnv+"="+dir)
	cmd.Dir = "/"
	// Not our own output: `go test` waits until every holder of it has ended.
	cmd.Stdout, cmd.Stderr = logFile, logFile
	cmd.ExtraFiles = []*os.File{says}
	cmd.SysProcAttr = &syscall.SysProcAttr{Setsid: true} // Ctrl-C is for the tests
	err = cmd.Start()
	_ = says.Close()
	if err != nil {
		return address{}, err
	}
	if err := answer.SetReadDeadline(time.Now().Add(startWait)); err != nil {
		return address{}, err
	}
	why, err := io.ReadAll(answer)
	switch {
	case errors.Is(err, os.ErrDeadlineExceeded):
		_ = cmd.Process.Kill()
		_ = cmd.Wait() // killed
		return address{}, fmt.Errorf("the test server did not start within %v; see %s", startWait, logFile.Name())
	case err != nil:
		return address{}, err
	case len(why) > 0:
		_ = cmd.Wait() // it has said why
		return address{}, errors.New(string(why))
	}
	a, err := readAddress(dir)
	if err != nil {
		text, _ := os.ReadFile(logFile.Name())
		return address{}, fmt.Errorf("the keeper of the test server ended: %w\n%s", err, text)
	}
	return a, cmd.Process.Release()
}
