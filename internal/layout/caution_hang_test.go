package layout_test

import (
	"strings"
	"testing"

	"wattle/internal/layout"
	"wattle/internal/spec"
)

func caution(l *layout.Layout, code string) string {
	for _, c := range l.Cautions {
		if c.Code == code {
			return c.Text
		}
	}
	return ""
}

// Without boards nothing fills a gap over the ground: it is told, and left, and
// no caution speaks of boards.
func TestGapsAreLeft(t *testing.T) {
	f := mesh(free(10*ft), spec.Posts{Size: "2.375od"})
	l := plan(t, "a: 0,0 40,0 ground=0:0 ground=15:-2 ground=20:0 ground=30:1 ground=40:0 beside=left@0..20@8in\nb: 40,0 40,40 right", f)
	for _, b := range l.Bays {
		if b.Fill != 0 {
			t.Errorf("a bay is filled by %s", b.Fill)
		}
	}
	if got := caution(l, "ground-gap"); !strings.Contains(got, "the gaps are left") {
		t.Errorf("%q", got)
	}
	for _, code := range []string{"ground-gap", "no-access"} {
		if caution(l, code) == "" {
			t.Errorf("no caution %s", code)
		}
	}
	for _, c := range l.Cautions {
		if strings.Contains(c.Text, "board") {
			t.Errorf("%s", c.Text)
		}
	}
	// A family with boards may leave gaps too.
	boards := sixFoot(spec.Layout{})
	boards.Slope.Fill = spec.LeaveOpen
	l = plan(t, "a: 0,0 40,0 ground=0:0 ground=17:-4 ground=40:0", boards)
	if got := caution(l, "ground-gap"); !strings.Contains(got, "the gaps are left") || l.Bays[2].Fill != 0 {
		t.Errorf("%q, filled by %s", got, l.Bays[2].Fill)
	}
}

// Driven posts go no deeper for frost, which the answer says; posts in holes do.
func TestAboveFrost(t *testing.T) {
	f := mesh(free(14*ft), spec.Posts{Size: "tee", TerminalSize: "6rd"})
	f.Holes = spec.Holes{MinDepth: 24 * in, ByHeight: new(false), FrostDepth: 36 * in}
	const site = "a: 0,0 42,0"
	got := caution(plan(t, site, f), "above-frost")
	for _, part := range []string{"Frost reaches 3 ft", "2 posts are driven no deeper than 2 ft"} {
		if !strings.Contains(got, part) {
			t.Errorf("%q, want %q", got, part)
		}
	}
	f.Holes.MinDepth = 36 * in
	if got := caution(plan(t, site, f), "above-frost"); got != "" {
		t.Errorf("driven to frost: %q", got)
	}
	f.Holes.MinDepth, f.Posts.Size = 24*in, "4rd"
	if got := caution(plan(t, site, f), "above-frost"); got != "" {
		t.Errorf("in holes: %q", got)
	}
}
