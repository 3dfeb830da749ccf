package layout_test

import (
	"testing"

	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/spec"
)

// Post centres stand opening + (w1 + w2)/2 apart; a single leaf is the opening
// less 1/2 in at either side, each of a pair half of what 1/2, 1 and 1/2 in
// leave (trade 5).
func TestOpenings(t *testing.T) {
	for _, c := range []struct {
		site string
		want layout.Opening
	}{
		{"a: 0,0 40,0 gate=g@10x3", layout.Opening{Clear: 36 * in, Span: in * 79 / 2, Leaves: 1, LeafWidth: 35 * in, HingeAtStart: true}},
		{"a: 0,0 40,0 gate=g@10x4^", layout.Opening{Clear: 48 * in, Span: in * 107 / 2, Leaves: 1, LeafWidth: 47 * in}},
		{"a: 0,0 40,0 gate=g@10x10x2", layout.Opening{Clear: 120 * in, Span: in * 251 / 2, Leaves: 2, LeafWidth: 59 * in, HingeAtStart: true}},
		// The first post is the end's, 1/8 in nearer than the opening says.
		{"a: 0,0 40,0 gate=g@1.875inx3", layout.Opening{Clear: 36 * in, Span: in * 317 / 8, Leaves: 1, LeafWidth: 35 * in, HingeAtStart: true}},
		// From a wall to the corner.
		{"a: wall 0,0 43in,0 43in,20 gate=g@3.5inx3.15625", layout.Opening{Clear: in * 303 / 8, Span: in * 165 / 4, Leaves: 1, LeafWidth: in * 295 / 8, HingeAtStart: true}},
	} {
		l := plan(t, c.site, sixFoot(spec.Layout{}))
		if len(l.Openings) != 1 {
			t.Fatalf("%s: %d openings", c.site, len(l.Openings))
		}
		got := l.Openings[0]
		c.want.Gate, c.want.Start, c.want.End = "g", got.Start, got.End
		if got != c.want {
			t.Errorf("%s:\n got %+v\nwant %+v", c.site, got, c.want)
		}
		if apart := l.Posts[got.Start].At.DistanceTo(l.Posts[got.End].At); apart != got.Span {
			t.Errorf("%s: posts %s apart, span %s", c.site, apart, got.Span)
		}
	}
}

// Boards run on from a tie-in post to the wall face: the wall gap and w/2, of
// the post that stands there.
func TestWall(t *testing.T) {
	for _, c := range []struct {
		site          string
		start, finish measure.Length
	}{
		{"a: wall+2in 0,0 20,0 wall", in * 15 / 4, in * 7 / 4},
		{"a: 0,0 20,0 wall+1in", 0, in * 11 / 4},
		// A wide gate on either side of the fence makes both posts a 6x6; the
		// fence between gate posts meets no wall.
		{"a: wall 0,0 20,0 wall gate=g@5.5inx4 gate=h@186.5inx4", 0, 0},
	} {
		l := plan(t, c.site, sixFoot(spec.Layout{}))
		st := l.Stretches[0]
		if st.StartEnd.Wall != c.start || st.FinishEnd.Wall != c.finish {
			t.Errorf("%s: walls %s and %s, want %s and %s", c.site, st.StartEnd.Wall, st.FinishEnd.Wall, c.start, c.finish)
		}
	}
}
