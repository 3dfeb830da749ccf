package main

import (
	"strings"
	"testing"
)

// TestPricesSayWhyAndAreVerified: what an item costs and why, exit code 1 where
// one has no price; and the check of the whole book, exit code 1 where a head
// that is known from outside is not its own.
func TestPricesSayWhyAndAreVerified(t *testing.T) {
	dir := dataDir(t)
	s := start(t, "--local", "--data-dir", dir)
	server := s.harrow(t, dir)
	run := func(want int, args ...string) (stdout, stderr string) {
		t.Helper()
		return wattle(t, want, append(args, server...)...)
	}
	run(exitDone, "prices", "import", demoMarch, "--mode", "patch")
	run(exitDone, "prices", "import", demoSept, "--mode", "patch")
	has := func(text string, parts ...string) {
		t.Helper()
		for _, part := range parts {
			if !strings.Contains(text, part) {
				t.Errorf("no %q in:\n%s", part, text)
			}
		}
	}

	out, _ := run(exitDone, "prices", "resolve", "rail-2x4-16ft", "--as-of", "2026-03-15", "--order", "rail-2x4-16ft=2 dozen", "--why")
	has(out, "rail-2x4-16ft: 160.80 per dozen, of ", "won ", "13.40 each", "not-yet-effective ", "Holds from 2026-")
	out, bad := run(exitFailed, "prices", "resolve", "rail-2x4-16ft", "rail-9x9-16ft", "--as-of", "2026-03-15")
	has(out, "13.40")
	has(bad, "rail-9x9-16ft: unknown item\n", "1 of 2 items have no price")
	run(exitFailed, "prices", "resolve", "rail-9x9-16ft", "--as-of", "2026-03-15", "--format", "json")
	run(exitFailed, "prices", "resolve", "gravel", "--as-of", "2026-03-15", "--order", "gravel=1 lb")
	run(exitWrongUse, "prices", "resolve", "gravel", "--order", "12 ft3")
	run(exitFailed, "prices", "resolve", "gravel", "--order", "post=12")

	out, _ = run(exitDone, "prices", "verify")
	has(out, "Book revision 2, hash ", "Intact: every hash follows from the rows.")
	hash, _, _ := strings.Cut(field(t, out, "Book revision 2, hash "), "\n")
	run(exitDone, "prices", "verify", "--expect", "2:"+hash, "--expect", "0:"+strings.Repeat("0", 64))
	out, bad = run(exitFailed, "prices", "verify", "--expect", "1:"+hash)
	has(out, "NOT INTACT. The first bad revision is 1.", "Revision 1 has the hash")
	has(bad, "the price book is not what it was")
	if out, _ = run(exitFailed, "prices", "verify", "--expect", "1:"+hash, "--format", "json"); !strings.HasPrefix(out, "{") {
		t.Errorf("as JSON:\n%s", out)
	}
	run(exitWrongUse, "prices", "verify", "--expect", hash)
	run(exitFailed, "prices", "verify", "--expect", "1:5f1c")
}
