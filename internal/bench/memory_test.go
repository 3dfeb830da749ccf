package main

import (
	"bufio"
	"bytes"
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"
)

// BenchmarkMemory builds the program as it is deployed and looks at its resident memory, in MiB: serve
// on a private Postgres, ten seconds after it began to listen, and of that what is
// the program's file; and the most that a take-off of 100,000 bays on the command
// line took, its answer printed as JSON.
func BenchmarkMemory(b *testing.B) {
	dir := openFolder(b)
	program := filepath.Join(dir, "wattle")
	if said, err := exec.CommandContext(b.Context(), "../../deploy/build", program).CombinedOutput(); err != nil {
		b.Fatalf("%v: %s", err, said)
	}
	var rest, mapped, job float64
	for b.Loop() {
		rest, mapped = atRest(b, program, filepath.Join(dir, "book"))
		job = largeJob(b, program, dir)
	}
	b.ReportMetric(0, "ns/op")
	b.ReportMetric(rest, "serve-MiB")
	b.ReportMetric(mapped, "serve-mapped-MiB")
	b.ReportMetric(job, "job-MiB")
}

// openFolder is one that Postgres reaches, which where root measures runs as
// another user.
func openFolder(b *testing.B) string {
	b.Helper()
	dir := b.TempDir()
	if err := os.Chmod(filepath.Dir(dir), 0o711); err != nil {
		b.Fatal(err)
	}
	return dir
}

func atRest(b *testing.B, program, data string) (resident, mapped float64) {
	b.Helper()
	ctx, cancel := context.WithTimeout(b.Context(), time.Minute)
	defer cancel()
	cmd := exec.CommandContext(ctx, program, "serve", "--local", "--data-dir", data, "--listen", "127.0.0.1:0")
	cmd.Cancel = func() error { return cmd.Process.Signal(os.Interrupt) }
	stderr, err := cmd.StderrPipe()
	if err != nil {
		b.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		b.Fatal(err)
	}
	lines := bufio.NewScanner(stderr)
	listening := false
	for !listening && lines.Scan() {
		listening = strings.Contains(lines.Text(), `"msg":"listening"`)
	}
	if !listening {
		b.Fatal("serve does not come up")
	}
	go func() {
		for lines.Scan() { // so that its log finds a reader
		}
	}()
	time.Sleep(10 * time.Second)
	status, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", cmd.Process.Pid))
	if err != nil {
		b.Fatal(err)
	}
	cancel()
	if err := cmd.Wait(); err != nil && ctx.Err() == nil {
		b.Fatal(err)
	}
	return mib(b, status, "VmRSS:"), mib(b, status, "RssFile:")
}

func mib(b *testing.B, status []byte, field string) float64 {
	b.Helper()
	for line := range bytes.Lines(status) {
		if f := strings.Fields(string(line)); len(f) == 3 && f[0] == field {
			kib, err := strconv.ParseFloat(f[1], 64)
			if err != nil {
				b.Fatal(err)
			}
			return kib / 1024
		}
	}
	b.Fatalf("no %s in the process's status", field)
	return 0
}

// largeJob is one run of 100,000 bays of 7 ft, less than the longest that there is.
func largeJob(b *testing.B, program, dir string) float64 {
	b.Helper()
	file := filepath.Join(dir, "long.yaml")
	const text = `{site: {runs: [{id: line, vertices: [{east: 0 ft, north: 0 ft}, {east: 700000 ft, north: 0 ft}]}]}, spec: {height: 6 ft, layout: {max_bay: 7 ft}}}`
	if err := os.WriteFile(file, []byte(text), 0o600); err != nil {
		b.Fatal(err)
	}
	cmd := exec.CommandContext(b.Context(), program, "takeoff", file, "--format", "json")
	var said bytes.Buffer
	cmd.Stderr = &said
	if err := cmd.Run(); err != nil {
		b.Fatalf("%v: %s", err, said.Bytes())
	}
	usage, ok := cmd.ProcessState.SysUsage().(*syscall.Rusage)
	if !ok {
		b.Fatal("this system does not tell what a process took")
	}
	return float64(usage.Maxrss) / 1024
}
