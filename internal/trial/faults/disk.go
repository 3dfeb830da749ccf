package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"time"
)

// smallFolder has a folder of Postgres's data on a file system of its own, with
// room for that many MB more than it holds.
func smallFolder(name string, spare int) func(context.Context, *scene) error {
	return func(ctx context.Context, s *scene) error {
		if name == "pg_wal" { // else it keeps a gigabyte
			if err := s.db.admin(ctx, `alter system set max_wal_size = '64MB'`, `alter system set min_wal_size = '32MB'`); err != nil {
				return err
			}
		}
		data, err := s.db.data()
		if err != nil {
			return err
		}
		if err := s.db.Close(); err != nil {
			return err
		}
		folder := filepath.Join(data, name)
		size, err := tool(ctx, "du", "-sm", folder)
		if err != nil {
			return err
		}
		used, err := strconv.Atoi(strings.Fields(size)[0])
		if err != nil {
			return err
		}
		if err := os.Rename(folder, folder+".was"); err != nil {
			return err
		}
		if err := os.Mkdir(folder, 0o700); err != nil {
			return err
		}
		if _, err := tool(ctx, "mount", "-t", "tmpfs", "-o", fmt.Sprintf("size=%dm,mode=700", used+spare), "wattle-faults", folder); err != nil {
			return err
		}
		// The scene stops Postgres before this.
		s.undo = append([]func() error{func() error { return unmount(ctx, folder) }}, s.undo...)
		if _, err := tool(ctx, "cp", "-a", folder+".was/.", folder); err != nil {
			return err
		}
		return s.db.start(ctx)
	}
}

func unmount(ctx context.Context, folder string) error {
	var err error
	for range 20 { // until the last process has let it go
		if _, err = tool(context.WithoutCancel(ctx), "umount", folder); err == nil {
			return nil
		}
		time.Sleep(200 * time.Millisecond)
	}
	return err
}

// fillFolder leaves no room in it for some time. A full log brings Postgres down,
// and who runs it starts it again once there is room.
func fillFolder(name string) func(context.Context, *scene, fault) error {
	return func(ctx context.Context, s *scene, _ fault) error {
		data, err := s.db.data()
		if err != nil {
			return err
		}
		path := filepath.Join(data, name, "filler")
		if err := fill(path); err != nil {
			return err
		}
		s.begin()
		if name == "pg_wal" { // use up the files that it keeps for reuse
			for range 8 {
				if s.db.admin(ctx, `select pg_switch_wal()`, `select pg_logical_emit_message(true, 'faults', repeat('x', 1000))`) != nil {
					break
				}
			}
		}
		if err := pause(ctx, 8*time.Second); err != nil {
			return err
		}
		if err := os.Remove(path); err != nil {
			return err
		}
		s.end()
		select {
		case <-s.db.server.Done():
			fmt.Println("   Postgres had given up, and is started again")
			if err := s.db.gone(ctx); err != nil {
				return err
			}
			return s.db.start(ctx)
		default:
			return nil
		}
	}
}

// fill writes a file until there is no room.
func fill(path string) error {
	file, err := os.OpenFile(path, os.O_CREATE|os.O_WRONLY|os.O_EXCL, 0o600)
	if err != nil {
		return err
	}
	defer func() { _ = file.Close() }() // what is in it does not matter
	for block := make([]byte, 1<<20); len(block) > 0; {
		n, err := file.Write(block)
		switch {
		case errors.Is(err, syscall.ENOSPC) && n == 0:
			block = block[:len(block)/2]
		case err != nil && !errors.Is(err, syscall.ENOSPC):
			return err
		}
	}
	return nil
}

// loopDisk has Postgres on a file system of its own, in a file.
func loopDisk(ctx context.Context, s *scene, dir string) error {
	if _, err := os.Stat(blkio); err != nil {
		return fmt.Errorf("this machine has no control groups of version 1 for disks: %w", err)
	}
	image := dir + ".img"
	if err := os.WriteFile(image, nil, 0o600); err != nil {
		return err
	}
	if err := os.Truncate(image, 1<<30); err != nil {
		return err
	}
	if _, err := tool(ctx, "mkfs.ext4", "-q", image); err != nil {
		return err
	}
	if err := os.Mkdir(dir, 0o711); err != nil { //nolint:gosec // Postgres runs as another user
		return err
	}
	if _, err := tool(ctx, "mount", "-o", "loop", image, dir); err != nil {
		return err
	}
	s.finally(func() error { return unmount(ctx, dir) })
	return nil
}

// blkio is where the kernel limits what processes do to disks, in version 1 of
// control groups.
const blkio = "/sys/fs/cgroup/blkio"

// slowDisk lets Postgres write no more than a few times a second. Each commit
// waits for a write.
func slowDisk(ctx context.Context, s *scene, _ fault) error {
	info, err := os.Stat(s.dataDir())
	if err != nil {
		return err
	}
	stat, ok := info.Sys().(*syscall.Stat_t)
	if !ok {
		return errors.New("this system does not tell a folder's device")
	}
	device := fmt.Sprintf("%d:%d", stat.Dev>>8&0xfff, stat.Dev&0xff|stat.Dev>>12&0xfff00)
	group := filepath.Join(blkio, fmt.Sprintf("wattle-faults-%d", os.Getpid()))
	if err := os.Mkdir(group, 0o700); err != nil {
		return err
	}
	s.undo = append([]func() error{func() error { return os.Remove(group) }}, s.undo...) // once Postgres is gone
	for _, pid := range s.db.processes() {
		if err := write(filepath.Join(group, "cgroup.procs"), strconv.Itoa(pid)); err != nil && !errors.Is(err, syscall.ESRCH) {
			return err
		}
	}
	limit := filepath.Join(group, "blkio.throttle.write_iops_device")
	if err := write(limit, device+" 25"); err != nil {
		return err
	}
	s.begin()
	err = pause(ctx, 10*time.Second)
	s.end()
	return errors.Join(err, write(limit, device+" 0"))
}

func write(path, text string) error {
	return os.WriteFile(path, []byte(text), 0o600)
}

// postmaster is the process id of the Postgres in a folder of localpg's.
func postmaster(dir string) (int, error) {
	found, err := filepath.Glob(filepath.Join(dir, "*", "data", "postmaster.pid"))
	if err != nil || len(found) != 1 {
		return 0, errors.Join(err, fmt.Errorf("%d pid files in %s", len(found), dir))
	}
	text, err := os.ReadFile(found[0])
	if err != nil {
		return 0, err
	}
	line, _, _ := strings.Cut(string(text), "\n")
	return strconv.Atoi(line)
}
