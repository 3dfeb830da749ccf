package main

import (
	"context"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
)

// Disk below which a service should not be started, and below which somebody
// should see to it.
const (
	leastFree = 512 << 20
	fewFree   = 5 << 30
)

// disk looks at the folder of serve --local; a database of one's own has its disk
// elsewhere.
func (d *doctor) disk(context.Context) []finding {
	const what = "disk"
	if !d.local && d.databaseURL != "" {
		return []finding{found(what, unused, "the data is the database's; watch the disk of its machine")}
	}
	dir, err := d.folder()
	if err != nil {
		return nil // told with the private Postgres
	}
	there, err := existing(dir)
	if err != nil {
		return []finding{found(what, missing, "%v", err).but("name another folder with --data-dir")}
	}
	free, err := freeBytes(there)
	switch {
	case err != nil:
		return []finding{found(what, warning, "how much is free at %s cannot be told: %v", there, err)}
	case free < leastFree:
		return []finding{found(what, missing, "%s free at %s", size(free), there).but("make room: Postgres stops where its disk is full; %s are the least", size(leastFree))}
	case free < fewFree:
		return []finding{found(what, warning, "%s free at %s", size(free), there).but("make room, or name another folder with --data-dir")}
	default:
		return []finding{found(what, fine, "%s free at %s", size(free), there)}
	}
}

// existing is the folder, or the nearest one above it that is there.
func existing(dir string) (string, error) {
	dir, err := filepath.Abs(dir)
	if err != nil {
		return "", err
	}
	for {
		_, err := os.Stat(dir)
		if above := filepath.Dir(dir); errors.Is(err, fs.ErrNotExist) && above != dir {
			dir = above
			continue
		}
		return dir, err
	}
}

// freeBytes is what an ordinary user may still write at a folder.
func freeBytes(dir string) (int64, error) {
	var s syscall.Statfs_t
	if err := syscall.Statfs(dir, &s); err != nil {
		return 0, err
	}
	return int64(s.Bavail) * int64(s.Bsize), nil //nolint:unconvert // another type on other systems
}

// size is a number of bytes in the unit that leaves a readable figure.
func size(bytes int64) string {
	const unit = 1024
	n, names := float64(bytes), []string{"B", "KiB", "MiB", "GiB", "TiB"}
	i := 0
	for ; n >= unit && i < len(names)-1; i++ {
		n /= unit
	}
	return strings.TrimSuffix(strconv.FormatFloat(n, 'f', 1, 64), ".0") + " " + names[i]
}
