package main

import (
	"strings"
	"testing"
)

// A bar shows what is done of a total, a count what is done where nobody knows
// it, and both go away.
func TestProgress(t *testing.T) {
	var b strings.Builder
	bar := &progress{w: &b, total: 8000, drawn: -1}
	bar.add(4000)
	if want := "\r[" + strings.Repeat("#", 20) + strings.Repeat(" ", 20) + "]  50 %"; b.String() != want {
		t.Errorf("%q, want %q", b.String(), want)
	}
	bar.add(1)
	bar.add(8000)
	if drawn := strings.Count(b.String(), "\r"); drawn != 2 || !strings.HasSuffix(b.String(), "#] 100 %") {
		t.Errorf("drawn %d times: %q", drawn, b.String())
	}
	b.Reset()
	count := &progress{w: &b, drawn: -1, unit: "thousand rows read", each: 1000}
	for range 5 {
		count.add(500)
	}
	if want := "\r0 thousand rows read\r1 thousand rows read\r2 thousand rows read"; b.String() != want {
		t.Errorf("%q, want %q", b.String(), want)
	}
	b.Reset()
	count.end()
	if strings.TrimSpace(b.String()) != "" || len(b.String()) < len("1000 thousand rows read") {
		t.Errorf("%q", b.String())
	}
	newCount(&b, 10).add(3) // no terminal: nothing is shown, and nothing breaks
}
