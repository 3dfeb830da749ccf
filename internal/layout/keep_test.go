package layout_test

import (
	"strings"
	"testing"

	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/spec"
)

func bare() spec.Spec { return sixFoot(spec.Layout{TerminalLimit: new(false)}) }

// A line hole is 12 in across, so a post keeps 6 in from a keep-out and may
// touch it.
func TestKeepOuts(t *testing.T) {
	for _, c := range []struct {
		name, site, want, cautions string
	}{
		{"out of the way", "a: 0,0 24,0 keep=gas@10..13", "3 x 8 ft", ""},
		{"touched by a hole", "a: 0,0 24,0 keep=gas@8.5..13", "3 x 8 ft", ""},
		// 23 ft in 3 bays: 7'8" each; gas bars 7..9.5 for post 1 at 7'8", which
		// stands back at 7, so the second at 15'4" must not pass 15.
		{"moves a post", "a: 0,0 23,0 keep=gas@7.5..9", "7 ft, 2 x 8 ft", "posts-moved"},
		// 24 ft has no slack: three bays of 8 ft, the first post barred, so four.
		{"takes a bay more", "a: 0,0 24,0 keep=gas@7.75..8.25", "4 x 6 ft", "bays-added"},
		{"takes a bay more and moves a post", "a: 0,0 24,0 keep=gas@7.75..8.25 keep=root@5..6.5", "7 ft, 5 ft, 2 x 6 ft", "posts-moved bays-added"},
		{"of an obstacle", "a: 0,0 23,0\n!gas: 8.25,-5 8.25,5 clear=9in", "7 ft, 2 x 8 ft", "posts-moved"},
		// The line passes 14.4 in from the tree, clear of its 9 in, but a hole of 6
		// in does not: sqrt(15^2 - 14.4^2) = 4.2 in either way.
		{"of a tree beside the holes", "a: 0,0 24,0\n!tree: 8,1.2 clear=9in", "4 x 6 ft", "bays-added"},
		{"of a tree that a hole touches", "a: 0,0 24,0\n!tree: 8,1.25 clear=9in", "3 x 8 ft", ""},
		{"beyond the obstacle's clearance", "a: 0,0 24,0\n!tree: 8,9 clear=8", "3 x 8 ft", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			l := plan(t, c.site, bare())
			if got := widths(l.Bays, func(b layout.Bay) measure.Length { return b.Printed }); got != c.want {
				t.Errorf("bays %s, want %s", got, c.want)
			}
			for code := range strings.FieldsSeq(c.cautions) {
				if !hasCaution(l, code) {
					t.Errorf("no caution %s among %v", code, l.Cautions)
				}
			}
			if c.cautions == "" && (hasCaution(l, "posts-moved") || hasCaution(l, "bays-added")) {
				t.Errorf("cautions %v", l.Cautions)
			}
			var sum measure.Length
			for i, b := range l.Bays {
				sum += b.Width
				if b.Width > b.Limit {
					t.Errorf("bay %d is %s, limit %s", i, b.Width, b.Limit)
				}
				for _, k := range l.Barred {
					if i+1 < len(l.Bays) && sum > k.From-6*in && sum < k.To+6*in {
						t.Errorf("a post at %s stands in %s..%s", sum.Imperial(), k.From.Imperial(), k.To.Imperial())
					}
				}
			}
		})
	}
}

func TestKeepOutsThatCannotBe(t *testing.T) {
	for _, c := range []struct{ name, site, want string }{
		{"too wide", "a: 0,0 40,0 keep=culvert@10..18",
			`site.runs[0].keep_outs[0]: no post can stand between 9 ft 6 in and 18 ft 6 in (keep-out "culvert" from 10 ft to 18 ft, and half a hole of 1 ft on either side): that is 9 ft, and no bay there may be wider than 8 ft`},
		{"two with a sliver between", "a: 0,0 40,0 keep=gas@10..13 keep=drain@13'11\"..17'6\"",
			`site.runs[0].keep_outs[0]: no post can stand between 9 ft 6 in and 18 ft (keep-out "gas" from 10 ft to 13 ft, keep-out "drain" from 13 ft 11 in to 17 ft 6 in,`},
		{"two places", "a: 0,0 100,0 keep=pond@10..30 keep=pool@60..75", `site.runs[0].keep_outs[1]: no post can stand between 59 ft 6 in and 75 ft 6 in`},
		{"an end post", "a: 0,0 40,0 keep=gas@39.75..40", `site.runs[0].keep_outs[0]: the end post at 40 ft of run "a" stands in it: its hole, 1 ft across, reaches from 39 ft 6 in`},
		{"a gate post", "a: 0,0 40,0 gate=g@10x4 keep=gas@9..9.5", `site.runs[0].keep_outs[0]: the first post of gate "g" of run "a" stands in it: its hole, 1 ft 6 in across,`},
		{"a corner, by an obstacle", "a: 0,0 40,0 40,20\n!oak: 41,-1 clear=3", `site.obstacles[0]: the post at vertex 1 of run "a" stands in it`},
		{"a corner of a run with an arc", "a: 0,0 10,0 12,1 13,3 13,20 33,20 chord=2 keep=gas@31..32", `site.runs[0].keep_outs[0]: the post at 31 ft 5-11/16 in of run "a" stands in it`},
		{"a pin", "a: 0,0 40,0 pin=9.75 keep=gas@10..13", `site.runs[0].keep_outs[0]: the pinned post at 9 ft 9 in of run "a" stands in it`},
		{"a closed run's start", "a: 0,0 20,0 20,20 0,20 closed keep=gas@79.75..79.9", `site.runs[0].keep_outs[0]: the post at vertex 0 of run "a" stands in it`},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := layout.Plan(mustSite(c.site), bare())
			if err == nil || !strings.Contains(err.Error(), c.want) {
				t.Errorf("got %v\nwant %s", err, c.want)
			}
		})
	}
}

