package layout_test

import (
	"errors"
	"strings"
	"testing"

	"wattle/internal/fault"
	"wattle/internal/layout"
	"wattle/internal/spec"
)

// A leaf of half as long again as the opening (trade 5) needs its place free of
// other gates' openings, of fences and of other leaves, on its own side of the
// fence (common practice). Stations by hand: 15 ft back from 60 ft, and so on.
func TestOpenLeaves(t *testing.T) {
	const opensLeft = "a: 0,0 100,0 gate=g@60x20~"
	for _, c := range []struct {
		name, site string
		want       []string // all of it; none: planned
	}{
		{"over another gate's opening", "a: 0,0 100,0 gate=g@40x12 gate=k@60x10~",
			[]string{`site.runs[0].gates[1].station: the open leaf of gate "k", from 45 ft to 60 ft, would cover the opening of gate "g"`}},
		{"over an opening after it", "a: 0,0 100,0 gate=k@30x10~^ gate=g@50x12",
			[]string{`site.runs[0].gates[0].station: the open leaf of gate "k", from 40 ft to 55 ft, would cover the opening of gate "g"`}},
		{"as far as another gate's opening", "a: 0,0 100,0 gate=g@33x12 gate=k@60x10~", nil},
		{"over an opening and a fence", opensLeft + " gate=k@32x4\nb: 45,0 45,40", []string{
			`site.runs[0].gates[0].station: the open leaf of gate "g", from 30 ft to 60 ft, would cover the opening of gate "k"`,
			`site.runs[0].gates[0].station: the open leaf of gate "g", from 30 ft to 60 ft, would run into run "b" on the left of the fence`}},
		{"a fence on the other side", opensLeft + "\nb: 45,0 45,-40", nil},
		{"a leaf on the other side", "a: 0,0 100,0 gate=g@60x20~right\nb: 45,0 45,40", nil},
		{"to the right", "a: 0,0 100,0 gate=g@60x20~right\nb: 45,0 45,-40",
			[]string{`site.runs[0].gates[0].station: the open leaf of gate "g", from 30 ft to 60 ft, would run into run "b" on the right of the fence`}},
		{"a fence that crosses", opensLeft + "\nb: 45,-20 45,40",
			[]string{`site.runs[0].gates[0].station: the open leaf of gate "g", from 30 ft to 60 ft, would run into run "b"`}},
		{"a fence that starts at a line post", opensLeft + "\nb: of=a 45,0 45,40",
			[]string{`site.runs[0].gates[0].station: the open leaf of gate "g", from 30 ft to 60 ft, would run into run "b"`}},
		{"a fence short of it", opensLeft + "\nb: 45,2 45,40", nil},
		{"a fence past its end", opensLeft + "\nb: 29,0 29,40", nil},
		{"as far as a corner", "a: 0,40 0,0 100,0 gate=g@70x20~", nil},
		{"into a sharp corner of its own run", "a: 15,8 0,0 100,0 gate=g@47x20~",
			[]string{`site.runs[0].gates[0].station: the open leaf of gate "g", from 17 ft to 47 ft, would run into run "a"`}},
		{"two leaves in one place", "a: 0,0 90,0 gate=g@20x12~^ gate=h@54x12~",
			[]string{`site.runs[0].gates[1].station: the open leaf of gate "h", from 36 ft to 54 ft, and that of gate "g" of run "a" would run into one another`}},
		{"two leaves on two sides", "a: 0,0 90,0 gate=g@20x12~^ gate=h@54x12~right", nil},
		{"two leaves into one corner", "a: 40,0 0,0 gate=g@14.9x10~right^\nb: 0,0 0,40 gate=h@15.2x10~right",
			[]string{`site.runs[1].gates[0].station: the open leaf of gate "h", from 2-3/8 in to 15 ft 2-3/8 in, and that of gate "g" of run "a" would run into one another`}},
		// The same fence as the first, started within a side.
		{"a loop started within a side", "a: 50,0 100,0 100,40 0,40 0,0 closed gate=k@10x10~ gate=g@266x12",
			[]string{`site.runs[0].gates[0].station: the open leaf of gate "k", from 275 ft to 10 ft, would cover the opening of gate "g"`}},
	} {
		l, err := layout.Plan(mustSite(c.site), sixFoot(spec.Layout{}))
		if len(c.want) == 0 {
			if err != nil || hasCaution(l, "obstacle-under-leaf") {
				t.Errorf("%s: %v", c.name, err)
			}
			continue
		}
		e, ok := errors.AsType[*fault.Error](err)
		if !ok || len(e.Violations) != len(c.want) {
			t.Errorf("%s: %v\nwant %s", c.name, err, strings.Join(c.want, "\n"))
			continue
		}
		for i, v := range e.Violations {
			if got := v.Field + ": " + v.Description; !strings.HasPrefix(got, c.want[i]) {
				t.Errorf("%s:\n got %s\nwant %s", c.name, got, c.want[i])
			}
		}
	}
}

// What an obstacle is, and how high, the site does not say: it is told, by the
// gate it is in the way of.
func TestObstacleUnderLeaf(t *testing.T) {
	for _, c := range []struct {
		name, site string
		told       bool
	}{
		{"a line across the fence", "!gas: 40,-20 40,20 clear=1ft", true},
		{"a stump", "!gas: 40,5in clear=1in", true},
		{"a stump on the other side", "!gas: 40,-5in clear=1in", false},
		{"a line past the leaf", "!gas: 20,-20 20,20 clear=1ft", false},
		{"a line along the other side", "!gas: 0,-2 100,-2 clear=6in", false},
	} {
		l := plan(t, "a: 0,0 100,0 gate=f@5x4 gate=g@60x20~\n"+c.site, sixFoot(spec.Layout{}))
		const want = `Obstacle "gas" lies where the open leaf of gate "g", from 30 ft to 60 ft, slides; whatever stands higher than the foot of the leaf is in its way.`
		if got := caution(l, "obstacle-under-leaf"); (got == want) != c.told || !c.told && got != "" {
			t.Errorf("%s: %q", c.name, got)
		}
		for _, told := range l.Cautions {
			if told.Code == "obstacle-under-leaf" && told.Field != "site.runs[0].gates[1]" {
				t.Errorf("%s: at %s", c.name, told.Field)
			}
		}
	}
}
