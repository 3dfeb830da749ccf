package layout_test

import (
	"fmt"
	"strings"
	"testing"

	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/spec"
)

// turning is a run that turns by so many degrees at its middle vertex, after 90
// ft, as exactly as coordinates in nanometres can say it.
func turning(degrees float64) string {
	far := measure.Step(measure.Angle(degrees*1e9), 90*ft)
	return fmt.Sprintf("a: 0,0 90,0 %dnm,%dnm", 90*ft+far.East, far.North)
}

// The rule sets classify turns of the line as their sources do. A degree beside
// the limits, since coordinates cannot hold an angle to the last digit.
func TestAlignmentInPlan(t *testing.T) {
	for _, c := range []struct {
		rules   string
		degrees float64
		want    layout.Role
		because layout.Because
	}{
		{"highway-steel", 4.9, layout.Bend, ""}, // [DT-1] Caltrans s. 80: corner over 5 deg, steel posts
		{"highway-steel", 5.1, layout.Corner, ""},
		{"highway-wood", 14.9, layout.Bend, ""}, // [DT-1] over 15 deg, wood posts
		{"highway-wood", 15.1, layout.Corner, ""},
		{"highway-chain-link", 14.9, layout.Bend, ""}, // [DT-2] Florida DOT Index 802: corner from 15 deg
		{"highway-chain-link", 15.1, layout.Corner, ""},
		{"woven-wire", 0.9, layout.Bend, ""}, // [DT-7] item 607: 1..4, 4..30, from 30 deg
		{"woven-wire", 1.1, layout.Bend, layout.ByConcrete},
		{"woven-wire", 3.9, layout.Bend, layout.ByConcrete},
		{"woven-wire", 4.1, layout.Pull, layout.ByAnchor},
		{"woven-wire", 29.9, layout.Pull, layout.ByAnchor},
		{"woven-wire", 30.1, layout.Corner, ""},
		{"highway-grade", 9.9, layout.Bend, ""}, // [DT-8] Iowa DOT 2519: corner from 10 deg
		{"highway-grade", 10.1, layout.Corner, ""},
		{"trade", 9.9, layout.Bend, ""}, // common practice
		{"trade", 10.1, layout.Corner, ""},
	} {
		for _, sign := range []float64{1, -1} {
			f := bare()
			f.Alignment.Rules = c.rules
			l := plan(t, turning(sign*c.degrees), f)
			var at layout.Post
			for _, p := range l.Posts {
				if p.Visits[0].Station == 90*ft {
					at = p
				}
			}
			if at.Role != c.want || at.Because != c.because {
				t.Errorf("%s, %v deg: %s %q, want %s %q", c.rules, sign*c.degrees, at.Role, at.Because, c.want, c.because)
			}
		}
	}
}

// Vertical breaks take a pull post from 15 degrees [DT-2] or 30 [DT-8] on. A
// grade of 25 % stands at 14.04 degrees, of 28 % at 15.64, 60 % at 30.96.
func TestGradeBreaks(t *testing.T) {
	for _, c := range []struct {
		rules string
		rise  string // over the second 40 ft
		want  string
	}{
		{"highway-chain-link", "10", ""},
		{"highway-chain-link", "11.2", "0@40 ft"},
		{"highway-grade", "11.2", ""},
		{"highway-grade", "24", "0@40 ft"},
		{"trade", "24", ""},
	} {
		f := bare()
		f.Alignment.Rules = c.rules
		l := plan(t, "a: 0,0 80,0 ground=0:0 ground=40:0 ground=80:"+c.rise, f)
		if got := strings.Join(posts(l, layout.Pull), " "); got != c.want {
			t.Errorf("%s, %s ft: pull posts %q, want %q", c.rules, c.rise, got, c.want)
		}
	}
}

