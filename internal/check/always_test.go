package check_test

import (
	"regexp"
	"strings"
	"testing"

	"wattle/internal/check"
	"wattle/internal/measure"
	"wattle/internal/spec"
)

// tight is a fence of boards.
func tight() spec.Spec { return spec.Spec{Height: 6 * measure.Foot}.WithDefaults() }

// Nothing is said of wood where there is none.
func TestAlwaysOfSteel(t *testing.T) {
	for _, c := range check.Always(spec.Spec{Family: spec.ChainLink, Height: 4 * measure.Foot}.WithDefaults()) {
		if c.Code == "treated-wood" || c.Code == "rip-on-table-saw" {
			t.Errorf("chain link is told: %s", c.Text)
		}
	}
}

func TestAlways(t *testing.T) {
	code := regexp.MustCompile(`^[a-z]+(-[a-z]+)*$`)
	var all strings.Builder
	seen := make(map[string]bool)
	for _, c := range check.Always(tight()) {
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
	check.Always(tight())[0].Text = ""
	if check.Always(tight())[0].Text == "" {
		t.Error("one caller's change reached another")
	}
}
