package layout_test

import (
	"testing"

	"wattle/internal/measure"
	"wattle/internal/spec"
)

// The cautions on the lay of the land, as a person reads them; figures by hand.
func TestLandCautions(t *testing.T) {
	stepped := bare()
	stepped.Slope.Mode, stepped.Posts.Stock = spec.Stepped, []measure.Length{8 * ft, 10 * ft, 12 * ft}
	kick := stepped
	kick.Slope.Fill = spec.KickBoard
	pulls := bare()
	pulls.Alignment.PullSpacing = 40 * ft
	for _, c := range []struct {
		name, site        string
		spec              spec.Spec
		code, text, field string
	}{
		// 23 ft in three: the post at 7 ft 8 in goes back to 7 ft 6 in less 6 in.
		{"a keep-out", "a: 0,0 23,0 keep=gas@7.5..9", bare(), "posts-moved",
			`Run "a", 0 in to 23 ft: keep-outs or the ground move 2 of its 2 line posts off the places of the even method, by up to 8 in.`, "site.runs[0]"},
		{"a keep-out without slack", "a: 0,0 24,0 keep=gas@7.75..8.25", bare(), "bays-added",
			`Run "a", 0 in to 24 ft: keep-outs take 4 bays where 3 would do.`, "site.runs[0]"},
		{"an old post", "a: 0,0 24,0 old=8", bare(), "existing-posts",
			"Old posts are kept by choice (P2). They are what fails first: look at each at grade and test that it stands firm; what a new fence on them is worth depends on it. Their sections are taken as those of new posts in their places: measure them.", "site.runs"},
		{"two grounds", "a: 0,0 16,0 ground=0:2 ground=16:2\nb: 16,0 16,16 ground=0:3 ground=16:3", bare(), "ground-differs",
			`The ground at post P3 is 2 ft on run "a" and 3 ft on run "b"; that of the first counts.`, "site.runs[1].ground"},
		{"ground known in part", "a: 0,0 24,0 ground=2:0 ground=20:1", bare(), "ground-extended",
			`Run "a": the ground is known from 2 ft to 20 ft; the rest is taken as level.`, "site.runs[0].ground"},
		// A foot to each bay of 8 ft: 2 in and 12 in under the low end.
		{"steps", "a: 0,0 24,0 ground=0:0 ground=24:3", stepped, "ground-gap",
			`Run "a": 3 bays would stand over 4 in above the ground, the widest 1 ft 2 in in the bay from 0 in; boards there are longer.`, "site.runs[0].ground"},
		{"steps, kicked", "a: 0,0 24,0 ground=0:0 ground=24:3", kick, "ground-gap",
			`Run "a": 3 bays would stand over 4 in above the ground, the widest 1 ft 2 in in the bay from 0 in; a kick board fills them.`, "site.runs[0].ground"},
		{"a hump", "a: 0,0 8,0 16,0 ground=0:0 ground=4:0.25 ground=8:0 ground=16:0", bare(), "ground-touches-boards",
			`Run "a": the ground stands higher than the lower ends of boards in 1 bay, by up to 1 in in the bay from 0 in; dig it away or cut the boards.`, "site.runs[0].ground"},
		{"steps take longer posts", "a: 0,0 24,0 ground=0:0 ground=24:3", stepped, "ground-lengthens-posts",
			"Steps, or gates on a slope, take 3 posts to a longer stock: up to 10 ft instead of 8 ft. Narrower bays step less, and racked ones not at all.", "site.runs"},
		// 16 in to each bay: 7 ft 4 in at its low post.
		{"tall steps", "a: 0,0 24,0 ground=0:0 ground=24:4", stepped, "tall-posts",
			"Steps, or gates on a slope, leave 3 posts up to 7 ft 4 in above grade, where the fence is 6 ft high; their holes are still those of the fence's height, 6 ft. A taller post takes more wind: have its depth and section checked.", "site.runs"},
		// 4 ft wide, its posts 4 ft 5-1/2 in apart, on 1 in 10: 5.35 in.
		{"a gate on a slope", "a: 0,0 40,0 gate=g@20x4 ground=0:0 ground=40:4", bare(), "gate-on-slope",
			`Gate "g": the ground changes by 5-3/8 in under its opening; its leaves hang level above the highest of it and must clear the ground where they swing.`, "site.runs[0].gates[0]"},
		{"a pin beside an end", "a: 0,0 24,0 pin=5in", bare(), "holes-overlap",
			"The holes of 1 pair of neighbouring posts reach into one another, the most by 7 in at P1 and P2: no earth is left between them, and concrete is counted in both. Dig them as one, or move a post.", "site.runs"},
		{"two runs as one", "a: 0,0 30,0\nb: 30,0 60,0", pulls, "runs-go-on",
			`Runs "a" and "b" go on as one fence where they meet, at 30 ft of the first. Long straights and breaks of grade are looked for in each run by itself; draw them as one run to have pull posts across the joint.`, "site.runs[1]"},
		{"a fence close by", "a: 0,0 24,0 beside=left@2..20@5in", bare(), "no-access",
			`Run "a", 2 ft to 20 ft: a fence stands 5 in off on the left, the side of the boards, and fastening them from there takes about 2 ft; hang them on the other side, or build panels and stand them up.`, "site.runs[0].neighbours[0]"},
		{"a fence over the holes", "a: 0,0 24,0 beside=left@2..20@5in", bare(), "hole-near-neighbour",
			`Run "a", 2 ft to 20 ft: holes 1 ft across reach under the fence that stands 5 in off on the left; dig there by hand and guard its footings.`, "site.runs[0].neighbours[0]"},
	} {
		t.Run(c.name, func(t *testing.T) {
			l := plan(t, c.site, c.spec)
			for _, got := range l.Cautions {
				if got.Code == c.code {
					if got.Text != c.text || got.Field != c.field {
						t.Errorf("%s\n%s\nwant %s\n%s", got.Field, got.Text, c.field, c.text)
					}
					return
				}
			}
			t.Errorf("no such caution in %v", l.Cautions)
		})
	}
}
