package check_test

import (
	"strings"
	"testing"

	"wattle/internal/check"
)

// Common practice, but for the limits that the job states.
func TestCautions(t *testing.T) {
	const pass, fail, lacks, advisory = check.Pass, check.Fail, check.NotEnoughData, check.Advisory
	for _, c := range []struct {
		result check.Result
		code   string
		want   check.Outcome
		says   string
	}{
		{check.Reveal(must("6 in"), must("6 in"), check.MaxReveal), check.BoardReveal, pass, "at most 6 in past a rail"},
		{check.Reveal(must("6-1/16 in"), must("6 in"), check.MaxReveal), check.BoardReveal, advisory, "tend to warp"},
		{check.Reveal(must("6 in"), must("8 in"), check.MaxReveal), check.BoardReveal, advisory, "run 8 in past a rail, over 6 in"},
		{check.Reused(0), check.ReusedPosts, pass, "No old post"},
		{check.Reused(3), check.ReusedPosts, advisory, "used again, 3 of them, and they are what fails first"},
		{check.Frost("post bottom", long("36 in"), long("36 in")), check.FrostDepth, pass, "at or below the frost depth of 36 in"},
		{check.Frost("post bottom", long("24 in"), long("42 in")), check.FrostDepth, fail, "post bottom is 24 in down, above the frost depth of 42 in"},
		{check.Frost("top of the footing", long("24 in"), nil), check.FrostDepth, lacks, "frost depth of the place is not known"},
		{check.Frost("post bottom", nil, long("42 in")), check.FrostDepth, lacks, "depth of the post bottom is not known"},
		{check.Span(must("8 ft"), long("8 ft")), check.RailSpan, pass, "at most 8 ft"},
		{check.Span(must("8 ft 1 in"), long("8 ft")), check.RailSpan, fail, "Rails span 8 ft 1 in, over the stated 8 ft, and can sag"},
		{check.Span(must("8 ft"), nil), check.RailSpan, lacks, "is not known"},
	} {
		sound(t, c.result)
		if r := c.result; r.Code != c.code || r.Outcome != c.want || !strings.Contains(r.Text, c.says) {
			t.Errorf("%+v; want %s, %s, %q", r, c.code, c.want, c.says)
		}
	}
	if r := check.Reveal(must("6 in"), must("8 in"), check.MaxReveal); r.Field != "bottom_reveal" {
		t.Errorf("a bottom reveal is told of %s", r.Field)
	}
}
