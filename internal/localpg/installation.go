package localpg

import (
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
)

// oldest is the oldest major version the schema is written for.
const oldest = 15

// ErrNoPostgres says that no usable Postgres is installed, and what to do.
var ErrNoPostgres = errors.New("no Postgres 15 or newer is installed on this machine: " +
	"install it (on Debian and its kin: apt-get install postgresql), " +
	"or set WATTLE_POSTGRES_BIN to the folder that holds initdb and postgres")

// installation is one Postgres on this machine.
type installation struct {
	bin   string // folder of initdb and postgres
	major int
}

// installations lists the usable ones, the preferred first. A folder that was
// asked for is the only candidate, and says what is wrong with it.
func installations(bin string) ([]installation, error) {
	if bin == "" {
		bin = os.Getenv("WATTLE_POSTGRES_BIN")
	}
	if bin != "" {
		in, err := inspect(bin)
		if err != nil {
			return nil, fmt.Errorf("%w (%w)", ErrNoPostgres, err)
		}
		return []installation{in}, nil
	}
	var found []installation
	var unusable []string
	for _, dir := range usualFolders() {
		in, err := inspect(dir)
		switch {
		case err == nil:
			found = append(found, in)
		case !errors.Is(err, os.ErrNotExist):
			unusable = append(unusable, err.Error())
		}
	}
	switch {
	case len(found) > 0:
		return found, nil
	case len(unusable) > 0:
		return nil, fmt.Errorf("%w (%s)", ErrNoPostgres, strings.Join(unusable, "; "))
	default:
		return nil, ErrNoPostgres
	}
}

// usualFolders are the folder of the postgres on PATH, then Debian's, the
// newest version first.
func usualFolders() []string {
	var dirs []string
	if path, err := exec.LookPath("postgres"); err == nil {
		dirs = append(dirs, filepath.Dir(path))
	}
	packaged, _ := filepath.Glob("/usr/lib/postgresql/*/bin") // the pattern is well formed
	slices.SortFunc(packaged, func(a, b string) int { return folderVersion(b) - folderVersion(a) })
	return append(dirs, packaged...)
}

func folderVersion(bin string) int {
	n, err := strconv.Atoi(filepath.Base(filepath.Dir(bin)))
	if err != nil {
		return 0
	}
	return n
}

var versionLine = regexp.MustCompile(`\(PostgreSQL\) (\d+)`)

// inspect asks the binaries in dir what they are.
func inspect(dir string) (installation, error) {
	for _, name := range []string{"initdb", "postgres"} {
		if _, err := os.Stat(filepath.Join(dir, name)); err != nil {
			return installation{}, err
		}
	}
	out, err := exec.Command(filepath.Join(dir, "postgres"), "--version").Output()
	if err != nil {
		return installation{}, fmt.Errorf("%s/postgres --version: %w", dir, err)
	}
	m := versionLine.FindSubmatch(out)
	if m == nil {
		return installation{}, fmt.Errorf("%s/postgres --version prints %q", dir, strings.TrimSpace(string(out)))
	}
	major, err := strconv.Atoi(string(m[1]))
	if err != nil {
		return installation{}, fmt.Errorf("%s/postgres --version: %w", dir, err)
	}
	if major < oldest {
		return installation{}, fmt.Errorf("%s holds Postgres %d", dir, major)
	}
	return installation{bin: dir, major: major}, nil
}

// choose picks the installation for what dir already holds. Data of the newest
// version there decides: starting another major version beside it would open
// an empty database where the caller expects his own.
func choose(found []installation, dir string) (installation, error) {
	held := 0
	entries, err := os.ReadDir(dir)
	if err != nil {
		return installation{}, fmt.Errorf("localpg: %w", err)
	}
	for _, e := range entries {
		major, err := strconv.Atoi(e.Name())
		if err != nil {
			continue
		}
		if _, err := os.Stat(filepath.Join(dir, e.Name(), "data", "PG_VERSION")); err == nil {
			held = max(held, major)
		}
	}
	if held == 0 {
		return found[0], nil
	}
	for _, in := range found {
		if in.major == held {
			return in, nil
		}
	}
	return installation{}, fmt.Errorf("localpg: %s holds data of Postgres %d, but the Postgres found here is %d (%s): "+
		"install Postgres %d, or dump the data with it and load the dump into a new folder",
		dir, held, found[0].major, found[0].bin, held)
}