func TestPullPosts(t *testing.T) {
	for _, c := range []struct{ name, rules, site, want string }{
		{"short enough", "highway-chain-link", "a: 0,0 350,0", ""},
		{"about every 350 ft", "highway-chain-link", "a: 0,0 900,0", "0@300 ft 0@600 ft"},
		{"between gates", "highway-chain-link", "a: 0,0 800,0 gate=g@399x4", "0@199 ft 4-5/8 in 0@601 ft 7-3/8 in"},
		{"at a bend near by", "highway-chain-link", "a: 0,0 300,0 600,20", "0@300 ft"},
		{"not at a bend farther off", "highway-chain-link", "a: 0,0 310,0 600,20", "0@300 ft 4-1/8 in"},
		{"anchors at most 660 ft apart", "woven-wire", "a: 0,0 1320,0", "0@660 ft"},
		{"around a loop", "highway-chain-link", "a: 0,0 360,0 360,100 0,100 closed", "0@180 ft 0@640 ft"},
		{"back out of a keep-out", "highway-chain-link", "a: 0,0 600,0 keep=gas@299..301", "0@298 ft 6 in"},
		{"on out of a keep-out, where back would take one more", "pulls-40", "a: 0,0 160,0 gate=g@78x4 keep=h@119..121", "0@38 ft 10-5/8 in 0@121 ft 6 in"},
		{"none asked for", "trade", "a: 0,0 2000,0", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			f := bare()
			f.Alignment.Rules = c.rules
			if c.rules == "pulls-40" {
				f.Alignment = spec.Alignment{PullSpacing: 40 * ft}
			}
			l := plan(t, c.site, f)
			if got := strings.Join(posts(l, layout.Pull), " "); got != c.want {
				t.Errorf("pull posts %q, want %q", got, c.want)
			}
			for _, st := range l.Stretches {
				for _, e := range []layout.StretchEnd{st.StartEnd, st.FinishEnd} {
					if l.Posts[e.Post].Role == layout.Pull && !e.Terminal {
						t.Errorf("rails pass the pull post %s", l.Posts[e.Post].ID)
					}
				}
			}
		})
	}
}

// Vertices inside an arc are bends whatever they turn by.
func TestArcVertices(t *testing.T) {
	l := plan(t, "a: 0,0 7,0 12,5 12,12 chord=1 chord=2", bare())
	if got := strings.Join(posts(l, layout.Bend), " "); got != "0@7 ft 0@14 ft 0-7/8 in" {
		t.Errorf("bends %q", got)
	}
}

// A run may start at another's line post: no post of that run moves.
func TestAttachedEnds(t *testing.T) {
	alone := plan(t, "a: 0,0 60,0", sixFoot(spec.Layout{}))
	both := plan(t, "a: 0,0 60,0\nb: of=a 23,0.5 23,30", sixFoot(spec.Layout{}))
	if len(both.Bays) <= len(alone.Bays) {
		t.Fatalf("%d bays", len(both.Bays))
	}
	for i, b := range alone.Bays {
		if both.Bays[i].Width != b.Width {
			t.Errorf("bay %d is %s, alone %s", i, both.Bays[i].Width, b.Width)
		}
	}
	if got := strings.Join(posts(both, layout.Junction), ""); got != "0@22 ft 6 in 1@0 in" {
		t.Errorf("junction %q", got)
	}
	if hasCaution(both, "runs-cross") {
		t.Errorf("cautions %v", both.Cautions)
	}
	last := both.Stretches[len(both.Stretches)-1]
	if !last.StartEnd.Terminal {
		t.Error("the branch's rails do not end at the junction")
	}
	_, err := layout.Plan(mustSite("a: 0,0 60,0\nb: of=a 23,9 23,30"), sixFoot(spec.Layout{}))
	if err == nil || !strings.Contains(err.Error(), "site.runs[1].start.line_post_of: no line post of run \"a\" stands within a bay of there, 8 ft") {
		t.Errorf("got %v", err)
	}
}

// All else of an attached run stays where it was measured: its gate, its pin and
// the ground stand as far from its far end as they did.
func TestAttachedRunKeepsItsPlaces(t *testing.T) {
	const run = "gate=g@10x3 pin=20 keep=gas@24..25 ground=0:0 ground=6:5 ground=40:5"
	l := plan(t, "a: 0,0 60,0 ground=0:0\nb: of=a 22.5,3 22.5,43 "+run, sixFoot(spec.Layout{}))
	// The start moves 3 ft back to the line post at 22 ft 6 in.
	find := func(station measure.Length) (p layout.Post) {
		for _, p = range l.Posts {
			if p.Visits[0] == (layout.Visit{Run: 1, Station: station}) {
				return p
			}
		}
		t.Fatalf("no post at %s of %v", station.Imperial(), posts(l, layout.Pinned))
		return p
	}
	if p := find(23 * ft); p.At.North != 23*ft || p.Role != layout.Pinned || p.Ground != 5*ft {
		t.Errorf("pin %+v", p)
	}
	if o := l.Openings[0]; l.Posts[o.Start].At.North != 13*ft-1*in-3*in/4 {
		t.Errorf("gate post %+v", l.Posts[o.Start].At)
	}
	for _, b := range l.Barred {
		if b.From != 27*ft || b.To != 28*ft {
			t.Errorf("keep-out %s..%s", b.From.Imperial(), b.To.Imperial())
		}
	}
}

