package takeoff_test

import (
	"fmt"
	"strings"
	"testing"

	"wattle/internal/fault"
	"wattle/internal/measure"
	"wattle/internal/site"
	"wattle/internal/spec"
)

// wireSpec is wire of 4 ft, with details as "name=value".
func wireSpec(details ...string) spec.Spec {
	return fenceOf(spec.Wire, "4 ft", strings.Join(details, ", "))
}

func TestWireCounts(t *testing.T) {
	woodLine := spec.Spec{Family: spec.Wire, Height: 4 * ft, Posts: spec.Posts{Size: "4rd"}}.WithDefaults()
	turn := run("0,0 100,0 198.48,17.36") // 10 degrees
	pipeEnds := spec.Spec{Family: spec.Wire, Height: 4 * ft, Posts: spec.Posts{TerminalSize: "2.375od"}}.WithDefaults()
	kept := run("0,0 66,0 66,66")
	kept.Pins = []site.Pin{{Station: 66 * ft, Existing: true}}
	old, beside := run("0,0 66,0"), run("0,0 66,0")
	old.Pins = []site.Pin{{Station: 0, Existing: true}, {Station: 66 * ft, Existing: true}}
	beside.Pins = []site.Pin{{Station: 5 * ft}}
	stepped := run("0,0 66,0")
	stepped.Slopes = []site.SlopePart{{From: 0, To: 66 * ft, Stepped: true}}
	short := run("0,0 100,0 100,7")
	for _, c := range []struct {
		name, source string
		site         site.Site
		spec         spec.Spec
		want         string
	}{
		{"a mile of 4 wires", "BOM-4, hppr.org", straight("5280 ft"), wireSpec(), "barbed-wire-1320ft 16"},
		{"a mile of 5 wires", "BOM-4, hppr.org", straight("5280 ft"), wireSpec("strands=5"), "barbed-wire-1320ft 20"},
		{"barbed at 16.5 ft", "DT-11, NRCS practice 382, RI", straight("165 ft"), wireSpec(), "post-tee-6ft 9, post-5rd-7ft 2, wire-stay-4ft none"},
		{"high tensile at 30 ft", "DT-11, NRCS practice 382, RI", straight("150 ft"), wireSpec("kind=high-tensile"),
			"post-tee-6ft 4, wire-stay-4ft none, wire-strainer 5, high-tensile-wire-4000ft 0.1875"},
		{"high tensile at 50 ft, a stay at 25 ft", "DT-11, NRCS practice 382, RI", straight("200 ft"), wireSpec("kind=high-tensile", "stays=true"),
			"post-tee-6ft 3, wire-stay-4ft 4"},
		{"at 14 ft", "DT-11, NRCS practice 382, KY", straight("140 ft"), wireSpec("rules=ky"), "post-tee-6ft 9, wire-stay-4ft none"},
		{"at 18 ft with stays", "DT-11, NRCS practice 382, KY", straight("180 ft"), wireSpec("rules=ky", "stays=true"), "post-tee-6ft 9, wire-stay-4ft 10"},
		{"a brace every 1,320 ft", "DT-11, NRCS practice 382, CO: 2 ends, 3 pull posts of two", straight("5280 ft"), wireSpec(),
			"post-5rd-7ft 5, brace-post-5rd-7ft 8, brace-rail-4rd-8ft 8, brace-pin 16"},
		{"woven: a brace every 330 ft", "DT-11, NRCS practice 382, CO: 2 ends, 3 pull posts of two", straight("1320 ft"), wireSpec("kind=woven"),
			"post-5rd-7ft 5, brace-post-5rd-7ft 8, woven-wire-47in-330ft 4, barbed-wire-1320ft 1"},
		{"woven, turning by 10 degrees", "DT-7, agency inspection manual item 607: an intermediate anchor", site.Site{Runs: []site.Run{turn}}, wireSpec("kind=woven"),
			"post-5rd-7ft 3, brace-post-5rd-7ft 4"},
		{"on wood", "common practice: 5 line posts and 2 brace posts of 4 wires, 2 ends of 4 wires of 2 staples: 44", straight("99 ft"), woodLine,
			"fence-staple 0.63, tee-clip none"},
		{"woven on T posts", "common practice: 1 barbed and 4 of 8 woven wires on 9 posts", straight("140 ft"), wireSpec("kind=woven"),
			"tee-clip 45, fence-staple 0.66"}, // 2 x 5 + 2 x 9 x 2 = 46 staples
		{"ends of pipe", "common practice: wires are tied off around them", straight("99 ft"), pipeEnds, "fence-staple none, tee-clip 20, brace-post-2.375od-7ft 2"},
		{"an old corner post kept", "common practice: braced with posts like the others", site.Site{Runs: []site.Run{kept}}, wireSpec(),
			"post-5rd-7ft 2, brace-post-5rd-7ft 4, brace-post-5rd-12ft none"},
		{"old posts only", "common practice: 4 ft above grade and 3 ft in it", site.Site{Runs: []site.Run{old}}, wireSpec(),
			"post-5rd-7ft none, brace-post-5rd-7ft 2, brace-post-5rd-12ft none"},
		{"a line of one and a half braces", "common practice: one post for both", straight("12 ft"), wireSpec(),
			"brace-post-5rd-7ft 1, brace-rail-4rd-8ft 2, brace-pin 4, fence-staple 0.29"}, // 4 on the one, 2 x 4 x 2 at ends: 20 / 70
		{"a line of two braces", "common practice: one post for both", straight("16 ft"), wireSpec(), "brace-post-5rd-7ft 1, brace-rail-4rd-8ft 2"},
		{"a line of more", "common practice", straight("16 ft 1 in"), wireSpec(), "brace-post-5rd-7ft 2, brace-rail-4rd-8ft 2"},
		{"a line of one brace", "common practice: from post to post", straight("8 ft"), wireSpec(), "brace-post-5rd-7ft none, brace-rail-4rd-8ft 1"},
		{"a pin beside an end", "common practice: wires pass it", site.Site{Runs: []site.Run{beside}}, wireSpec(), "brace-post-5rd-7ft 2, brace-rail-4rd-8ft 2"},
		{"on steps", "common practice: wire follows the ground and passes the posts all the same", site.Site{Runs: []site.Run{stepped}}, wireSpec(),
			"brace-post-5rd-7ft 2, tee-clip 12"},
		{"a leg shorter than a brace", "common practice: rail and loops, no brace post", site.Site{Runs: []site.Run{short}}, wireSpec(),
			"brace-post-5rd-7ft 2, brace-rail-4rd-8ft 3"},
	} {
		if got := netsAsked(count(t, c.site, c.spec, nil), c.want); got != c.want {
			t.Errorf("%s:\n%s\nwant [%s]\n%s", c.name, got, c.source, c.want)
		}
	}
	// DT-11, KY: 24 in deep.
	l := plan(t, straight("140 ft"), wireSpec("rules=ky"))
	if depth := l.Posts[1].Hole.Depth; depth != measure.Must("24 in") {
		t.Errorf("line posts stand %s deep, want 24 in [DT-11]", depth.Imperial())
	}
}

