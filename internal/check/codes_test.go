package check_test

import (
	"regexp"
	"strings"
	"testing"

	"wattle/internal/check"
)

func TestCodes(t *testing.T) {
	shape := regexp.MustCompile(`^[a-z]+(-[a-z]+)*$`)
	codes, titles := make(map[string]bool), make(map[string]bool)
	for _, c := range check.Codes() {
		if !shape.MatchString(c.Code) || codes[c.Code] || c.Title == "" || titles[c.Title] || c.Source == "" || c.Edition == "" {
			t.Errorf("%+v", c)
		}
		if !strings.HasPrefix(c.Decides, "Advisory only: ") || !strings.HasSuffix(c.Decides, "decides.") {
			t.Errorf("%s does not say who decides: %q", c.Code, c.Decides)
		}
		codes[c.Code], titles[c.Title] = true, true
	}
	for _, c := range check.Always(tight()) {
		if codes[c.Code] {
			t.Errorf("%s is a caution of every estimate and a result", c.Code)
		}
	}
	check.Codes()[0].Title = ""
	if check.Codes()[0].Title == "" {
		t.Error("one caller's change reached another")
	}
}

func TestUnder(t *testing.T) {
	for _, c := range []struct{ field, path, want string }{
		{"depth", "checks.footing", "checks.footing.depth"}, {"", "checks.wind", "checks.wind"}, {"depth", "", "depth"}, {"", "", ""},
	} {
		if got := (check.Result{Field: c.field}).Under(c.path).Field; got != c.want {
			t.Errorf("%q under %q is %q, want %q", c.field, c.path, got, c.want)
		}
	}
}
