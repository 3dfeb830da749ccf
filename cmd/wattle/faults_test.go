package main

import (
	"context"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"wattle/internal/trial/driver"
)

// await asks until it is so; a loaded machine gets the time it takes.
func await(t *testing.T, what string, so func() bool) {
	t.Helper()
	for until := time.Now().Add(90 * time.Second); !so(); time.Sleep(20 * time.Millisecond) {
		if time.Now().After(until) {
			t.Fatalf("after 90 s still waiting for %s", what)
		}
	}
}

// postmaster is the private Postgres of a data folder, and its own processes.
func postmaster(t *testing.T, dir string) []int {
	t.Helper()
	found, err := filepath.Glob(filepath.Join(dir, "*", "data", "postmaster.pid"))
	if err != nil || len(found) != 1 {
		t.Fatalf("pid files %v, %v", found, err)
	}
	text, err := os.ReadFile(found[0])
	if err != nil {
		t.Fatal(err)
	}
	line, _, _ := strings.Cut(string(text), "\n")
	pid, err := strconv.Atoi(line)
	if err != nil {
		t.Fatal(err)
	}
	all := []int{pid}
	children, err := os.ReadFile(filepath.Join("/proc", line, "task", line, "children"))
	if err != nil {
		t.Fatal(err)
	}
	for child := range strings.FieldsSeq(string(children)) {
		pid, err := strconv.Atoi(child)
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, pid)
	}
	return all
}

// TestNothingAcknowledgedIsLost: clients work on while the service is killed,
// Postgres stands still, and Postgres is killed. What they were told is there at
// the end, nothing is there twice, and readiness said how things stood. The same
// with more faults, and at length, is internal/trial/faults.
func TestNothingAcknowledgedIsLost(t *testing.T) {
	dir := dataDir(t)
	service := start(t, "--local", "--data-dir", dir, "--http-listen", "127.0.0.1:0")
	address, http := service.address, service.http
	again := func() *serving {
		return start(t, "--local", "--data-dir", dir, "--listen", address, "--http-listen", http)
	}
	flags := service.harrow(t, dir)
	secret, err := readSecret(flags[len(flags)-1])
	if err != nil {
		t.Fatal(err)
	}
	ledger, err := driver.OpenLedger(filepath.Join(t.TempDir(), "ledger"))
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = ledger.Close() }()
	d, err := driver.New(driver.Config{Servers: []string{address}, Company: "harrow", Keys: []string{secret}, Clients: 3, Try: 2 * time.Second, Ledger: ledger})
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = d.Close() }()
	if err := d.Prepare(t.Context()); err != nil {
		t.Fatal(err)
	}
	loaded, stop := context.WithCancel(t.Context())
	defer stop()
	ran := make(chan error, 1)
	go func() { ran <- d.Run(loaded) }()
	more := func() {
		t.Helper()
		want := d.Timeline().Acknowledged() + 20
		await(t, "acknowledgements", func() bool { return d.Timeline().Acknowledged() >= want })
	}

	more()
	if err := service.stop(t, syscall.SIGKILL); err == nil {
		t.Error("a killed service ended well")
	}
	service = again()
	more()

	ready := d.WatchReadiness(t.Context(), "http://"+http+"/readyz")
	defer ready.Stop()
	says := func(want bool) func() bool {
		since := time.Now()
		return func() bool { _, ok := ready.FirstAfter(since, want); return ok }
	}
	await(t, "readiness", says(true))
	still := postmaster(t, dir)
	for _, pid := range still {
		_ = syscall.Kill(pid, syscall.SIGSTOP) // one that just ended needs none
	}
	await(t, "the service to say that it is not ready", says(false))
	for _, pid := range still {
		_ = syscall.Kill(pid, syscall.SIGCONT)
	}
	await(t, "the service to say that it is ready again", says(true))
	more()
	for _, line := range []string{"not ready: the database cannot be written to", "ready again"} {
		if n := strings.Count(service.log.String(), `"msg":"`+line+`"`); n != 1 {
			t.Errorf("the log says %d times %q", n, line)
		}
	}

	if err := syscall.Kill(postmaster(t, dir)[0], syscall.SIGKILL); err != nil {
		t.Fatal(err)
	}
	select {
	case err := <-service.ended:
		if err == nil {
			t.Error("the service ended well without its database")
		}
	case <-time.After(90 * time.Second):
		t.Fatal("the service did not end with its private Postgres")
	}
	again()
	more()

	stop()
	if err := <-ran; err != nil {
		t.Fatal(err)
	}
	verdict, err := d.Verify(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	t.Log(verdict)
	for _, p := range verdict.Problems {
		t.Error(p)
	}

	// The comparison itself: an acknowledgement that the service knows nothing of
	// is found, and so is one of something else than what it has.
	for _, e := range []driver.Entry{
		{ID: "made-up", Call: driver.Create, Reference: "made-up"},
		{ID: "made-up", Answer: &driver.Answer{Name: "companies/harrow/quotes/made-up", State: "QUOTE_STATE_DRAFT", Sequence: 1}},
	} {
		if err := ledger.Add(e); err != nil {
			t.Fatal(err)
		}
	}
	verdict, err = d.Verify(t.Context())
	if err != nil || verdict.Lost != 1 || len(verdict.Problems) != 1 {
		t.Errorf("with a quote that was never made: %v, %v", verdict, err)
	}
}
