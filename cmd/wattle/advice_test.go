package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"

	wattlev1 "wattle/api/wattle/v1"
)

// TestAdviceOfAService: options and advice on the demo's job, priced by a real
// service, that are the figures of the quotes made of them.
func TestAdviceOfAService(t *testing.T) {
	dir := dataDir(t)
	s := start(t, "--local", "--data-dir", dir)
	reach := s.harrow(t, dir)
	run := func(want int, args ...string) string {
		t.Helper()
		out, _ := wattle(t, want, append(args, reach...)...)
		return out
	}
	run(exitDone, "prices", "import", demoMarch, "--mode", "patch")
	quoted := run(exitDone, "quote", "create", demoJob, "--as-of", "2026-03-20")
	total := field(t, quoted, "=  Total, USD")

	sheet := filepath.Join(t.TempDir(), "options.json")
	if err := os.WriteFile(sheet, demoOptions(t), 0o600); err != nil {
		t.Fatal(err)
	}
	shown := run(exitDone, "options", sheet, "--as-of", "2026-03-20")
	if !strings.Contains(shown, "Prices as of 2026-03-20") || !strings.Contains(field(t, shown, "1  as measured"), " "+total+" ") || !strings.Contains(shown, "options[2].spec.rails.count: ") {
		t.Errorf("the quote's total is %s; the options are:\n%s", total, shown)
	}

	advice := run(exitDone, "advise", demoJob, "--table", "3")
	if !strings.Contains(advice, "60 candidates tried") || !strings.Contains(advice, "To quote it, set layout.max_bay to ") || !strings.Contains(advice, "\n3  ") || strings.Contains(advice, "\n4  ") {
		t.Errorf("the advice is:\n%s", advice)
	}
	var plain struct {
		Best struct{ Totals struct{ Cost string } }
		Spec json.RawMessage
	}
	if err := json.Unmarshal([]byte(run(exitDone, "advise", demoJob, "--format", "json")), &plain); err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(advice, "at a cost of "+amount(plain.Best.Totals.Cost)) || len(plain.Spec) == 0 {
		t.Errorf("as JSON the best costs %s; as text:\n%s", plain.Best.Totals.Cost, advice)
	}
	// A job file may name a spec of the catalogue instead.
	byName, err := readJob(nil, demoJob)
	if err != nil {
		t.Fatal(err)
	}
	byName.Spec, byName.SavedSpec = nil, "standard/vertical-boards-6ft"
	data, err := protojson.Marshal(byName)
	if err != nil {
		t.Fatal(err)
	}
	named := filepath.Join(t.TempDir(), "named.json")
	if err := os.WriteFile(named, data, 0o600); err != nil {
		t.Fatal(err)
	}
	if told := run(exitDone, "advise", named); !strings.Contains(told, "60 candidates tried") {
		t.Errorf("by the name of a spec the advice is:\n%s", told)
	}
	run(exitRefused, "advise", demoJob, "--as-of", "2020-01-01")
	run(exitFailed, "advise", demoJob, "--step", "1/64 in")
	if err := s.stop(t, syscall.SIGTERM); err != nil {
		t.Errorf("asked to stop, the service ended with %v", err)
	}
}

// demoOptions is the demo's job with its own spec, one sort of rails, and a
// height that nobody has a number of rails for.
func demoOptions(t *testing.T) []byte {
	t.Helper()
	job, err := readJob(nil, demoJob)
	if err != nil {
		t.Fatal(err)
	}
	rails, high := proto.CloneOf(job.GetSpec()), proto.CloneOf(job.GetSpec())
	rails.Rails, high.Height = &wattlev1.Spec_Rails{Stock: []string{"16 ft"}}, "9 ft"
	data, err := protojson.Marshal(&wattlev1.CompareOptionsRequest{
		Currency: job.GetCurrency(), Site: job.GetSite(), CustomLines: job.GetCustomLines(), Pricing: job.GetPricing(),
		Options: []*wattlev1.CompareOptionsRequest_NamedSpec{{Name: "as measured", Spec: job.GetSpec()}, {Name: "rails of 16 ft", Spec: rails}, {Name: "nine feet", Spec: high}},
	})
	if err != nil {
		t.Fatal(err)
	}
	return data
}
