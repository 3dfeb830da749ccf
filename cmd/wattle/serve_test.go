package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
)

const (
	demoJob   = "../../testdata/demo/job.yaml"
	demoMarch = "../../testdata/demo/prices-2026-03.csv"
	demoSept  = "../../testdata/demo/prices-2026-09.csv"
)

// dataDir is a folder that the unprivileged user Postgres runs as can reach;
// t.TempDir need not be.
func dataDir(t *testing.T) string {
	t.Helper()
	dir, err := os.MkdirTemp("", "wattle-serve-") //nolint:usetesting // as said
	if err != nil {
		t.Fatal(err)
	}
	data := filepath.Join(dir, "data")
	t.Cleanup(func() {
		awaitPostgresEnd(t, data)
		if err := os.RemoveAll(dir); err != nil {
			t.Error(err)
		}
	})
	if err := os.Chmod(dir, 0o711); err != nil { // others pass, and see nothing
		t.Fatal(err)
	}
	return data
}

// awaitPostgresEnd waits until no process holds the data of a folder. At the end
// of a test the service is killed, and its Postgres then writes a last checkpoint.
func awaitPostgresEnd(t *testing.T, dir string) {
	t.Helper()
	locks, err := filepath.Glob(filepath.Join(dir, "*", "data.lock"))
	if err != nil {
		t.Fatal(err)
	}
	for _, path := range locks {
		lock, err := os.Open(path)
		if err != nil {
			t.Fatal(err)
		}
		await(t, "Postgres to end in "+dir, func() bool {
			return syscall.Flock(int(lock.Fd()), syscall.LOCK_EX|syscall.LOCK_NB) == nil
		})
		if err := lock.Close(); err != nil {
			t.Fatal(err)
		}
	}
}

