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
	says(exitDone, "cust-17,main,erased,", "customer", "changes", "--customer", "cust-17", "--format", "csv")
	if out, _ := run(exitDone, "customer", "list", "--erased"); strings.Contains(out, "Pat") || !strings.Contains(out, "cust-17") {
		t.Errorf("after the erasure the list said:\n%s", out)
	}

	// The demo's own prices hold for a day long past.
	says(exitRefused, "revise it for one that is valid today", "quote", "issue", draft)
	out, _ := run(exitDone, "quote", "revise", draft, "--as-of", "2026-03-16", "--valid-until", "2199-12-31")
	first := made(out)
	says(exitDone, first+" is issued, can be accepted until 2200-01-01T00:00:00Z; etag 2", "quote", "issue", first)
	takePapers(t, says, first)
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

// takePapers saves a template and has papers made of an issued quote.
func takePapers(t *testing.T, says func(want int, holds string, args ...string) string, issued string) {
	t.Helper()
	dir := t.TempDir()
	file, logo, proposal := filepath.Join(dir, "papers.yaml"), filepath.Join(dir, "logo.png"), filepath.Join(dir, "proposal.pdf")
	for path, content := range map[string]string{file: "title: Harrow & Daughters Fence\nterms: [We call before we dig.]\npaper: PAPER_A4\n", logo: "no image"} {
		if err := os.WriteFile(path, []byte(content), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	says(exitDone, "name: standard", "template", "show")
	says(exitFailed, "template.logo: a PNG or JPEG image is expected", "template", "save", "main", file, "--logo", logo)
	says(exitDone, "companies/harrow/templates/main, version 1: saved\n", "template", "save", "main", file)
	says(exitDone, "version 1: saved already", "template", "save", "main", file)
	says(exitDone, "Harrow & Daughters Fence,a4,", "template", "list", "--versions", "--format", "csv")
	says(exitDone, "paper: PAPER_A4", "template", "show", "main@1")
	for _, record := range []string{"recorded now", "identical to what was recorded"} {
		says(exitDone, "template companies/harrow/templates/main version 1: "+record, "quote", "render", issued, "--format", "proposal-pdf", "--out", proposal)
	}
	if content, err := os.ReadFile(proposal); err != nil || !strings.HasPrefix(string(content), "%PDF-") {
		t.Errorf("%s is no PDF: %v", proposal, err)
	}
	says(exitDone, "template standard version 0: recorded now", "quote", "render", issued, "--format", "order-list-pdf", "--template", "standard", "--measures", "both", "--out", proposal)
	says(exitDone, "%PDF-", "quote", "render", issued, "--format", "price-letter-pdf", "--as-of", "2026-04-16", "--paper", "letter")
}