// A gate at an attached end hangs on a post of a gate's size in a gate's hole,
// at whichever end of the run.
func TestGateAtAnAttachedEnd(t *testing.T) {
	for _, b := range []string{"b: of=a 8,0 8,20 gate=g@2.75inx4", "b: 8,20 8,0 of=a gate=g@15'9.25\"x4"} {
		l := plan(t, "a: 0,0 24,0\n"+b, bare())
		p := l.Posts[1]
		if p.Role != layout.GateHinge && p.Role != layout.GateLatch || p.Size != "6x6" || p.Hole.Diameter != 18*in || p.Stock != 10*ft || len(p.Visits) != 2 {
			t.Errorf("%s: %+v", b, p)
		}
	}
	_, err := layout.Plan(mustSite("a: 0,0 24,0 keep=gas@8.6..9\nb: of=a 8,0 8,20 gate=g@2.75inx4"), bare())
	if err == nil || !strings.Contains(err.Error(), `site.runs[1].start.line_post_of: the gate's post there needs a wider hole`) {
		t.Errorf("got %v", err)
	}
}

// Where the run that another starts at cannot be planned by itself, that is
// said, although the site as a whole could be.
func TestHostThatCannotBePlannedAlone(t *testing.T) {
	f := bare()
	f.Slope.MaxRack = measure.Must("0.7 ft")
	_, err := layout.Plan(mustSite("a: 0,0 16,0 ground=0:0 ground=16:2.2\nb: of=a 3,1 3,10 8,10 8,0"), f)
	if err == nil || !strings.Contains(err.Error(), "the runs that others start at cannot be planned without those") {
		t.Errorf("got %v", err)
	}
}

// What reached a moved end follows it, and what is off the run now is gone.
func TestAttachedRunCutShort(t *testing.T) {
	for _, b := range []string{
		"b: of=a 8,-3 8,20 step=0..2", "b: of=a 8,-3 8,20 beside=left@0..2@8in", "b: of=a 8,-3 8,20 keep=k@0..2",
		"b: 8,20 8,-3 of=a step=21..23", "b: of=a 8,1 8,20 step=0..19 ground=0:0 ground=19:2",
	} {
		l := plan(t, "a: 0,0 24,0 ground=0:0 ground=24:0\n"+b, bare())
		if got := posts(l, layout.Pinned); len(got) > 0 && !strings.Contains(b, "ground") {
			t.Errorf("%s: pinned %q", b, got)
		}
		if hasCaution(l, "ground-extended") {
			t.Errorf("%s: %v", b, l.Cautions)
		}
	}
}

// Of three ends at one post, two that go on with an anchor's turn both end at
// it, as a run with a vertex there does [DT-7].
func TestAnchorWhereThreeMeet(t *testing.T) {
	f := bare()
	f.Alignment.Rules = "woven-wire"
	l := plan(t, "a: 0,0 24,0\nb: 24,0 47,5\nc: 24,-10 24,0", f)
	for _, p := range l.Posts {
		if len(p.Visits) == 3 && (p.Role != layout.Junction || p.Because != layout.ByAnchor) {
			t.Errorf("%+v", p)
		}
	}
	for _, st := range l.Stretches {
		if !st.StartEnd.Terminal || !st.FinishEnd.Terminal {
			t.Errorf("rails pass a post: %+v", st)
		}
	}
	f.Alignment.Rules = "highway-chain-link"
	if l := plan(t, "a: 0,0 300,0\nb: 300,0 600,0", f); !hasCaution(l, "runs-go-on") {
		t.Errorf("cautions %v", l.Cautions)
	}
}
