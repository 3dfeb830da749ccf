package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// followCost asks what the demo's lists did to its job, in every way the command
// line has.
func followCost(t *testing.T, run func(want int, args ...string) (stdout, stderr string)) {
	t.Helper()
	dir := t.TempDir()
	window := []string{"--from", "2026-02-27", "--to", "2026-09-30"}
	says := func(want int, holds string, args ...string) {
		t.Helper()
		if out, errs := run(want, append(append([]string{"cost"}, args...), window...)...); !strings.Contains(out+errs, holds) {
			t.Errorf("%v said\n%s%s\nwithout %q", args, out, errs, holds)
		}
	}
	drawn := func(name, begins string) {
		t.Helper()
		page, err := os.ReadFile(filepath.Join(dir, name))
		if err != nil || !bytes.Contains(page[:min(200, len(page))], []byte(begins)) {
			t.Errorf("%s: %v, %.40q", name, err, page)
		}
	}
	says(exitDone, "2026-03-01,,boards,", "track", demoJob, "--format", "csv")
	says(exitDone, "no price: post-4x4-10ft (first price from 2026-03-01)", "track", demoJob, "--chart", filepath.Join(dir, "cost.svg"))
	says(exitDone, "0 of 2 days; no price: board-1x6-6ft, ", "track", demoJob, "--every", "month", "--chart", filepath.Join(dir, "stack.png"), "--stack")
	drawn("cost.svg", "<svg")
	drawn("stack.png", "PNG")
	says(exitFailed, "expected a name that ends in .svg or .png", "track", demoJob, "--chart", filepath.Join(dir, "cost.gif"))
	says(exitWrongUse, "expected one of a job file, --spec, --quotes and --item, found 0", "track")
	says(exitDone, `"counted_on": "2026-09-30"`, "track", demoJob, "--format", "json")

	window[1] = "2026-03-16"
	says(exitDone, "From 2026-03-16 to 2026-09-30 a foot went from ", "change", demoJob, "--chart", filepath.Join(dir, "movers.svg"))
	drawn("movers.svg", "<svg")
	says(exitDone, "board-1x6-6ft,boards,each,4.12,4.55,", "change", demoJob, "--format", "csv")
	says(exitDone, "2026-08  2026-08-31", "index", "--item", "board-1x6-6ft=3", "--item", "gravel=2 ft3", "--chart", filepath.Join(dir, "index.svg"))
	drawn("index.svg", "<svg")
	says(exitWrongUse, "--formula: expected laspeyres", "index", "--item", "board-1x6-6ft=3", "--formula", "cobb")
	says(exitFailed, "changes", "risk", "--item", "board-1x6-6ft=3") // too short a history
	window[3] = "2027-09-30"
	says(exitDone, "no forecast", "risk", "--item", "board-1x6-6ft=3", "--every", "week", "--backtest", "--seed", "7")
	says(exitRefused, "nothing in the basket to follow", "track", "--quotes", "--status", "expired")
}
