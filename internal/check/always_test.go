package check_test

import (
	"regexp"
	"strings"
	"testing"

	"wattle/internal/check"
)

func TestAlways(t *testing.T) {
	code := regexp.MustCompile(`^[a-z]+(-[a-z]+)*$`)
	var all strings.Builder
	seen := make(map[string]bool)
	for _, c := range check.Always() {
		if !code.MatchString(c.Code) || seen[c.Code] || !strings.HasSuffix(c.Text, ".") {
			t.Errorf("%q: %q", c.Code, c.Text)
		}
		seen[c.Code] = true
		all.WriteString(c.Text + "\n")
	}
	// What an estimate never leaves out.
	for _, word := range []string{"utilities", "boundary", "permit", "association", "dust", "eye", "treated wood", "guarded table saw"} {
		if !strings.Contains(strings.ToLower(all.String()), word) {
			t.Errorf("nothing about %s", word)
		}
	}
}

func TestAlwaysIsTheCallersOwn(t *testing.T) {
	check.Always()[0].Text = ""
	if check.Always()[0].Text == "" {
		t.Error("one caller's change reached another")
	}
}
