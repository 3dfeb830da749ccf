package layout_test

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	"wattle/internal/fault"
	"wattle/internal/layout"
	"wattle/internal/measure"
)

// stretchesOf are the stretches of a layout in words: where from, how long, how
// many bays.
func stretchesOf(l *layout.Layout) string {
	var all []string
	for _, st := range l.Stretches {
		all = append(all, fmt.Sprintf("%s+%s/%d", st.Start.Imperial(), st.Length().Imperial(), st.Bays))
	}
	return strings.Join(all, ", ")
}

// A loop that was started somewhere on a side takes no post there: the stretch
// goes on through its start. Everything keeps the stations of the request.
func TestLoopStartsWithinSide(t *testing.T) {
	for _, c := range []struct{ name, site, stretches, cautions string }{
		{"plain", "a: 10,0 20,0 20,20 0,20 0,0 closed", "10 ft+20 ft/3, 30 ft+20 ft/3, 50 ft+20 ft/3, 70 ft+20 ft/3", ""},
		{"1/8 in off the line", "a: 10,0.125in 20,0 20,20 0,20 0,0 closed", "10 ft+20 ft/3, 30 ft+20 ft/3, 50 ft+20 ft/3, 70 ft+20 ft/3", ""},
		{"3/16 in off the line", "a: 10,0.1875in 20,0 20,20 0,20 0,0 closed", "0 in+10 ft/2, 10 ft+20 ft/3, 30 ft+20 ft/3, 50 ft+20 ft/3, 70 ft+10 ft/2", ""},
		{"a gate past the start", "a: 10,0 20,0 20,20 0,20 0,0 closed gate=g@2x3", "5 ft 1-3/4 in+4 ft 10-1/4 in/1, 10 ft+20 ft/3, 30 ft+20 ft/3, 50 ft+20 ft/3, 70 ft+11 ft 10-1/4 in/2", ""},
		{"a gate before the start", "a: 10,0 20,0 20,20 0,20 0,0 closed gate=g@76x3", "10 ft+20 ft/3, 30 ft+20 ft/3, 50 ft+20 ft/3, 70 ft+5 ft 10-1/4 in/1, 79 ft 1-3/4 in+10 ft 10-1/4 in/2", ""},
		{"a gate post over the start", "a: 10,0 20,0 20,20 0,20 0,0 closed gate=g@1inx3", "3 ft 2-3/4 in+6 ft 9-1/4 in/1, 10 ft+20 ft/3, 30 ft+20 ft/3, 50 ft+20 ft/3, 70 ft+9 ft 11-1/4 in/2", ""},
		{"a pin at the start", "a: 10,0 20,0 20,20 0,20 0,0 closed pin=80", "0 in+10 ft/2, 10 ft+20 ft/3, 30 ft+20 ft/3, 50 ft+20 ft/3, 70 ft+10 ft/2", ""},
		{"a pin past the start", "a: 10,0 20,0 20,20 0,20 0,0 closed pin=4", "4 ft+6 ft/1, 10 ft+20 ft/3, 30 ft+20 ft/3, 50 ft+20 ft/3, 70 ft+14 ft/2", ""},
		{"an arc goes through the start", "a: 10,0 20,0 20,20 0,20 0,0 closed chord=0", "0 in+10 ft/2, 10 ft+20 ft/3, 30 ft+20 ft/3, 50 ft+20 ft/3, 70 ft+10 ft/2", ""},
		{"one slope part through the start", "a: 10,0 20,0 20,20 0,20 0,0 closed step=0..6 step=75..80", "6 ft+4 ft/1, 10 ft+20 ft/3, 30 ft+20 ft/3, 50 ft+20 ft/3, 70 ft+5 ft/1, 75 ft+11 ft/2", ""},
		{"two modes at the start", "a: 10,0 20,0 20,20 0,20 0,0 closed step=0..6 rack=75..80", "0 in+6 ft/1, 6 ft+4 ft/1, 10 ft+20 ft/3, 30 ft+20 ft/3, 50 ft+20 ft/3, 70 ft+5 ft/1, 75 ft+5 ft/1", ""},
		{"a slope part through the next corner", "a: 10,0 20,0 20,20 0,20 0,0 closed step=5..15", "5 ft+5 ft/1, 10 ft+5 ft/1, 15 ft+15 ft/2, 30 ft+20 ft/3, 50 ft+20 ft/3, 70 ft+15 ft/2", ""},
		{"a branch at the start", "a: 10,0 20,0 20,20 0,20 0,0 closed\nb: 10,0 10,-9", "0 in+10 ft/2, 10 ft+20 ft/3, 30 ft+20 ft/3, 50 ft+20 ft/3, 70 ft+10 ft/2, 0 in+9 ft/2", ""},
		// Post 1 of the last side would stand at 6'8" of 20 ft, at station 76'8".
		{"a keep-out before the start", "a: 10,0 20,0 20,20 0,20 0,0 closed keep=gas@76..77", "10 ft+20 ft/3, 30 ft+20 ft/3, 50 ft+20 ft/3, 70 ft+20 ft/3", "Run \"a\", 70 ft to 10 ft: keep-outs or the ground move 1 of its 2 line posts"},
		{"a keep-out past the start", "a: 10,0 20,0 20,20 0,20 0,0 closed keep=gas@3..4", "10 ft+20 ft/3, 30 ft+20 ft/3, 50 ft+20 ft/3, 70 ft+20 ft/3", "Run \"a\", 70 ft to 10 ft: keep-outs or the ground move 1 of its 2 line posts"},
	} {
		t.Run(c.name, func(t *testing.T) {
			l := plan(t, c.site, bare())
			if got := stretchesOf(l); got != c.stretches {
				t.Errorf("stretches %s\nwant      %s", got, c.stretches)
			}
			var said []string
			for _, caution := range l.Cautions {
				if caution.Code != "gate-lengthens-posts" {
					said = append(said, caution.Text)
				}
			}
			if got := strings.Join(said, "\n"); !strings.HasPrefix(got, c.cautions) || c.cautions == "" && got != "" {
				t.Errorf("cautions %s\nwant %s", got, c.cautions)
			}
		})
	}
}

