package layout_test

import (
	"strings"
	"testing"

	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/spec"
)

// On 20 % an interior bay of square-ended 8 ft rail is 94.14 in, beside a 4x4
// terminal 92.39 in, and of plumb-cut 3-1/2 in rail 93.45 in (computed, from
// the rule that the rail along the slope fits its stock).
func TestBaysOnTwentyPercent(t *testing.T) {
	for _, c := range []struct {
		name           string
		ends           spec.RailEnds
		inner, beside  float64 // in
		innerRail, end float64 // cut lengths, in
	}{
		{"square", spec.SquareEnds, 94.14, 92.39, 96, 96},
		{"plumb", spec.PlumbEnds, 93.45, 91.70, 96, 96},
	} {
		t.Run(c.name, func(t *testing.T) {
			f := sixFoot(spec.Layout{Method: spec.Remainder, ShortEnd: spec.Finish})
			f.Slope.RailEnds = c.ends
			l := plan(t, "a: 0,0 100,0 ground=0:0 ground=100:20", f)
			for i, want := range []float64{c.beside, c.inner} {
				b := l.Bays[i]
				if got := float64(b.Width) / float64(in); got < want-0.005 || got > want+0.005 {
					t.Errorf("bay %d is %.3f in, want %.2f", i, got, want)
				}
				if got := float64(b.Rail) / float64(in); got < 95.999 || got > 96 {
					t.Errorf("bay %d has a rail of %.4f in, want all of its 8 ft", i, got)
				}
				if b.Limit != b.Width {
					t.Errorf("bay %d: limit %s, width %s", i, b.Limit, b.Width)
				}
			}
			rise := measure.Length(0)
			for i, b := range l.Bays {
				rise += b.Rise
				if want := l.Posts[b.Start].Ground + f.Height; b.Top != want {
					t.Errorf("bay %d: top %s, want %s", i, b.Top, want)
				}
			}
			if rise != 20*ft || l.Posts[len(l.Posts)-1].Ground != 20*ft || l.Posts[len(l.Posts)-1].Top() != 26*ft {
				t.Errorf("the ground rises %s to %s", rise, l.Posts[len(l.Posts)-1].Ground)
			}
		})
	}
}

// Chain link measures its spacing along the grade [AS-1, ASTM F567-07 4.1].
func TestSpacingAlongTheGrade(t *testing.T) {
	f := sixFoot(spec.Layout{MaxBay: 10 * ft, TerminalLimit: new(false), RailStock: 21 * ft})
	f.Slope.AlongGrade = new(true)
	l := plan(t, "a: 0,0 96,0 ground=0:0 ground=96:28", f) // 96 by 28 is 100 along
	if got := widths(l.Bays, exact); got != "10 x 9 ft 7-1/5 in" && len(l.Bays) != 10 {
		t.Errorf("bays %s", got)
	}
	if l.Bays[0].Limit.Abs()-measure.Must("9.6 ft") > 0 {
		t.Errorf("limit %s, want 9.6 ft", l.Bays[0].Limit)
	}
}

// A fence down 3 ft in 24, stepped: level bays of 8 ft, each a foot lower.
//
//	_____
//	     |_____
//	           |_____
func TestStepped(t *testing.T) {
	f := sixFoot(spec.Layout{TerminalLimit: new(false)})
	f.Slope.Mode = spec.Stepped
	f.Posts.Stock = []measure.Length{8 * ft, 10 * ft}
	l := plan(t, "a: 0,0 24,0 ground=0:3 ground=24:0", f)
	for i, want := range []struct{ top, most, fill measure.Length }{
		{9 * ft, 14 * in, 12 * in}, {8 * ft, 14 * in, 12 * in}, {7 * ft, 14 * in, 12 * in},
	} {
		b := l.Bays[i]
		if b.Top != want.top || b.MostGap != want.most || b.LeastGap != 2*in || b.Fill != want.fill || b.Rail != 8*ft || b.Rise != -ft {
			t.Errorf("bay %d: %+v", i, b)
		}
	}
	// A post carries the higher of its two bays; 2 ft stand in the ground.
	for i, want := range []struct{ ground, above, stock measure.Length }{
		{3 * ft, 6 * ft, 8 * ft}, {2 * ft, 7 * ft, 10 * ft}, {ft, 7 * ft, 10 * ft}, {0, 7 * ft, 10 * ft},
	} {
		p := l.Posts[i]
		if p.Ground != want.ground || p.AboveGrade != want.above || p.Stock != want.stock {
			t.Errorf("%s: ground %s, %s above grade, stock %s", p.ID, p.Ground, p.AboveGrade, p.Stock)
		}
	}
	if !hasCaution(l, "ground-gap") || !hasCaution(l, "ground-lengthens-posts") {
		t.Errorf("cautions %v", l.Cautions)
	}
}

