package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// TestActualsFromTheCommandLine: jobs that took a fifth longer are recorded,
// corrected and compared; what they suggest is a price list, which changes nothing
// until somebody imports it.
func TestActualsFromTheCommandLine(t *testing.T) {
	dir := dataDir(t)
	s := start(t, "--local", "--data-dir", dir)
	server := s.harrow(t, dir)
	run := func(want int, args ...string) (stdout, stderr string) {
		t.Helper()
		return wattle(t, want, append(args, server...)...)
	}
	says := func(want int, holds string, args ...string) string {
		t.Helper()
		out, errs := run(want, args...)
		if !strings.Contains(out+errs, holds) {
			t.Errorf("%v said\n%s%s\nwithout %q", args, out, errs, holds)
		}
		return out
	}
	run(exitDone, "prices", "import", demoMarch, "--mode", "patch")
	quoted := func() string {
		out, _ := run(exitDone, "quote", "create", demoJob)
		out, _ = run(exitDone, "quote", "revise", strings.TrimSpace(field(t, out, "Quote")), "--as-of", "2026-03-16", "--valid-until", "2199-12-31")
		return strings.TrimSpace(field(t, out, "Quote"))
	}
	hours := func(id string) string { // the demo's job counts those of its crew
		out, _ := run(exitDone, "quote", "render", id, "--format", "csv")
		for line := range strings.Lines(out) {
			if strings.HasPrefix(line, "crew-hour,") {
				return line
			}
		}
		t.Fatalf("no hours in\n%s", out)
		return ""
	}
	record := filepath.Join(t.TempDir(), "finished.yaml")
	write := func(text string, args ...any) {
		t.Helper()
		if err := os.WriteFile(record, fmt.Appendf(nil, text, args...), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	var first string
	for range 2 {
		id := quoted()
		run(exitDone, "quote", "issue", id)
		out, _ := run(exitDone, "quote", "accept", id, "--by", "customer")
		_, day, _ := strings.Cut(out, "is accepted on ")
		day, _, _ = strings.Cut(day, ";")
		write("quote: %s\nfinished_on: \"%s\"\ncrew: crew-2\nhours: \"39\"\nmaterials:\n  - {item: gravel, quantity: \"1\", unit: yd3, paid: \"40\"}\n  - {item: sod, quantity: \"2\", unit: roll}\n", id, day)
		says(exitDone, "version 1, etag 1.\n", "actuals", "record", record)
		first = id
	}
	says(exitRefused, "is recorded already", "actuals", "record", record)
	says(exitDone, "version 2, etag 2.\n", "actuals", "record", record, "--etag", "1")
	says(exitDone, `"etag": "1"`, "actuals", "show", first, "--version", "1", "--format", "json")
	says(exitDone, "labour,of crew,39,hour,\n", "actuals", "show", first, "--format", "csv")
	says(exitDone, first+",main,crew-2,", "actuals", "list", "--format", "csv")
	says(exitDone, "never estimated\n", "actuals", "compare", first)
	says(exitDone, "labour,crew-hour,labour,hour,both,32.5,39,6.5,20,", "actuals", "compare", first, "--format", "csv")
	says(exitDone, `"cost_difference": "`, "actuals", "compare", first, "--format", "json")
	write("quote: %s\ncrew: crew-2\nhours: many\n", first)
	says(exitFailed, "finished_on", "actuals", "record", record)
	write("quote: %s\nspent: 12\n", first)
	says(exitFailed, "spent", "actuals", "record", record)

	says(exitDone, "2 of the 5 jobs", "actuals", "summary")
	says(exitWrongUse, "--by: expected office", "actuals", "summary", "--by", "customer")
	says(exitWrongUse, "found several", "actuals", "summary", "--by", "task,item")
	says(exitDone, "\nmain,crew-2,labour,crew-hour,hour,of crew,USD,", "actuals", "summary", "--by", "office,crew,task", "--format", "csv")
	says(exitDone, "gravel", "actuals", "summary", "--by", "item")
	says(exitDone, `"jobs": "2"`, "actuals", "summary", "--by", "category", "--format", "json")
	says(exitDone, "crew-hour: none; 2 of the 5 jobs from which on a factor is suggested.\n", "actuals", "suggest")
	suggest := []string{"actuals", "suggest", "--least-jobs", "2", "--effective", "2026-03-10"}
	says(exitDone, "Nothing is entered by this.", suggest...)
	list, _ := run(exitDone, append(suggest, "--format", "csv")...)
	if !strings.HasPrefix(list, "item,effective,unit,price,currency,description,office,supplier,pack\nrate-fence,2026-03-10,hour/ft,") || strings.Count(list, "\n") != 3 {
		t.Fatalf("suggested\n%s", list)
	}
	before := hours(first)
	if again := hours(quoted()); again != before {
		t.Errorf("before anything was entered %s, and then %s", before, again)
	}
	rates := filepath.Join(t.TempDir(), "rates.csv")
	if err := os.WriteFile(rates, []byte(list), 0o600); err != nil {
		t.Fatal(err)
	}
	run(exitDone, "prices", "import", rates, "--mode", "patch")
	if after := hours(quoted()); !strings.Contains(before, ",32.5") || !strings.Contains(after, ",39") {
		t.Errorf("before %s, and after %s", before, after)
	}
	says(exitDone, "Replay: identical", "quote", "replay", first)
	says(exitDone, "are another group.\n", suggest...)
}
