// Package fetchpg fetches the programs of Postgres for a machine that has none:
// one version, named here, from a repository that the caller names, into the
// user's cache. What comes out is a folder of initdb and postgres for
// internal/localpg, which runs them.
//
// The embedded-postgres library knows what the archives are called, takes them
// apart and tries whether they run. It asks us for them (repository.go), and we
// pass on nothing whose SHA-256 is not the stated one.
//
// What is verified: the archive is the one that the repository's own .sha256
// says, which finds a broken or cut transfer; over https that it came from that
// host; and with Options.SHA256, which comes from elsewhere, that it is the archive
// somebody has looked at. Without the last, whoever runs the repository is
// trusted, as with any download of a program.
package fetchpg

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net"
	"os"
	"path/filepath"
	"strconv"
	"time"

	embedded "github.com/fergusstrange/embedded-postgres"
)

// Version is that of the Postgres that is fetched. A cached one of another
// version is left alone and not used.
const Version = string(embedded.V17)

// Public, as a repository, is the library's own: the public one that holds the
// archives.
const Public = "public"

// Options say where a Postgres comes from and goes to.
type Options struct {
	// Repository is the base URL of a repository in Maven's layout that holds the
	// archives, such as a mirror or a file server of a company's own; or Public.
	Repository string
	// SHA256 of the archive (the .jar) in hexadecimal; empty: what the
	// repository itself says.
	SHA256 string
	// Cache is the folder that fetched programs are kept in. Empty: one in the
	// user's own cache folder.
	Cache string
}

// ErrRoot says that root cannot fetch: what is fetched is also run, to try it, and
// Postgres does not run as root.
var ErrRoot = errors.New("a Postgres cannot be fetched as root: the library that fetches it also runs it, cannot change to another user, and Postgres refuses root. " +
	"Start as an ordinary user, or install Postgres (on Debian and its kin: apt-get install postgresql)")

// Fetch answers the folder of initdb and postgres, from the cache where it is
// there. It is whole or not there at all: it is fetched and tried in a folder of
// its own, and then renamed.
func Fetch(ctx context.Context, o Options) (bin string, err error) {
	if os.Geteuid() == 0 {
		return "", ErrRoot
	}
	repository, err := o.repository()
	if err != nil {
		return "", err
	}
	bin, cached, err := o.Cached()
	if cached || err != nil {
		return bin, err
	}
	home := filepath.Dir(bin)
	cache := filepath.Dir(home)
	sweep(cache)
	if err := os.MkdirAll(cache, 0o700); err != nil {
		return "", fmt.Errorf("make the folder that a fetched Postgres is kept in: %w", err)
	}
	staging, err := os.MkdirTemp(cache, stagingPrefix)
	if err != nil {
		return "", fmt.Errorf("make a folder to fetch into: %w", err)
	}
	defer func() { err = errors.Join(err, os.RemoveAll(staging)) }()
	if err := obtain(ctx, repository, staging); err != nil {
		return "", fmt.Errorf("fetch Postgres %s: %w", Version, err)
	}
	err = os.Rename(filepath.Join(staging, "postgres"), home)
	if errors.Is(err, fs.ErrExist) { // another process was first
		err = nil
	}
	if err != nil {
		return "", fmt.Errorf("keep the fetched Postgres: %w", err)
	}
	return bin, nil
}

func (o Options) cache() (string, error) {
	if o.Cache != "" {
		return o.Cache, nil
	}
	dir, err := os.UserCacheDir()
	if err != nil {
		return "", fmt.Errorf("there is no folder to keep a fetched Postgres in: %w; name one with XDG_CACHE_HOME", err)
	}
	return filepath.Join(dir, "wattle", "postgres"), nil
}

// Cached is where the programs are or would be, and whether they are there.
func (o Options) Cached() (bin string, cached bool, err error) {
	cache, err := o.cache()
	if err != nil {
		return "", false, err
	}
	bin = filepath.Join(cache, Version, "bin")
	_, err = os.Stat(filepath.Join(bin, "postgres"))
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return "", false, fmt.Errorf("look for a fetched Postgres: %w", err)
	}
	return bin, err == nil, nil
}

const stagingPrefix = ".fetch-"

// sweep deletes what a killed process left. It does what it can.
func sweep(cache string) {
	left, _ := filepath.Glob(filepath.Join(cache, stagingPrefix+"*")) // the pattern is well formed
	for _, dir := range left {
		if info, err := os.Lstat(dir); err == nil && time.Since(info.ModTime()) > time.Hour { // a fetch takes minutes
			_ = os.RemoveAll(dir)
		}
	}
}

// obtain has the library fetch, take apart, start and stop a Postgres, all of it
// below one folder.
func obtain(ctx context.Context, r *repository, dir string) (err error) {
	lis, err := (&net.ListenConfig{}).Listen(ctx, "tcp", "127.0.0.1:0")
	if err != nil {
		return err
	}
	stop := r.serve(ctx, lis)
	defer stop()
	port, err := freePort(ctx)
	if err != nil {
		return err
	}
	trial := embedded.NewDatabase(embedded.DefaultConfig().
		Version(embedded.PostgresVersion(Version)).
		BinaryRepositoryURL("http://" + lis.Addr().String()).
		CachePath(filepath.Join(dir, "archive")).
		RuntimePath(filepath.Join(dir, "trial")).
		DataPath(filepath.Join(dir, "trial", "data")).
		BinariesPath(filepath.Join(dir, "postgres")).
		Port(port).Password(rand.Text()).Logger(io.Discard).
		StartParameters(map[string]string{"listen_addresses": "127.0.0.1", "unix_socket_directories": ""}))
	if err := trial.Start(); err != nil {
		if r.failed() != nil { // the library's own words leave the reason out
			return r.failed()
		}
		return fmt.Errorf("it does not run on this machine: %w", err)
	}
	if err := trial.Stop(); err != nil {
		return fmt.Errorf("it does not stop: %w", err)
	}
	return ctx.Err()
}

// freePort is one that nobody listens on. Another may take it before the trial
// does, which then fails, and says so.
func freePort(ctx context.Context) (uint32, error) {
	lis, err := (&net.ListenConfig{}).Listen(ctx, "tcp", "127.0.0.1:0")
	if err != nil {
		return 0, err
	}
	_, text, err := net.SplitHostPort(lis.Addr().String())
	if err != nil {
		return 0, err
	}
	port, err := strconv.ParseUint(text, 10, 16)
	return uint32(port), errors.Join(err, lis.Close())
}