// TestServeLocalSurvivesKill: a quote that was answered is there after kill -9
// of the service, and replays; and the client commands work against a real
// service.
func TestServeLocalSurvivesKill(t *testing.T) {
	dir := dataDir(t)
	first := start(t, "--local", "--data-dir", dir)
	server := first.harrow(t, dir)
	run := func(want int, args ...string) (stdout, stderr string) {
		t.Helper()
		return wattle(t, want, append(args, server...)...)
	}

	// A dry run stores nothing; the guarded import does; the same guard again is refused.
	if out, _ := run(exitDone, "prices", "import", demoMarch, "--mode", "patch", "--dry-run"); !strings.Contains(out, "dry run, nothing was stored\nBook revision 0 (was 0)") {
		t.Errorf("the dry run said:\n%s", out)
	}
	if _, bad := run(exitRefused, "quote", "create", demoJob); !strings.Contains(bad, "board-1x6-6ft") || !strings.Contains(bad, "post-4x4-8ft") {
		t.Errorf("a quote without prices does not name what is missing:\n%s", bad)
	}
	if out, _ := run(exitDone, "prices", "import", demoMarch, "--mode", "patch", "--base-revision", "0"); !strings.Contains(out, "64 added, 0 repriced, 0 altered, 0 withdrawn, 0 confirmed, 0 unchanged: imported\nBook revision 1 (was 0)") {
		t.Errorf("the import said:\n%s", out)
	}
	if _, refused := run(exitRefused, "prices", "import", demoSept, "--mode", "patch", "--base-revision", "0"); refused == "" {
		t.Error("a refusal without a word")
	}

	// A quote; the same request again is the same quote; another job under its id is refused.
	shown, _ := run(exitDone, "quote", "create", demoJob, "--request-id", "crm-1")
	name := "companies/harrow/quotes/" + strings.TrimSpace(strings.TrimPrefix(field(t, shown, "Quote"), "Quote"))
	fingerprint := field(t, shown, "Fingerprint")
	if again, _ := run(exitDone, "quote", "create", demoJob, "--request-id", "crm-1"); again != shown {
		t.Errorf("the same request again shows another quote:\n%s", again)
	}
	run(exitRefused, "quote", "create", demoJob, "--request-id", "crm-1", "--as-of", "2026-03-20")

	if err := first.stop(t, syscall.SIGKILL); err == nil {
		t.Error("a killed service ended well")
	}
	second := start(t, "--local", "--data-dir", dir)
	server[3] = second.address

	if again, _ := run(exitDone, "quote", "show", name); again != shown {
		t.Errorf("after the kill the quote shows as:\n%s", again)
	}
	run(exitDone, "prices", "import", demoSept, "--mode", "patch")
	if out, _ := run(exitDone, "quote", "replay", name); !strings.Contains(out, "Replay: identical, fingerprint "+fingerprint) {
		t.Errorf("after the kill and another import the quote replays as:\n%s", out)
	}
	later, _ := run(exitDone, "quote", "create", demoJob, "--as-of", "2026-09-16")
	laterID := strings.TrimSpace(field(t, later, "Quote"))
	for format, has := range map[string]string{
		"text": "\nThe job costs ", "json": "\"price_effect\": \"", "csv": "item,line,base_quantity,other_quantity,base_price,other_price,by_rules,by_price,by_stock,by_quantity,cost\n",
	} {
		if out, _ := run(exitDone, "quote", "reprice", name, "--as-of", "2026-09-16", "--format", format); !strings.Contains(out, has) {
			t.Errorf("priced again as %s the quote is\n%s", format, out)
		}
	}
	if out, _ := run(exitDone, "quote", "reprice", laterID, "--as-of", "2026-09-16"); !strings.Contains(out, "The job costs the same at book revision ") {
		t.Errorf("priced again as it was:\n%s", out)
	}
	if _, bad := run(exitRefused, "quote", "reprice", name, "--as-of", "2020-01-01"); !strings.Contains(bad, "prices[gravel]: first price from ") {
		t.Errorf("before all prices: %s", bad)
	}
	if out, _ := run(exitDone, "quote", "compare", name, laterID); !strings.Contains(out, "total +") {
		t.Errorf("the comparison said:\n%s", out)
	}
	if out, _ := run(exitDone, "quote", "list", "--format", "csv"); strings.Count(out, "\n") != 3 || !strings.Contains(out, name) || !strings.Contains(out, fingerprint) {
		t.Errorf("the list said:\n%s", out)
	}
	followCost(t, run)
	takeThroughLife(t, run, name)
	lot := filepath.Join(t.TempDir(), "lot.yaml")
	if err := os.WriteFile(lot, []byte(`{currency: USD, as_of: "2026-09-16", spec: {height: 6 ft},
		site: {runs: [{id: lot, closed: true, traverse: {text: due W 40 ft; due S 30 ft; due E 40.01 ft; due N 30 ft}}]}}`), 0o600); err != nil {
		t.Fatal(err)
	}
	if out, _ := run(exitDone, "quote", "create", lot); !strings.HasSuffix(out, "\nTraverse \"lot\": 140.01 ft, misclosure 0.12 in, 1 in 14,001, not balanced\n") {
		t.Errorf("a quote off a traverse says:\n%s", out)
	}
	for format, start := range map[string]string{"csv": "item,", "svg": "<", "json": "{", "text": "Quote "} {
		if out, _ := run(exitDone, "quote", "render", name, "--format", format); !strings.HasPrefix(out, start) {
			t.Errorf("rendered as %s the quote starts with %.40q", format, out)
		}
	}
	for drawing, has := range map[string]string{"plan": "<svg ", "elevation": "<svg ", "crew-sheet": "Marked by"} {
		if out, _ := run(exitDone, "quote", "render", name, "--drawing", drawing); !strings.Contains(out, has) {
			t.Errorf("drawn as %s the quote is %.80q", drawing, out)
		}
	}
	// Four quantity breaks of two lists; at revision 1 only the first list's.
	if out, _ := run(exitDone, "prices", "history", "board-1x6-6ft", "--format", "csv"); strings.Count(out, "\n") != 1+6 {
		t.Errorf("the history said:\n%s", out)
	}
	if out, _ := run(exitDone, "prices", "resolve", "rail-2x4-16ft", "--as-of", "2026-10-01", "--revision", "1"); !strings.Contains(out, "13.4") {
		t.Errorf("resolution said:\n%s", out)
	}
	run(exitFailed, "quote", "show", "companies/harrow/quotes/none")

	// A second service on the same folder is refused; the first one stops when asked.
	if _, refused := wattle(t, exitFailed, "serve", "--local", "--data-dir", dir, "--listen", "127.0.0.1:0"); !strings.Contains(refused, fmt.Sprintf("in use by process %d:", second.Process.Pid)) {
		t.Errorf("a second start said:\n%s", refused)
	}
	if err := second.stop(t, syscall.SIGTERM); err != nil {
		t.Errorf("asked to stop, the service ended with %v:\n%s", err, second.log)
	}
}