func TestPins(t *testing.T) {
	for _, c := range []struct{ name, site, want, pinned string }{
		{"divides a stretch", "a: 0,0 24,0 pin=9", "2 x 4 ft 6 in, 2 x 7 ft 6 in", "0@9 ft"},
		{"at a corner is the corner", "a: 0,0 16,0 16,16 pin=16", "4 x 8 ft", ""},
		{"in any order", "a: 0,0 24,0 pin=16 pin=8", "3 x 8 ft", "0@8 ft 0@16 ft"},
		{"on the second leg", "a: 0,0 16,0 16,16 pin=20", "2 x 8 ft, 4 ft, 2 x 6 ft", "0@20 ft"},
		{"beside a gate", "a: 0,0 24,0 gate=g@8x3 pin=4", "4 ft, 3 ft 10-1/4 in, 2 x 6 ft 5-1/8 in", "0@4 ft"},
	} {
		t.Run(c.name, func(t *testing.T) {
			l := plan(t, c.site, bare())
			if got := widths(l.Bays, func(b layout.Bay) measure.Length { return b.Printed }); got != c.want {
				t.Errorf("bays %s, want %s", got, c.want)
			}
			if got := strings.Join(posts(l, layout.Pinned), " "); got != c.pinned {
				t.Errorf("pinned %q, want %q", got, c.pinned)
			}
		})
	}
}

func TestPinsThatCannotStand(t *testing.T) {
	for _, c := range []struct{ name, site, want string }{
		{"in an opening", "a: 0,0 40,0 gate=g@10x4 pin=12", `site.runs[0].pins[0].station: the post at 12 ft stands in the opening of gate "g"`},
		{"in a corner's post", "a: 0,0 20,0 20,20 pin=20'2\"", "site.runs[0].pins[0].station: the post at 20 ft 2 in would stand in the post at vertex 1: their centres are 2 in apart and need 3-1/2 in"},
		{"in a wall's gap", "a: wall+1ft 0,0 20,0 pin=3in", "site.runs[0].pins[0].station: the post at 3 in stands between the wall and the post beside the wall"},
		{"in one another", "a: 0,0 20,0 pin=8 pin=8'2\"", "site.runs[0].pins[1].station: the post at 8 ft 2 in stands 2 in from the post before it"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := layout.Plan(mustSite(c.site), bare())
			if err == nil || !strings.Contains(err.Error(), c.want) {
				t.Errorf("got %v\nwant %s", err, c.want)
			}
		})
	}
}

// An old post that is kept is not bought and needs no hole, so a keep-out does
// not move it.
func TestExistingPosts(t *testing.T) {
	l := plan(t, "a: 0,0 24,0 old=8 keep=gas@7..9", bare())
	p := l.Posts[1]
	if !p.Existing || p.Role != layout.Pinned || p.Stock != 0 || p.Hole != (layout.Hole{}) {
		t.Errorf("%+v", p)
	}
	if !hasCaution(l, "existing-posts") {
		t.Errorf("cautions %v", l.Cautions)
	}
	l = plan(t, "a: 0,0 24,0 old=0 old=24", bare())
	if first, last := l.Posts[0], l.Posts[len(l.Posts)-1]; !first.Existing || first.Role != layout.End || !last.Existing {
		t.Errorf("ends %+v, %+v", first, last)
	}
}

// What bars posts is told even where an obstacle's own clearance does not reach
// the run; holes that reach into one another are told.
func TestBarredIsTold(t *testing.T) {
	l := plan(t, "a: 0,0 24,0\n!tree: 8,1.2 clear=9in", bare())
	if len(l.Barred) != 1 || l.Barred[0].ID != "tree" || l.Barred[0].From.Imperial() != "7 ft 7-13/16 in" || l.Barred[0].To.Imperial() != "8 ft 4-3/16 in" {
		t.Errorf("barred %+v", l.Barred)
	}
	l = plan(t, "a: 0,0 24,0\n!gas: 8,-5 8,5 clear=9in", bare())
	if len(l.Barred) != 1 || l.Barred[0].From != 87*in || l.Barred[0].To != 105*in {
		t.Errorf("barred %+v", l.Barred)
	}
	if l = plan(t, "a: 0,0 24,0 pin=5in", bare()); !hasCaution(l, "holes-overlap") {
		t.Errorf("cautions %v", l.Cautions)
	}
}

func TestNeighbours(t *testing.T) {
	for _, c := range []struct{ site, want string }{
		{"a: 0,0 24,0 beside=left@0..24@30in", ""},
		{"a: 0,0 24,0 beside=left@0..24@20in", "no-access"},
		{"a: 0,0 24,0 beside=right@0..24@20in", ""},
		{"a: 0,0 24,0 right beside=right@0..24@20in", "no-access"},
		{"a: 0,0 24,0 beside=right@0..24@5in", "hole-near-neighbour"},
		{"a: 0,0 24,0 beside=left@0..24@5in", "no-access hole-near-neighbour"},
	} {
		var got []string
		for _, caution := range plan(t, c.site, bare()).Cautions {
			got = append(got, caution.Code)
		}
		if strings.Join(got, " ") != c.want {
			t.Errorf("%s: cautions %q, want %q", c.site, got, c.want)
		}
	}
}
