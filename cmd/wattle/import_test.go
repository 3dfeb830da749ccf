package main

import (
	"bytes"
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// Through the command line: a list from standard input, one that is refused
// with what it needs consent for, and one with consent.
func TestImportNeedsConsent(t *testing.T) {
	dir := dataDir(t)
	s := start(t, "--local", "--data-dir", dir)
	flags := s.harrow(t, dir)
	const head = "item,effective,unit,price,currency\n"
	file := func(name, rows string) string {
		t.Helper()
		path := filepath.Join(t.TempDir(), name)
		if err := os.WriteFile(path, []byte(head+rows), 0o600); err != nil {
			t.Fatal(err)
		}
		return path
	}
	run := func(want int, args ...string) (stdout, stderr string) {
		t.Helper()
		return wattle(t, want, append(args, flags...)...)
	}

	ctx, cancel := context.WithTimeout(t.Context(), time.Minute)
	defer cancel()
	cmd := exec.CommandContext(ctx, "wattle", append([]string{"prices", "import", "-", "--mode", "patch"}, flags...)...)
	cmd.Stdin = strings.NewReader(head + "post,2026-01-01,each,10.00,USD\nrail,2026-01-01,each,6.00,USD\n")
	var out, errs bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &errs
	if err := cmd.Run(); err != nil {
		t.Fatalf("%v\n%s", err, errs.String())
	}
	if !strings.Contains(out.String(), "The book was empty: this is its first list.\n2 added") {
		t.Errorf("the first list says:\n%s", out.String())
	}

	april := file("april.csv", "post,2026-02-01,each,14.00,USD\nrail,2026-02-01,ft,6.00,USD\ngate,2026-02-01,each,0,USD\n")
	if _, bad := run(exitFailed, "prices", "import", april, "--mode", "patch"); !strings.Contains(bad, "line 4, column 4 (price): a price of 0 is refused") {
		t.Errorf("a price of zero:\n%s", bad)
	}
	_, bad := run(exitRefused, "prices", "import", april, "--mode", "patch", "--accept-zero-prices")
	for _, want := range []string{
		"post, 2026-02-01: the price jumps: 10.00 -> 14.00 USD/each (40.00 %)",
		"rail, 2026-02-01: another unit or currency: 6.00 USD/each -> 6.00 USD/ft",
	} {
		if !strings.Contains(bad, want) {
			t.Errorf("refused without %q:\n%s", want, bad)
		}
	}
	dry, _ := run(exitDone, "prices", "import", april, "--mode", "patch", "--accept-zero-prices", "--dry-run")
	for _, want := range []string{
		"Prices that jump (--accept-jumps): 1\n  post, 2026-02-01: 10.00 USD/each -> 14.00 USD/each (+40.00 %)\n",
		"Another unit or currency (--accept-unit-changes): 1\n  rail, 2026-02-01: 6.00 USD/each -> 6.00 USD/ft\n",
		"Items new to the book: 1\n  gate\n", "dry run, nothing was stored\nBook revision 1 (was 1)",
	} {
		if !strings.Contains(dry, want) {
			t.Errorf("the dry run says, without %q:\n%s", want, dry)
		}
	}
	run(exitRefused, "prices", "import", april, "--mode", "patch", "--accept-zero-prices", "--accept-unit-changes")
	run(exitRefused, "prices", "import", april, "--mode", "patch", "--accept-zero-prices", "--accept-unit-changes", "--jump-limit", "45", "--refuse-unknown-items")
	if out, _ := run(exitDone, "prices", "import", april, "--mode", "patch", "--accept-zero-prices", "--accept-unit-changes", "--jump-limit", "45"); !strings.Contains(out, "imported\nBook revision 2 (was 1)") {
		t.Errorf("with consent:\n%s", out)
	}
	dearer := file("may.csv", "post,2026-03-01,each,28.00,USD\n")
	if out, _ := run(exitDone, "prices", "import", dearer, "--mode", "patch", "--accept-jumps"); !strings.Contains(out, "Book revision 3 (was 2)") {
		t.Errorf("with consent to jumps:\n%s", out)
	}
}