// A stretch of 40 ft over a rise of 9 ft is 41 ft along the ground.
func TestAlong(t *testing.T) {
	l := plan(t, "a: 0,0 40,0 ground=0:0 ground=40:9", bare())
	if got := l.Along(l.Stretches[0]); (got - 41*ft).Abs() > 10 {
		t.Errorf("%s along the ground", got)
	}
	l = plan(t, "a: 0,0 40,0", bare())
	if got := l.Along(l.Stretches[0]); got != 40*ft {
		t.Errorf("%s along level ground", got)
	}
}

// Steps of 16 in leave posts 16 in taller than the fence.
func TestTallPosts(t *testing.T) {
	f := bare()
	f.Slope.Mode, f.Posts.Stock = spec.Stepped, []measure.Length{8 * ft, 10 * ft}
	if l := plan(t, "a: 0,0 24,0 ground=0:0 ground=24:4", f); !hasCaution(l, "tall-posts") {
		t.Errorf("cautions %v", l.Cautions)
	}
	if l := plan(t, "a: 0,0 24,0 ground=0:0 ground=24:2", f); hasCaution(l, "tall-posts") {
		t.Errorf("cautions %v", l.Cautions)
	}
}

func hasCaution(l *layout.Layout, code string) bool {
	for _, c := range l.Cautions {
		if c.Code == code {
			return true
		}
	}
	return false
}

// A run may be racked in one part and stepped in another; a post stands where
// they meet.
func TestModesByPart(t *testing.T) {
	l := plan(t, "a: 0,0 60,0 ground=0:0 ground=60:6 step=20..40", sixFoot(spec.Layout{}))
	var got []string
	for _, st := range l.Stretches {
		mode := "racked"
		if st.Stepped {
			mode = "stepped"
		}
		got = append(got, st.Start.Imperial()+" "+mode)
	}
	if want := "0 in racked, 20 ft stepped, 40 ft racked"; strings.Join(got, ", ") != want {
		t.Errorf("got %s, want %s", strings.Join(got, ", "), want)
	}
	if got := posts(l, layout.Pinned); strings.Join(got, " ") != "0@20 ft 0@40 ft" {
		t.Errorf("posts between the parts: %q", got)
	}
}

// A dip and a hump of the ground inside a racked bay show as gaps.
func TestRackedGaps(t *testing.T) {
	l := plan(t, "a: 0,0 8,0 16,0 ground=0:0 ground=4:-0.5 ground=8:0 ground=12:0.25 ground=16:0", sixFoot(spec.Layout{TerminalLimit: new(false)}))
	dip, hump := l.Bays[0], l.Bays[1]
	if dip.MostGap != 8*in || dip.LeastGap != 2*in || dip.Fill != 6*in || dip.Rise != 0 || dip.Rail != 8*ft {
		t.Errorf("over the dip: %+v", dip)
	}
	if hump.MostGap != 2*in || hump.LeastGap != -in || hump.Fill != 0 {
		t.Errorf("over the hump: %+v", hump)
	}
	if !hasCaution(l, "ground-gap") || !hasCaution(l, "ground-touches-boards") {
		t.Errorf("cautions %v", l.Cautions)
	}
}

// Where the grade changes between posts, every rail still comes out of its
// stock, in the fewest bays that allow that.
func TestChangingGrade(t *testing.T) {
	f := sixFoot(spec.Layout{})
	l := plan(t, "a: 0,0 64,0 ground=0:0 ground=30:0 ground=40:5 ground=64:5", f)
	for i, b := range l.Bays {
		if b.Rail > 8*ft || b.Width > b.Limit {
			t.Errorf("bay %d: rail %s, width %s, limit %s", i, b.Rail, b.Width, b.Limit)
		}
	}
	if len(l.Bays) != 9 { // eight of 8 ft would do on the level but for the terminal posts
		t.Errorf("%d bays", len(l.Bays))
	}
}

func TestGateOnASlope(t *testing.T) {
	l := plan(t, "a: 0,0 40,0 gate=g@20x4 ground=0:0 ground=40:4", sixFoot(spec.Layout{}))
	o := l.Openings[0]
	low, high := l.Posts[o.Start], l.Posts[o.End]
	if low.Top() != high.Top() || high.AboveGrade != 6*ft || low.AboveGrade <= 6*ft {
		t.Errorf("tops %s and %s", low.Top(), high.Top())
	}
	if !hasCaution(l, "gate-on-slope") {
		t.Errorf("cautions %v", l.Cautions)
	}
}

