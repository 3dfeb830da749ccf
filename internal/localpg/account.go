package localpg

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/user"
	"path/filepath"
	"strconv"
	"syscall"
)

// account is the user Postgres runs as. The zero value is our own.
type account struct {
	name string
	cred *syscall.Credential
}

// unprivileged is our own account, or where we are root, which initdb and
// postgres refuse, an existing one without rights. initdb needs an account
// that has a name.
func unprivileged() (account, error) {
	if os.Geteuid() != 0 {
		return account{}, nil
	}
	for _, name := range []string{"postgres", "nobody"} {
		u, err := user.Lookup(name)
		if err != nil {
			continue
		}
		if who, err := accountOf(u); err == nil {
			return who, nil
		}
	}
	return account{}, errors.New("localpg: Postgres does not run as root, and this machine has neither " +
		"a user postgres nor a user nobody: add one (useradd --system postgres), or start as a normal user")
}

func accountOf(u *user.User) (account, error) {
	uid, err := strconv.ParseUint(u.Uid, 10, 32)
	if err != nil {
		return account{}, fmt.Errorf("localpg: user %s: %w", u.Username, err)
	}
	gid, err := strconv.ParseUint(u.Gid, 10, 32)
	if err != nil {
		return account{}, fmt.Errorf("localpg: user %s: %w", u.Username, err)
	}
	if uid == 0 {
		return account{}, fmt.Errorf("localpg: user %s is root", u.Username)
	}
	return account{name: u.Username, cred: &syscall.Credential{Uid: uint32(uid), Gid: uint32(gid)}}, nil
}

// ownerOf is the account that existing data belongs to, so that a user
// postgres added later does not lock us out of data that nobody owns.
func (a account) ownerOf(data string) (account, error) {
	if a.cred == nil {
		return a, nil
	}
	info, err := os.Stat(data)
	if errors.Is(err, fs.ErrNotExist) {
		return a, nil
	}
	if err != nil {
		return account{}, fmt.Errorf("localpg: %w", err)
	}
	uid := uidOf(info)
	if uid == a.cred.Uid {
		return a, nil
	}
	u, err := user.LookupId(strconv.FormatUint(uint64(uid), 10))
	if err != nil {
		return account{}, fmt.Errorf("localpg: the owner of %s: %w", data, err)
	}
	return accountOf(u)
}

func uidOf(info fs.FileInfo) uint32 {
	if st, ok := info.Sys().(*syscall.Stat_t); ok {
		return st.Uid
	}
	return 0
}

// passable is the mode of our own folders: closed to others, but where another
// user runs Postgres that user must pass through.
func (a account) passable() fs.FileMode {
	if a.cred != nil {
		return 0o711
	}
	return 0o700
}

// mkdirPassable makes one of our own folders, whatever the umask; the mode of
// one that exists is its owner's choice.
func (a account) mkdirPassable(path string) error {
	if _, err := os.Stat(path); err == nil {
		return nil
	}
	if err := os.MkdirAll(path, a.passable()); err != nil {
		return err
	}
	return os.Chmod(path, a.passable())
}

// mkdir makes a folder that only the account enters.
func (a account) mkdir(path string) error {
	if err := os.Mkdir(path, 0o700); err != nil {
		return err
	}
	if a.cred == nil {
		return nil
	}
	return os.Chown(path, int(a.cred.Uid), int(a.cred.Gid))
}

// DefaultDir is where a lasting server's data goes: the system's state folder
// for root, else the user's.
func DefaultDir() (string, error) {
	if os.Geteuid() == 0 {
		return "/var/lib/wattle", nil
	}
	if state := os.Getenv("XDG_STATE_HOME"); filepath.IsAbs(state) {
		return filepath.Join(state, "wattle"), nil
	}
	home, err := os.UserHomeDir()
	if err != nil {
		return "", fmt.Errorf("localpg: no folder for the data: %w", err)
	}
	return filepath.Join(home, ".local", "state", "wattle"), nil
}