// What bars a loop's start is told by the request's own paths and stations.
func TestLoopStartErrors(t *testing.T) {
	const loop = "a: 10,0 20,0 20,20 0,20 0,0 closed "
	for _, c := range []struct{ name, more, want string }{
		{"a keep-out through the next corner", "keep=pipe@31..32 keep=gas@8..12", `site.runs[0].keep_outs[1]: the post at vertex 1 of run "a" stands in it: its hole, 1 ft across, reaches from 9 ft 6 in to 10 ft 6 in, into the keep-out "gas" from 8 ft to 12 ft`},
		{"too wide over the start", "keep=a@75..80 keep=b@0..5", `site.runs[0].keep_outs[0]: no post can stand between 74 ft 6 in and 5 ft 6 in (keep-out "a" from 75 ft to 80 ft, keep-out "b" from 0 in to 5 ft, and half a hole of 1 ft on either side): that is 11 ft`},
		{"a gate post", "keep=gas@0..1 gate=g@1'6\"x3", `site.runs[0].keep_outs[0]: the first post of gate "g" of run "a" stands in it: its hole, 1 ft across, reaches from 10-1/4 in to 1 ft 10-1/4 in,`},
		{"a pin in an opening", "gate=g@2x3 pin=3", `site.runs[0].pins[0].station: the post at 3 ft stands in the opening of gate "g"`},
		{"gates overlap", "gate=g@2x3 gate=h@4x3", `site.runs[0].gates[1].station: gate "h" from 4 ft to 7 ft overlaps gate "g" from 2 ft to 5 ft`},
		{"a gate's post in the next corner", "gate=g@7x3", `site.runs[0].gates[0].station: the second post of gate "g" would stand 1-3/4 in past the post at vertex 1`},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := layout.Plan(mustSite(loop+c.more), bare())
			e, ok := errors.AsType[*fault.Error](err)
			if !ok || len(e.Violations) != 1 || !strings.HasPrefix(e.Violations[0].Field+": "+e.Violations[0].Description, c.want) {
				t.Errorf("got %v\nwant %s", err, c.want)
			}
		})
	}
}

// The first rules have a bend at the start.
func TestFirstRulesOnLoopStart(t *testing.T) {
	l, err := layout.PlanAs(1, mustSite("a: 10,0 20,0 20,20 0,20 0,0 closed"), bare())
	if err != nil {
		t.Fatal(err)
	}
	if got := posts(l, layout.Bend); strings.Join(got, " ") != "0@0 in" {
		t.Errorf("bends %q", got)
	}
}

// A post past the start has a station of the run, and stands on its side.
func TestLoopStartStations(t *testing.T) {
	s := mustSite("a: 10,0 20,0 20,20 0,20 0,0 closed ground=0:1 ground=40:5 ground=80:1")
	l, err := layout.Plan(s, bare())
	if err != nil {
		t.Fatal(err)
	}
	through := 0
	for _, p := range l.Posts {
		at := p.Visits[0].Station
		if at < 0 || at > s.Runs[0].Length() {
			t.Errorf("%s at %s", p.ID, at)
		}
		if off := s.Runs[0].PointAt(at).DistanceTo(p.At); off > 1 {
			t.Errorf("%s stands %s off its station %s", p.ID, off, at)
		}
		if off := (s.Runs[0].GroundAt(at) - p.Ground).Abs(); off > 1 {
			t.Errorf("%s on ground %s, want %s", p.ID, p.Ground, s.Runs[0].GroundAt(at))
		}
		if at == 0 {
			t.Errorf("%s stands at the start", p.ID)
		}
	}
	for _, st := range l.Stretches {
		if st.Start < s.Runs[0].Length() && st.End > s.Runs[0].Length() {
			through++
			var sum measure.Length
			for _, b := range l.Bays[st.FirstBay : st.FirstBay+st.Bays] {
				sum += b.Width
			}
			if sum != st.Length() || st.Length() != 20*ft {
				t.Errorf("bays of %s in a stretch of %s", sum, st.Length())
			}
		}
	}
	if through != 1 {
		t.Errorf("%d stretches go on through the start", through)
	}
}