func TestBadWire(t *testing.T) {
	for _, c := range []struct {
		spec spec.Spec
		want string
	}{
		{wireSpec("kind=woven", "rules=ri-barbed"), "spec.details.rules: ri-barbed spaces the posts of barbed wire; expected ky or that of woven"},
		{wireSpec("kind=woven", "stays=true"), "spec.details.stays: woven wire needs no stays; leave them out"},
		{wireSpec("stays=true"), "spec.details.post_spacing: ri-barbed gives no spacing with stays; expected one, or the rules ky"},
		{wireSpec("strands=0"), "spec.details.strands: expected 1 or more, found 0"},
		{wireSpec("woven_height=39 in"), "spec.details.woven_height: only woven wire has it; leave it out"},
		{wireSpec("kind=woven", "woven_height=60 in"), "spec.details.woven_height: 5 ft is more than the fence's height, 4 ft"},
		{wireSpec("kind=woven", "woven_fixings=9"), "spec.details.woven_fixings: 9 is more than the wires there are, 8"},
		{spec.Spec{Family: spec.Wire, Height: 4 * ft, Posts: spec.Posts{Size: "5vinyl"}}.WithDefaults(), `spec.posts.size: wire is stapled to wood, clipped to T posts or tied off around pipe; found "5vinyl"`},
		{spec.Spec{Family: spec.Wire, Height: 4 * ft, Posts: spec.Posts{TerminalSize: "tee"}}.WithDefaults(), "spec.posts.terminal_size: a T post holds no pull; expected wood or pipe such as 5rd"},
		{spec.Spec{Family: spec.Wire, Height: 4 * ft, Slope: spec.Slope{Mode: spec.Stepped}}.WithDefaults(), "spec.slope.mode: wire follows the ground; expected racked, found stepped"},
	} {
		v := &fault.List{}
		c.spec.Validate(v.At("spec"))
		if got := fmt.Sprint(v.Err()); !strings.Contains(got, c.want) {
			t.Errorf("%s\nwant %s", got, c.want)
		}
	}
}
