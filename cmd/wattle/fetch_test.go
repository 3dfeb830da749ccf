package main

import (
	"archive/tar"
	"archive/zip"
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"errors"
	"hash/crc32"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"os/user"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"
)

// TestAMachineWithoutPostgres: demo runs on a Postgres that it fetched, from a
// file server on loopback that has this machine's own in an archive of the usual
// form, and runs again from what it kept; what has another hash is not kept. The
// program runs as a user without rights, as it must.
func TestAMachineWithoutPostgres(t *testing.T) {
	jar := postgresArchive(t)
	sum := sha256.Sum256(jar)
	hash := hex.EncodeToString(sum[:])
	served := 0
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		served++
		switch {
		case strings.HasSuffix(r.URL.Path, ".jar"):
			_, _ = w.Write(jar)
		case strings.HasSuffix(r.URL.Path, ".jar.sha256"):
			_, _ = w.Write([]byte(hash))
		default:
			http.NotFound(w, r)
		}
	}))
	defer server.Close()
	home, command := ordinaryUser(t)
	run := func(want int, args ...string) string {
		t.Helper()
		cmd := command(args...)
		out, err := cmd.CombinedOutput()
		if got := cmd.ProcessState.ExitCode(); got != want {
			t.Fatalf("wattle %v exited with %d (%v), want %d\n%s", args, got, err, want, out)
		}
		return string(out)
	}
	cache := filepath.Join(home, "cache", "wattle", "postgres")

	out := run(exitFailed, "demo", "--fetch-postgres="+server.URL, "--fetch-postgres-sha256", strings.Repeat("0", 64))
	if !strings.Contains(out, "has SHA-256 "+hash+", and not 0000") || !strings.Contains(out, "nothing of it was kept") {
		t.Errorf("with another hash:\n%s", out)
	}
	if left, err := os.ReadDir(cache); err != nil || len(left) > 0 {
		t.Errorf("of a wrong archive the cache holds %v, %v", left, err)
	}
	out = run(exitDone, "demo", "--fetch-postgres="+server.URL, "--out", filepath.Join(home, "first"))
	if !strings.Contains(out, "fetching Postgres ") || !strings.Contains(out, "Replay: identical") {
		t.Errorf("the demo says:\n%s", out)
	}
	kept, err := filepath.Glob(filepath.Join(cache, "*", "bin", "postgres"))
	if all, _ := os.ReadDir(cache); err != nil || len(kept) != 1 || len(all) != 1 {
		t.Errorf("kept: %v %v, of %v", kept, err, all)
	}

	asked := served
	server.Close()
	out = run(exitDone, "doctor", "--local", "--fetch-postgres="+server.URL, "--data-dir", filepath.Join(home, "data"), "--listen", "127.0.0.1:0")
	if !strings.Contains(out, "ok       private Postgres") {
		t.Errorf("with a fetched one doctor says:\n%s", out)
	}
	out = run(exitDone, "demo", "--fetch-postgres="+server.URL, "--out", filepath.Join(home, "second"))
	if strings.Contains(out, "fetching") || !strings.Contains(out, "Replay: identical") || served != asked {
		t.Errorf("from the cache the demo says:\n%s", out)
	}
	serve := command("serve", "--local", "--fetch-postgres="+server.URL, "--data-dir", filepath.Join(home, "data"), "--listen", "127.0.0.1:0")
	log := &processLog{}
	serve.Stderr = log
	if err := serve.Start(); err != nil {
		t.Fatal(err)
	}
	for end := time.Now().Add(2 * time.Minute); !strings.Contains(log.String(), `"msg":"listening"`) && time.Now().Before(end); {
		time.Sleep(20 * time.Millisecond)
	}
	if err := errors.Join(serve.Process.Signal(syscall.SIGTERM), serve.Wait()); err != nil || !strings.Contains(log.String(), `"programs":"`+filepath.Dir(kept[0])+`"`) {
		t.Errorf("serve: %v\n%s", err, log.String())
	}
	if err := os.RemoveAll(cache); err != nil {
		t.Fatal(err)
	}
	if out = run(exitFailed, "demo", "--fetch-postgres="+server.URL); !strings.Contains(out, "cannot be reached: ") {
		t.Errorf("without a network:\n%s", out)
	}
}

func TestFetchingGoesWithLocal(t *testing.T) {
	if _, bad := wattle(t, exitWrongUse, "serve", "--fetch-postgres", "--database-url", "postgres://x"); !strings.Contains(bad, "--fetch-postgres goes with --local") {
		t.Errorf("found %s", bad)
	}
	if os.Geteuid() == 0 {
		if _, bad := wattle(t, exitFailed, "demo", "--fetch-postgres"); !strings.Contains(bad, "cannot be fetched as root") {
			t.Errorf("found %s", bad)
		}
	}
}

