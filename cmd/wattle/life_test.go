package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// takeThroughLife does with a draft of the demo's job what the command line can:
// its customer, its options, its revision, its end.
func takeThroughLife(t *testing.T, run func(want int, args ...string) (stdout, stderr string), draft string) {
	t.Helper()
	says := func(want int, holds string, args ...string) string {
		t.Helper()
		out, errs := run(want, args...)
		if !strings.Contains(out+errs, holds) {
			t.Errorf("%v said\n%s%s\nwithout %q", args, out, errs, holds)
		}
		return out
	}
	made := func(out string) string {
		return "companies/harrow/quotes/" + strings.TrimSpace(field(t, out, "Quote"))
	}
	person := filepath.Join(t.TempDir(), "person.yaml")
	if err := os.WriteFile(person, []byte("display_name: Pat Example\naddress: {lines: [1 Long Lane], locality: Harrow}\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	says(exitDone, "companies/harrow/customers/cust-17\n", "customer", "create", person, "--id", "cust-17")
	shown := says(exitDone, "display_name: Pat Example", "customer", "show", "cust-17")
	if err := os.WriteFile(person, []byte(shown+"telephone: none\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	says(exitDone, "telephone: none", "customer", "update", "cust-17", person)
	says(exitRefused, "has changed since it was read", "customer", "update", "cust-17", person, "--field", "note") // by its etag
	says(exitDone, "is erased since 20", "customer", "erase", "cust-17")
	if out, _ := run(exitDone, "customer", "list", "--erased"); strings.Contains(out, "Pat") || !strings.Contains(out, "cust-17") {
		t.Errorf("after the erasure the list said:\n%s", out)
	}

	// The demo's own prices hold for a day long past.
	says(exitRefused, "revise it for one that is valid today", "quote", "issue", draft)
	out, _ := run(exitDone, "quote", "revise", draft, "--as-of", "2026-03-16", "--valid-until", "2199-12-31")
	first := made(out)
	says(exitDone, first+" is issued, can be accepted until 2200-01-01T00:00:00Z; etag 2", "quote", "issue", first)
	out, _ = run(exitDone, "quote", "create", demoJob, "--option-of", first)
	option := made(out)
	says(exitDone, draft+",void,", "quote", "list", "--status", "void", "--format", "csv")
	says(exitWrongUse, "say with --by who accepted", "quote", "accept", first)
	says(exitRefused, "has changed since", "quote", "accept", first, "--by", "customer", "--etag", "1")
	says(exitDone, first+" is accepted on 20", "quote", "accept", first, "--by", "customer", "--reference", "envelope-81", "--etag", "2")
	says(exitDone, option, "quote", "list", "--status", "void,declined", "--format", "csv")
	says(exitRefused, "a change order", "quote", "revise", first)
	out, _ = run(exitDone, "quote", "create", demoJob, "--changes", first)
	order := made(out)
	says(exitDone, `"changes_quote": "`+first+`"`, "quote", "void", order, "--format", "json")
	says(exitRefused, "the quote is void; expected one that is issued", "quote", "decline", order)
	says(exitWrongUse, "--status: expected draft", "quote", "list", "--status", "sold")
}
