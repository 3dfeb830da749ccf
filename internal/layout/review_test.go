package layout_test

import (
	"strings"
	"testing"

	"wattle/internal/fault"
	"wattle/internal/layout"
	"wattle/internal/spec"
)

// What stands at one place for two reasons is one post.
func TestPostsOfTwoReasons(t *testing.T) {
	highway := bare()
	highway.Alignment.Rules = "highway-chain-link" // pull posts at most 350 ft apart
	for _, c := range []struct{ name, site, want string }{
		// Posts that take a pull or are fixed otherwise: role@station.
		{"a pull post is the pinned post near by", "a: 0,0 600,0 pin=299", "end@0 in; pull@299 ft; end@600 ft"},
		{"and stays the old post", "a: 0,0 600,0 old=301", "end@0 in; pull@301 ft old; end@600 ft"},
		{"a pull post stays out of a gate", "a: 0,0 604,0 gate=g@300x4", "end@0 in; gate hinge@299 ft 9-1/4 in; gate latch@304 ft 2-3/4 in; end@604 ft"},
		{"an old post at a corner", "a: 0,0 20,0 20,20 old=20", "end@0 in; corner@20 ft old; end@40 ft"},
		{"an old post at a gate", "a: 0,0 40,0 gate=g@10x3 old=9'10.25\"", "end@0 in; gate hinge@9 ft 10-1/4 in old; gate latch@13 ft 1-3/4 in; end@40 ft"},
		{"an old post beside a wall", "a: wall 0,0 20,0 old=1.75in", "tie-in@1-3/4 in old; end@20 ft"},
		{"a pin and the end of a slope part", "a: 0,0 60,0 step=20..40 pin=20'2\"", "end@0 in; pinned@20 ft 2 in; pinned@40 ft; end@60 ft"},
		{"a slope part ends in a gate's opening", "a: 0,0 60,0 gate=g@20x4 step=0..22", "end@0 in; gate hinge@19 ft 9-1/4 in; gate latch@24 ft 2-3/4 in; end@60 ft"},
		{"a slope part begins behind a wall's gap", "a: wall+6in 0,0 60,0 step=0..20", "tie-in@7-3/4 in; pinned@20 ft; end@60 ft"},
	} {
		t.Run(c.name, func(t *testing.T) {
			var got []string
			for _, p := range plan(t, c.site, highway).Posts {
				if p.Role == layout.Line {
					continue
				}
				text := p.Role.String() + "@" + p.Visits[0].Station.Imperial()
				if p.Existing {
					text += " old"
				}
				got = append(got, text)
			}
			if strings.Join(got, "; ") != c.want {
				t.Errorf("got  %s\nwant %s", strings.Join(got, "; "), c.want)
			}
		})
	}
}

// Rails lap a pull post as they do an end, so the bays beside it are limited.
func TestLapBesidePullPosts(t *testing.T) {
	f := sixFoot(spec.Layout{Method: spec.Remainder, ShortEnd: spec.Finish})
	f.Alignment.PullSpacing = 40 * ft
	l := plan(t, "a: 0,0 80,0", f)
	for _, st := range l.Stretches {
		bays := l.Bays[st.FirstBay : st.FirstBay+st.Bays]
		if first := bays[0]; first.Width != 8*ft-in*7/4 || first.Rail != 8*ft {
			t.Errorf("the bay at %s is %s, its rail %s", st.Start, first.Width, first.Rail)
		}
		if last := bays[len(bays)-1]; last.Limit != 8*ft-in*7/4 {
			t.Errorf("the bay before %s may be %s", st.End, last.Limit)
		}
	}
}

// The boards run on to the wall from the post beside it, pins or not.
func TestWallAndPins(t *testing.T) {
	l := plan(t, "a: wall+2in 0,0 40,0 wall pin=20", bare())
	first, last := l.Stretches[0], l.Stretches[1]
	if first.StartEnd.Wall != in*15/4 || first.FinishEnd.Wall != 0 || last.StartEnd.Wall != 0 || last.FinishEnd.Wall != in*7/4 {
		t.Errorf("%+v\n%+v", first, last)
	}
}

// A keep-out near the start of a loop is near its end as well.
func TestKeepOutAcrossALoopsStart(t *testing.T) {
	for _, c := range []struct{ keep, want string }{
		{"keep=gas@7in..1", ""},
		{"keep=gas@5in..1", "the post at vertex 0"},
		{"keep=gas@79..79'6\"", ""},
		{"keep=gas@79..79'7\"", "the post at vertex 0"},
	} {
		_, err := layout.Plan(mustSite("a: 0,0 20,0 20,20 0,20 closed "+c.keep), bare())
		if (err == nil) != (c.want == "") || err != nil && !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %q", c.keep, err, c.want)
		}
	}
}

// A run without ground that shares a post with one that has some is taken as
// level at zero, and the estimator is told.
func TestGroundOfOneRunAlone(t *testing.T) {
	if l := plan(t, "a: 0,0 20,0 ground=0:0 ground=20:2\nb: 20,0 40,0", bare()); !hasCaution(l, "ground-differs") {
		t.Errorf("cautions %v", l.Cautions)
	}
	if l := plan(t, "a: 0,0 20,0 ground=0:2 ground=20:0\nb: 20,0 40,0", bare()); hasCaution(l, "ground-differs") {
		t.Errorf("cautions %v", l.Cautions)
	}
}

// Bends closer than half a bay do not hold the pull posts up.
func TestPullPostsAmongBends(t *testing.T) {
	f := bare()
	f.Layout.MaxBay, f.Layout.RailStock, f.Alignment.PullSpacing = 60*ft, 60*ft, 20*ft
	l := plan(t, "a: 0,0 15,0 25,0.1 35,0 80,0", f)
	if got := posts(l, layout.Pull); len(got) < 3 {
		t.Errorf("pull posts %q", got)
	}
}

// Too much of anything is refused as such.
func TestTooManyCrossings(t *testing.T) {
	const n = 230 // 52,900 crossings
	s := fieldOf(n)
	if _, err := layout.Plan(s, sixFoot(spec.Layout{})); fault.KindOf(err) != fault.Exhausted {
		t.Errorf("got %v", err)
	}
	l, err := layout.Plan(fieldOf(20), sixFoot(spec.Layout{}))
	if err != nil {
		t.Fatal(err)
	}
	if got := len(posts(l, layout.Junction)); got != 400 {
		t.Errorf("%d junctions", got)
	}
	if len(l.Cautions) > 0 {
		t.Errorf("cautions %v", l.Cautions)
	}
}