// ordinaryUser runs the program as a user that is not root, with a home of its
// own.
func ordinaryUser(t *testing.T) (home string, command func(args ...string) *exec.Cmd) {
	t.Helper()
	home = filepath.Dir(dataDir(t)) // one that another user may pass
	attr := &syscall.SysProcAttr{}
	if os.Geteuid() == 0 {
		u, err := user.Lookup("nobody")
		if err != nil {
			t.Fatal(err)
		}
		uid, _ := strconv.Atoi(u.Uid)
		gid, _ := strconv.Atoi(u.Gid)
		attr.Credential = &syscall.Credential{Uid: uint32(uid), Gid: uint32(gid)}
		if err := os.Chown(home, uid, gid); err != nil {
			t.Fatal(err)
		}
	}
	original, err := exec.LookPath("wattle") // in a folder closed to others
	if err != nil {
		t.Fatal(err)
	}
	image, err := os.ReadFile(original)
	if err != nil {
		t.Fatal(err)
	}
	program := filepath.Join(home, "wattle")
	if err := os.WriteFile(program, image, 0o755); err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithTimeout(t.Context(), 5*time.Minute)
	t.Cleanup(cancel)
	return home, func(args ...string) *exec.Cmd {
		cmd := exec.CommandContext(ctx, program, args...)
		cmd.Dir, cmd.SysProcAttr = home, attr
		cmd.Env = []string{"HOME=" + home, "XDG_CACHE_HOME=" + filepath.Join(home, "cache"), "TMPDIR=" + home, "PATH=/usr/bin:/bin", "NO_PROXY=127.0.0.1"}
		return cmd
	}
}

// postgresArchive is a .jar with a .txz of this machine's Postgres, as far as a
// start needs it: the rest it finds where it was installed.
func postgresArchive(t *testing.T) []byte {
	t.Helper()
	dirs, err := filepath.Glob("/usr/lib/postgresql/*/bin")
	if path, failed := exec.LookPath("initdb"); failed == nil && len(dirs) == 0 { // of another system than Debian
		if path, err = filepath.EvalSymlinks(path); err != nil {
			t.Fatal(err)
		}
		dirs = append(dirs, filepath.Dir(path))
	}
	if err != nil || len(dirs) == 0 {
		t.Fatalf("this test needs a Postgres of this machine (on Debian and its kin: apt-get install postgresql): %v", err)
	}
	var tarred, zipped bytes.Buffer
	tw := tar.NewWriter(&tarred)
	for _, name := range []string{"bin/initdb", "bin/pg_ctl", "bin/postgres", "lib/dict_snowball.so", "lib/plpgsql.so"} {
		image, err := os.ReadFile(filepath.Join(filepath.Dir(dirs[len(dirs)-1]), name))
		if err != nil {
			t.Fatal(err)
		}
		err = tw.WriteHeader(&tar.Header{Name: name, Mode: 0o755, Size: int64(len(image)), Typeflag: tar.TypeReg})
		if err != nil {
			t.Fatal(err)
		}
		if _, err := tw.Write(image); err != nil {
			t.Fatal(err)
		}
	}
	zw := zip.NewWriter(&zipped)
	inner, err := zw.Create("postgres.txz")
	if err != nil {
		t.Fatal(err)
	}
	_ = tw.Close()
	if _, err := inner.Write(xzStored(tarred.Bytes())); err != nil {
		t.Fatal(err)
	}
	if err := zw.Close(); err != nil {
		t.Fatal(err)
	}
	return zipped.Bytes()
}

// xzStored is an xz stream [the .xz file format 1.2] of one block of LZMA2 chunks
// that are not compressed, without a check.
func xzStored(data []byte) []byte {
	var b []byte
	sum := func(of []byte) []byte { return binary.LittleEndian.AppendUint32(nil, crc32.ChecksumIEEE(of)) }
	pad := func(b []byte) []byte { return append(b, make([]byte, (4-len(b)%4)%4)...) }
	flags := []byte{0, 0}
	b = append(append([]byte("\xfd7zXZ\x00"), flags...), sum(flags)...)

	head := []byte{2, 0, 0x21, 1, 8, 0, 0, 0} // 12 bytes with its sum; LZMA2, a dictionary of 64 KiB
	block := append(head, sum(head)...)
	for first, rest := true, data; len(rest) > 0; first = false {
		n := min(len(rest), 1<<16)
		control := byte(2)
		if first { // forgets the dictionary
			control = 1
		}
		block = binary.BigEndian.AppendUint16(append(block, control), uint16(n-1))
		block = append(block, rest[:n]...)
		rest = rest[n:]
	}
	block = append(block, 0)
	index := binary.AppendUvarint([]byte{0, 1}, uint64(len(block)))
	index = pad(binary.AppendUvarint(index, uint64(len(data))))
	index = append(index, sum(index)...)
	footer := append(binary.LittleEndian.AppendUint32(nil, uint32(len(index)/4-1)), flags...)
	b = append(append(b, pad(block)...), index...)
	return append(append(append(b, sum(footer)...), footer...), 'Y', 'Z')
}
