package layout_test

import (
	"errors"
	"strings"
	"testing"

	"wattle/internal/fault"
	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/spec"
)

// One answer lists everything wrong, of the site, the spec and the two
// together.
func TestBadInput(t *testing.T) {
	plain := func(*spec.Spec) {}
	for _, c := range []struct {
		name, site string
		change     func(*spec.Spec)
		want       []string // the start of each violation, in order
	}{
		{"no runs", "", plain, []string{"site.runs: expected at least one run"}},
		{"a run without length", "a: 5,5 5,5", plain, []string{"site.runs[0].vertices[1]: the same point"}},
		{"a gate wider than its leg", "a: 0,0 10,0 gate=g@0x11", plain, []string{"site.runs[0].gates[0].width: an opening of 11 ft is wider than its leg"}},
		{"a gate as wide as its leg", "a: 0,0 20,0 20,10 gate=g@20x10x2", plain,
			[]string{"site.runs[0].gates[0].width: an opening of 10 ft with a post of 5-1/2 in on either side is wider than its stretch, 10 ft from 20 ft to 30 ft"}},
		{"a gate over a corner", "a: 0,0 20,0 20,20 gate=g@18x4", plain, []string{"site.runs[0].gates[0].station: an opening from 18 ft to 22 ft passes the vertex at 20 ft"}},
		{"a gate post in a corner's", "a: 0,0 20,0 20,20 gate=g@20'3\"x3", plain,
			[]string{`site.runs[0].gates[0].station: the post at vertex 1 and the first post of gate "g" would overlap: their centres are 1-1/4 in apart along the run and need 3-1/2 in`}},
		{"a gate post past a corner", "a: 0,0 20,0 20,20 gate=g@17x3", plain,
			[]string{`site.runs[0].gates[0].station: the second post of gate "g" would stand 1-3/4 in past the post at vertex 1, which comes after it`}},
		{"a gate before the start", "a: 0,0 20,0 gate=g@0x3", plain,
			[]string{`site.runs[0].gates[0].station: the end post at 0 in would stand 1-3/4 in past the first post of gate "g"`}},
		{"a gate at a wall", "a: wall 0,0 20,0 gate=g@0x3", plain,
			[]string{`site.runs[0].gates[0].station: the post beside the wall at 1-3/4 in would stand 3-1/2 in past the first post of gate "g"`}},
		{"gates overlap", "a: 0,0 40,0 gate=g@10x4 gate=h@13x4", plain,
			[]string{`site.runs[0].gates[1].station: gate "h" from 13 ft to 17 ft overlaps gate "g" from 10 ft to 14 ft`}},
		{"gates without room for a post", "a: 0,0 40,0 gate=h@13'1\"x3 gate=g@10x3", plain,
			[]string{`site.runs[0].gates[0].station: the second post of gate "g" would stand 2-1/2 in past the first post of gate "h", which comes after it`}},
		{"gates with room for half a post more", "a: 0,0 40,0 gate=g@10x3 gate=h@13'5\"x3", plain,
			[]string{`site.runs[0].gates[1].station: the second post of gate "g" and the first post of gate "h" would overlap: their centres are 1-1/2 in apart`}},
		{"no room for a leaf", "a: 0,0 40,0 gate=g@10x1in gate=h@20x2inx2", plain,
			[]string{"site.runs[0].gates[0].width: an opening of 1 in leaves nothing for a leaf", "site.runs[0].gates[1].width: an opening of 2 in leaves nothing"}},
		{"vertices closer than posts", "a: 0,0 20,0 20,3in 40,3in", plain,
			[]string{"site.runs[0].vertices[2]: the post at vertex 1 and the post at vertex 2 would overlap: their centres are 3 in apart along the run and need 3-1/2 in"}},
		{"a loop that nearly repeats its start", "a: 0,0 20,0 20,20 1/64in,0 closed", plain,
			[]string{"site.runs[0].vertices[3]: stands 1/64 in from the first vertex and nearly repeats it"}},
		{"a loop that closes too near", "a: 0,0 20,0 20,20 3in,0 closed", plain,
			[]string{"site.runs[0].vertices[0]: the post at vertex 3 and the post at vertex 0 would overlap: their centres are 3 in apart"}},
		{"two walls too near", "a: wall 0,0 6in,0 wall", plain,
			[]string{"site.runs[0].vertices[1]: the post beside the wall at 1-3/4 in and the post beside the wall at 4-1/4 in would overlap"}},
		{"a wall gap past the end", "a: wall+30ft 0,0 20,0", plain, []string{"site.runs[0].vertices[1]: the post beside the wall at 30 ft 1-3/4 in would stand 10 ft 1-3/4 in past the end post at 20 ft"}},
		{"posts of two runs", "a: 0,0 20,0\nb: 20,1in 20,20", plain,
			[]string{`site.runs[1]: the end post at 0 in and the end post at 20 ft of run "a" would overlap: their centres are 1 in apart and need 3-1/2 in`}},
		{"posts of one run that comes back", "a: 0,0 20,0 20,20 1in,1in", plain,
			[]string{`site.runs[0]: the end post at 68 ft 2 in and the end post at 0 in of run "a" would overlap`}},
		{"an end in a line post", "a: 0,0 64,0\nb: 32,1in 32,32", func(s *spec.Spec) { s.Layout.TerminalLimit = new(false) },
			[]string{`site.runs[1]: the end post at 0 in and the line post at 32 ft of run "a" would overlap: their centres are 1 in apart`}},
		{"branches in one another", "a: 0,0 64,0\nb: 32,0 32,32\nc: 32,-30 385in,0", func(*spec.Spec) {},
			[]string{`site.runs[0]: the post for a branch`, `site.runs[1]: the end post`, `site.runs[2]: the end post`}},
		{"reveals exceed the height", "a: 0,0 20,0", func(s *spec.Spec) { s.Rails.TopReveal, s.Rails.BottomReveal = new(3*ft), new(3*ft) },
			[]string{"spec.rails.top_reveal: top and bottom reveal of 3 ft and 3 ft exceed the board of 5 ft 10 in"}},
		{"post stock too short", "a: 0,0 20,0", func(s *spec.Spec) { s.Posts.Stock = []measure.Length{7 * ft} },
			[]string{"spec.posts.stock: a post of 8 ft (6 ft above grade, 2 ft below) needs a longer stick than any here; the longest is 7 ft"}},
		{"post stock too short for a gate", "a: 0,0 20,0 gate=g@5x3", func(s *spec.Spec) { s.Posts.Stock = []measure.Length{8 * ft} },
			[]string{"spec.posts.stock: at gates, a post of 8 ft 6 in (6 ft above grade, 2 ft 6 in below) needs a longer stick than any here; the longest is 8 ft"}},

		{"all at once", "a: 0,0 20,0 20,20 gate=g@20'3\"x3\nb: 50,0 50,0\nc: 60,0 70,0 gate=g@0x12", func(s *spec.Spec) {
			s.Layout.Method, s.Posts.Stock, s.Rails.Count = "odd", []measure.Length{8 * ft}, 1
		}, []string{
			"site.runs[1].vertices[1]", "site.runs[2].gates[0].width", "site.runs[2].gates[0].id",
			"spec.layout.method", "spec.rails.count",
			"site.runs[0].gates[0].station", "spec.posts.stock: at gates",
		}},
		{"places are checked although the boards are wrong", "a: 0,0 20,0 20,20 gate=g@20'3\"x3\nb: 20,1in 20,20", func(s *spec.Spec) { s.Boards.Gap = -1 },
			[]string{"spec.boards.gap", "site.runs[0].gates[0].station", "site.runs[1]: "}},
		{"no places without posts", "a: 0,0 20,0 20,20 gate=g@20'3\"x3", func(s *spec.Spec) { s.Posts.Size = "9x9" }, []string{"spec.posts.size"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			f := sixFoot(spec.Layout{})
			c.change(&f)
			l, err := layout.Plan(mustSite(c.site), f)
			e, ok := errors.AsType[*fault.Error](err)
			if !ok || e.Kind != fault.Invalid || l != nil {
				t.Fatalf("got %v, %v; want no layout and an invalid request", l, err)
			}
			same := len(e.Violations) == len(c.want)
			for i, v := range e.Violations {
				same = same && strings.HasPrefix(v.Field+": "+v.Description, c.want[i])
			}
			if !same {
				t.Errorf("got %v\nwant\n  %s", e, strings.Join(c.want, "\n  "))
			}
		})
	}
}
