package main

import (
	"net/http"
	"net/http/httptest"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"
)

// TestEventsOnTheCommandLine: a private service with its own workers tells a
// webhook of an import, and a watch prints it; then a watch goes on from its
// token.
func TestEventsOnTheCommandLine(t *testing.T) {
	t.Parallel()
	dir := dataDir(t)
	serve := start(t, "--local", "--data-dir", dir, "--webhook-allow-http", "--webhook-allow-private")
	server := serve.harrow(t, dir)
	run := func(want int, args ...string) (stdout, stderr string) {
		t.Helper()
		return wattle(t, want, append(args, server...)...)
	}
	types := make(chan string, 10)
	receiver := httptest.NewServer(http.HandlerFunc(func(_ http.ResponseWriter, r *http.Request) { types <- r.Header.Get("webhook-id") }))
	defer receiver.Close()

	made, _ := run(exitDone, "webhook", "create", receiver.URL, "--type", "prices.imported")
	name := strings.TrimSpace(field(t, made, "Webhook"))
	if !strings.HasPrefix(strings.TrimSpace(field(t, made, "Secret")), "whsec_") {
		t.Errorf("created:\n%s", made)
	}
	if out, _ := run(exitDone, "webhook", "rotate", name, "--overlap", "1h"); !strings.HasPrefix(out, "Secret  whsec_") {
		t.Errorf("rotated:\n%s", out)
	}
	run(exitDone, "webhook", "ping", name)
	run(exitDone, "prices", "import", demoMarch, "--mode", "patch")
	ids := []string{<-types, <-types}
	var out string
	for range 50 { // until both are noted
		if out, _ = run(exitDone, "webhook", "deliveries", name, "--state", "delivered", "--format", "csv"); strings.Count(out, "\n") == 3 {
			break
		}
		time.Sleep(100 * time.Millisecond)
	}
	for _, id := range ids {
		if !strings.Contains(out, id) {
			t.Errorf("the list of deliveries does not have %s:\n%s", id, out)
		}
	}
	if !strings.Contains(out, "prices.imported,companies/harrow/book,delivered,1,") {
		t.Errorf("deliveries:\n%s", out)
	}
	if out, _ := run(exitDone, "webhook", "replay", name, "--event", ids[0]); out != "1 to be sent again.\n" {
		t.Errorf("replay:\n%s", out)
	}
	if again := <-types; again != ids[0] {
		t.Errorf("replayed as %s, want %s", again, ids[0])
	}
	if out, _ := run(exitDone, "webhook", "replay", name, "--dead-since", "2026-01-01T00:00:00Z"); out != "0 to be sent again.\n" {
		t.Errorf("replay:\n%s", out)
	}
	for verb, done := range map[string]string{"pause": "paused", "resume": "active"} {
		if out, _ := run(exitDone, "webhook", verb, name); out != name+" is "+done+".\n" {
			t.Errorf("%s:\n%s", verb, out)
		}
	}
	if out, _ := run(exitDone, "webhook", "list"); !strings.Contains(out, receiver.URL) {
		t.Errorf("list:\n%s", out)
	}

	// What the import does to open quotes is told a little later.
	all := ""
	for end := time.Now().Add(time.Minute); !strings.Contains(all, "  prices.impact  1  main  companies/harrow/book\n") && time.Now().Before(end); {
		all, _ = run(exitDone, "events", "watch", "--from-start", "--once")
	}
	if strings.Count(all, "\n") != 3 || !strings.Contains(all, "  webhook.pinged  1  main  "+name) || !strings.Contains(all, "  prices.imported  1  main  companies/harrow/book\n") {
		t.Errorf("watch:\n%s", all)
	}
	token, _, _ := strings.Cut(all, " ")
	if out, _ := run(exitDone, "events", "watch", "--from", token, "--once"); !strings.HasSuffix(all, out) || strings.Count(out, "\n") != 2 {
		t.Errorf("watch from %s:\n%s", token, out)
	}
	run(exitWrongUse, "events", "watch", "--from", token, "--from-start")
	if _, bad := run(exitFailed, "events", "watch", "--from", "999", "--once"); !strings.Contains(bad, "token") {
		t.Errorf("a token ahead:\n%s", bad)
	}
	if _, bad := run(exitFailed, "webhook", "create", "ftp://crm.example.com/", "--type", "x.y"); !strings.Contains(bad, "webhook.url") || !strings.Contains(bad, "webhook.types[0]") {
		t.Errorf("a bad webhook:\n%s", bad)
	}
	if out, _ := run(exitDone, "webhook", "delete", name); out != name+" is deleted.\n" {
		t.Errorf("delete:\n%s", out)
	}
	// The keys are in the data folder, for its owner alone.
	if keys, err := filepath.Glob(filepath.Join(dir, "webhook.keys")); err != nil || len(keys) != 1 {
		t.Errorf("keys %v, %v", keys, err)
	}
	if err := serve.stop(t, syscall.SIGTERM); err != nil {
		t.Errorf("asked to stop, the service ended with %v:\n%s", err, serve.log)
	}
	if strings.Contains(serve.log.String(), `"level":"ERROR"`) {
		t.Errorf("the log has errors:\n%s", serve.log)
	}
}
