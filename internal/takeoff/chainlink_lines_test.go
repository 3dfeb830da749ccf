package takeoff_test

import (
	"fmt"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"wattle/internal/measure"
	"wattle/internal/site"
	"wattle/internal/spec"
)

// runsOf are runs of chain link, each as its vertices.
func runsOf(vertices ...string) site.Site {
	var st site.Site
	for i, v := range vertices {
		r := run(v)
		r.ID = fmt.Sprintf("r%d", i+1)
		st.Runs = append(st.Runs, r)
	}
	return st
}

// Rails of 21 ft go on past every post that the fence does not end at: common
// practice, by hand.
func TestRailsGoOn(t *testing.T) {
	pinned := func(st site.Site, at measure.Length) site.Site {
		st.Runs[0].Pins = []site.Pin{{Station: at}}
		return st
	}
	closed := runsOf("0,0 40,0 40,40 0,40")
	closed.Runs[0].Closed = true
	bends := chainLinkSpec("4 ft")
	bends.CornerAngle = 100 * measure.Degree
	eight := runsOf("0,0 80,0 80,40 40,40 40,-40")
	const straight80 = "chain-rail-1.66od-21ft 4, rail-sleeve-1.66od 3, tension-bar-4ft 2, rail-end-1.66od 2"
	for _, c := range []struct {
		name string
		site site.Site
		spec spec.Spec
		want string
		told string // of crossings
	}{
		{"80 ft", runsOf("0,0 80,0"), chainLinkSpec("4 ft"), straight80, ""},
		{"a pin at 40 ft", pinned(runsOf("0,0 80,0"), 40*ft), chainLinkSpec("4 ft"), straight80, ""},
		{"two runs in line", runsOf("0,0 40,0", "40,0 80,0"), chainLinkSpec("4 ft"), straight80, ""},
		{"drawn toward one another", runsOf("0,0 40,0", "80,0 40,0"), chainLinkSpec("4 ft"), straight80, ""},
		{"drawn from one another", runsOf("40,0 0,0", "40,0 80,0"), chainLinkSpec("4 ft"), straight80, ""},
		{"84 ft, a pin at 10 ft", pinned(runsOf("0,0 84,0"), 10*ft), chainLinkSpec("4 ft"), "chain-rail-1.66od-21ft 4, rail-sleeve-1.66od 3", ""},
		// 21 + 19 ft, and the branch of 20 ft.
		{"a branch at 20 ft", runsOf("0,0 40,0", "20,0 20,20"), chainLinkSpec("4 ft"), "chain-rail-1.66od-21ft 3, rail-sleeve-1.66od 1, tension-bar-4ft 4", ""},
		// 80 ft, and 40 ft twice: 4 + 2 x 2 pieces, 3 + 2 x 1 sleeves. Six ends, and
		// one loop cap where they cross.
		{"two that cross", runsOf("0,0 80,0", "40,-40 40,40"), chainLinkSpec("4 ft"),
			"chain-rail-1.66od-21ft 8, rail-sleeve-1.66od 5, tension-bar-4ft 6, rail-end-1.66od 6, tension-band-2.375od 18, brace-band-2.375od 12, loop-cap-2.375od-1.66od 1, dome-cap-2.375od 4", "site.runs[1]: One post holds the rail and the fabric of one fence. Where two cross, at post P5, run 1 passes and run 2 is counted as ending on both sides of the post."},
		// 80, 40, 40, 80 ft with corners between: the first leg is passed at 40 ft,
		// and the last ends there.
		{"one that crosses itself", eight, chainLinkSpec("4 ft"), "rail-sleeve-1.66od 7, tension-bar-4ft 10, loop-cap-2.375od-1.66od 1", "site.runs[0]: One post holds the rail and the fabric of one fence. Where two cross, at post P5, run 1 passes and what comes there again is counted as ending on both sides of the post."},
		// 160 ft of rail without an end: 8 pieces and 8 sleeves.
		{"a ring of bends", closed, bends, "rail-sleeve-1.66od 8, tension-bar-4ft none, chain-rail-1.66od-21ft 8", ""},
	} {
		k := count(t, c.site, c.spec, nil)
		if got := netsAsked(k, c.want); got != c.want {
			t.Errorf("%s:\n%s\nwant\n%s", c.name, got, c.want)
		}
		said := ""
		for _, x := range k.Cautions {
			if x.Code == "fences-cross" {
				said += x.Field + ": " + x.Text
			}
		}
		if (said != "") != strings.Contains(c.name, "cross") || said != c.told {
			t.Errorf("%s: cautions %q, want %q", c.name, said, c.told)
		}
	}
}

func TestRailsGoOnTold(t *testing.T) {
	for _, c := range []struct {
		site site.Site
		want string
	}{
		{runsOf("0,0 40,0", "40,0 80,0"), "P1 to P9 (run 1 from 0 in, to 40 ft of run 2): 80 ft / 21 ft a length = 3.8095... pieces, rounded up: 4 pieces."},
		{runsOf("0,0 40,0 80,2"), "P1 to P10 (run 1, 0 in to 80 ft 0-5/8 in): 960.5996 in / 21 ft a length = 3.8119... pieces, rounded up: 4 pieces."},
		{runsOf("0,0 40,0 80,2", "0,100 40,100 80,102"), "2 equal lines, the first P1 to P10 (run 1, 0 in to 80 ft 0-5/8 in): 960.5996 in / 21 ft a length = 3.8119... pieces, rounded up, on each of 2 lines: 8 pieces."},
	} {
		if got := toldOf(count(t, c.site, chainLinkSpec("4 ft"), nil), "chain.rail-pieces"); len(got) != 2 || got[0] != c.want {
			t.Errorf("%q\nwant %s", got, c.want)
		}
	}
}

// However many posts of a straight are pinned, its rails are cut and joined
// alike.
func TestPinsCutNoRail(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		long := measure.Length(rapid.IntRange(20, 400).Draw(t, "feet")) * ft
		st := runsOf("0,0 1,0")
		st.Runs[0].Vertices[1].East = long
		_, plain := counted(t, st, chainLinkSpec("6 ft"), nil)
		for at := range rapid.IntRange(1, 5).Draw(t, "pins") {
			st.Runs[0].Pins = append(st.Runs[0].Pins, site.Pin{Station: long * measure.Length(at+1) / 7})
		}
		_, k := counted(t, st, chainLinkSpec("6 ft"), nil)
		for _, item := range []string{"chain-rail", "rail-sleeve", "rail-end", "tension-bar", "tension-band"} {
			if a, b := netOf(plain, item), netOf(k, item); a.Cmp(b) != 0 {
				t.Errorf("%s: %s without pins, %s with", item, a, b)
			}
		}
	})
}