// A hump inside an opening lifts the leaves, and so the tops of both posts.
func TestHumpUnderAGate(t *testing.T) {
	l := plan(t, "a: 0,0 40,0 gate=g@18x4 ground=0:0 ground=18:0 ground=20:1 ground=22:0 ground=40:0", bare())
	o := l.Openings[0]
	if l.Posts[o.Start].Top() != 7*ft || l.Posts[o.End].Top() != 7*ft || !hasCaution(l, "gate-on-slope") {
		t.Errorf("tops %s, %s; %v", l.Posts[o.Start].Top(), l.Posts[o.End].Top(), l.Cautions)
	}
}

// Where two runs disagree about the ground at their post, it reaches the boards
// of both.
func TestTopsWhereGroundDiffers(t *testing.T) {
	l := plan(t, "a: 0,0 16,0 ground=0:2\nb: 16,0 16,16 ground=0:3", bare())
	for _, p := range l.Posts {
		if len(p.Visits) == 2 && p.Top() != 9*ft {
			t.Errorf("top %s", p.Top())
		}
	}
}

// How tall a kept post must be is told.
func TestKeptPostsOnSteps(t *testing.T) {
	f := bare()
	f.Slope.Mode, f.Posts.Stock = spec.Stepped, []measure.Length{8 * ft, 10 * ft}
	l := plan(t, "a: 0,0 16,0 old=8 ground=0:0 ground=16:3", f)
	for _, c := range l.Cautions {
		if c.Code == "existing-posts" && !strings.Contains(c.Text, "(P2, which must stand 7 ft 6 in above grade)") {
			t.Error(c.Text)
		}
	}
}

func TestGroundRefusals(t *testing.T) {
	for _, c := range []struct {
		name, site string
		change     func(*spec.Spec)
		want       string
	}{
		{"rack past a panel's limit", "a: 0,0 24,0 ground=0:0 ground=24:6", func(s *spec.Spec) { s.Slope.MaxRack = ft },
			"site.runs[0].ground: 4 bays would rack too far, the worst"},
		{"a gap that is refused", "a: 0,0 24,0 ground=0:0 ground=24:6", func(s *spec.Spec) { s.Slope.Mode, s.Slope.Fill = spec.Stepped, spec.Refuse },
			"site.runs[0].ground: 4 bays would leave a gap to the ground over 4 in, the widest 1 ft 8 in"},
		{"no stock so long", "a: 0,0 24,0 ground=0:0 ground=24:12", func(s *spec.Spec) { s.Slope.Mode, s.Posts.Stock = spec.Stepped, []measure.Length{8 * ft} },
			"site.runs[0].ground: the post at 0 in would stand 9 ft above grade and 2 ft below it, and no post stock is 11 ft long"},
	} {
		t.Run(c.name, func(t *testing.T) {
			f := sixFoot(spec.Layout{})
			c.change(&f)
			_, err := layout.Plan(mustSite(c.site), f)
			if err == nil || !strings.Contains(err.Error(), c.want) {
				t.Errorf("got %v\nwant %s", err, c.want)
			}
		})
	}
}

func TestGroundOfTwoRuns(t *testing.T) {
	s := mustSite("a: 0,0 20,0 ground=0:0 ground=20:2\nb: 20,0 40,0 ground=0:3")
	l, err := layout.Plan(s, sixFoot(spec.Layout{}))
	if err != nil {
		t.Fatal(err)
	}
	if !hasCaution(l, "ground-differs") {
		t.Errorf("cautions %v", l.Cautions)
	}
}

// Posts on ground that is level but for the rounding of elevations are no
// taller, and bought no longer, than on the level; no gap is filled and no hump
// told for it.
func TestRoundedGround(t *testing.T) {
	f := sixFoot(spec.Layout{})
	f.Slope.Mode, f.GroundClearance = spec.Stepped, new(measure.Length(0))
	f.Slope.MaxGroundGap = new(measure.Length(0))
	l := plan(t, "a: 0,0 40,0 ground=0:0 ground=17:1nm ground=23:-1nm ground=40:2nm", f)
	for _, p := range l.Posts {
		if p.Stock != 8*ft {
			t.Errorf("%s is bought at %s", p.ID, p.Stock)
		}
	}
	for _, b := range l.Bays {
		if b.Fill != 0 {
			t.Errorf("filled by %s", b.Fill)
		}
	}
	f.Slope.Mode, f.Slope.MaxRack = spec.Racked, 1
	if l := plan(t, "a: 0,0 40,0 ground=0:0 ground=17:1nm ground=23:-1nm ground=40:2nm", f); len(l.Cautions) > 0 {
		t.Errorf("cautions %v", l.Cautions)
	}
}
