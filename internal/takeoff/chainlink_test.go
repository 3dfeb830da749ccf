package takeoff_test

import (
	"fmt"
	"strings"
	"testing"

	"wattle/internal/fault"
	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/site"
	"wattle/internal/spec"
	"wattle/internal/takeoff"
)

// chainLinkSpec is chain link of a height, with details as "name=value".
func chainLinkSpec(height string, details ...string) spec.Spec {
	return fenceOf(spec.ChainLink, height, strings.Join(details, ", "))
}

// netsAsked are the lines that want names, as "item net, item net".
func netsAsked(k *takeoff.Takeoff, want string) string {
	var got []string
	for asked := range strings.SplitSeq(want, ", ") {
		item, _, _ := strings.Cut(asked, " ")
		net := "none"
		for _, l := range k.Lines {
			if l.Item == item {
				net = l.Net.String()
			}
		}
		got = append(got, item+" "+net)
	}
	return strings.Join(got, ", ")
}

func TestChainLinkCounts(t *testing.T) {
	loop := run("0,0 40,0 40,40 0,40")
	loop.Closed = true
	branch := run("20,0 20,20")
	branch.ID = "branch"
	kept := run("0,0 30,0")
	kept.Pins = []site.Pin{{Station: 10 * ft, Existing: true}}
	stepped := run("0,0 30,0")
	stepped.Ground = []site.GroundPoint{{Station: 0}, {Station: 30 * ft, Elevation: 3 * ft}}
	stepped.Slopes = []site.SlopePart{{From: 0, To: 30 * ft, Stepped: true}}
	half := run("0,0 60,0")
	half.Ground = []site.GroundPoint{{Station: 0}, {Station: 30 * ft, Elevation: 6 * measure.Inch}, {Station: 60 * ft, Elevation: 6 * measure.Inch}}
	half.Slopes = []site.SlopePart{{From: 0, To: 30 * ft, Stepped: true}}
	gated := run("0,0 40,0", site.Gate{ID: "walk", Station: 10 * ft, Width: 4 * ft, Leaves: 1})
	hill := run("0,0 40,0")
	hill.Ground = []site.GroundPoint{{Station: 0}, {Station: 40 * ft, Elevation: 30 * ft}}
	brow := run("0,0 80,0")
	brow.Ground = []site.GroundPoint{{Station: 0}, {Station: 40 * ft}, {Station: 80 * ft, Elevation: 11 * ft}}
	for _, c := range []struct {
		name, source string
		site         site.Site
		spec         spec.Spec
		want         string
	}{
		{"84 ft of 4 ft", "CHN-1, CHN-3, homesteady.com 6110763", straight("84 ft"), chainLinkSpec("4 ft"),
			"post-1.9od-6ft 8, post-2.375od-6ft 2, tie-1.66od 42, hog-ring 42, tension-bar-4ft 2, tension-band-2.375od 6"},
		{"84 ft of 4 ft, the rest of it", "common practice", straight("84 ft"), chainLinkSpec("4 ft"),
			"fabric-4ft-2in-11ga-50ft 1.68, chain-rail-1.66od-21ft 4, rail-sleeve-1.66od 3, rail-end-1.66od 2, brace-band-2.375od 4, carriage-bolt 10, loop-cap-1.9od-1.66od 8, dome-cap-2.375od 2, tie-1.9od 32, tension-wire-7ga-1000ft 0.084, rail-clamp-1.9od none"},
		{"54 ft", "CHN-1, scribd 154728461", straight("54 ft"), chainLinkSpec("4 ft"), "post-1.9od-6ft 5, post-2.375od-6ft 2"},
		{"100 ft", "CHN-1, computed", straight("100 ft"), chainLinkSpec("4 ft"), "post-1.9od-6ft 9, post-2.375od-6ft 2"},
		{"6 ft fabric", "DT-2, Florida DOT Index 802: 5 bands on a bar, 12 in on posts, 2 ft on tension wire", straight("40 ft"),
			chainLinkSpec("6 ft", "ties=highway", "top=wire"), "tension-band-2.375od 10, tie-1.9od 18, hog-ring 40, chain-rail-1.66od-21ft none, tie-1.66od none, loop-cap-1.9od-1.66od none, dome-cap-1.9od 3, dome-cap-2.375od 2"},
		{"6 ft tied by the standard", "AS-4, Byesville OH: 72 in / 15 in = 4.8, 24 in on rails", straight("40 ft"),
			chainLinkSpec("6 ft", "ties=f567"), "tie-1.9od 15, tie-1.66od 20"},
		{"a pull every 350 ft", "DT-2, Florida DOT Index 802: 2 ends and 2 pull posts of two sides", straight("1050 ft"), chainLinkSpec("6 ft"),
			"post-2.375od-9ft 4, tension-bar-6ft 6, dome-cap-2.375od 4"},
		{"a break of 15.4 degrees in the grade", "DT-2, Florida DOT Index 802: a pull post of two sides", site.Site{Runs: []site.Run{brow}}, chainLinkSpec("6 ft"),
			"post-2.375od-9ft 3, tension-bar-6ft 4"},
		{"a closed loop", "common practice: 4 corners of two sides", site.Site{Runs: []site.Run{loop}}, chainLinkSpec("6 ft", "bottom=none"),
			"tension-bar-6ft 8, rail-end-1.66od 8, brace-band-2.375od 8, tension-band-2.375od 40, carriage-bolt 48, rail-sleeve-1.66od 4, chain-rail-1.66od-21ft 8, tie-1.66od 80"},
		{"a branch at a line post", "common practice: one side for the branch, the run passes", site.Site{Runs: []site.Run{run("0,0 40,0"), branch}}, chainLinkSpec("6 ft"),
			"tension-bar-6ft 4, tension-band-2.375od 20, dome-cap-2.375od 3, fabric-6ft-2in-11ga-50ft 1.2"},
		{"one old post kept", "common practice: not bought, but tied and capped", site.Site{Runs: []site.Run{kept}}, chainLinkSpec("4 ft"),
			"post-1.9od-6ft 1, tie-1.9od 8, loop-cap-1.9od-1.66od 2"},
		{"stepped", "common practice: every bay ends at both of its posts", site.Site{Runs: []site.Run{stepped}}, chainLinkSpec("4 ft"),
			"tension-bar-4ft 6, rail-end-1.66od 6, tie-1.66od 15, tie-1.9od none, fabric-4ft-2in-11ga-50ft 0.6, rail-sleeve-1.66od none"},
		{"stepped, then racked", "common practice: both end where they meet", site.Site{Runs: []site.Run{half}}, chainLinkSpec("4 ft"),
			"tension-bar-4ft 8, tie-1.66od 30, tie-1.9od 8"},
		{"a gate of 4 ft", "common practice: its leaf of 3 ft 11 in is covered from the same roll", site.Site{Runs: []site.Run{gated}}, chainLinkSpec("4 ft"),
			"fabric-4ft-2in-11ga-50ft 0.7935"}, // 40 ft - 4 ft - (2.375 + 2.875) / 2 in + 3 ft 11 in
		{"along the grade", "AS-1, ASTM F567-07 4.1: 40 ft in plan rise 30 ft, 50 ft along, 5 bays", site.Site{Runs: []site.Run{hill}}, chainLinkSpec("4 ft"),
			"post-1.9od-6ft 4, fabric-4ft-2in-11ga-50ft 1, tie-1.66od 25, hog-ring 25"},
		{"12 ft with all there is", "common practice", straight("40 ft"), chainLinkSpec("12 ft", "bottom=rail", "slats=true", "barb_arms=double", "fabric_waste=10"),
			"chain-rail-1.66od-21ft 6, rail-sleeve-1.66od 3, rail-clamp-2.875od 6, barb-arm-double-2.875od 3, barb-arm-double-4od 2, barbed-wire-1320ft 0.1818, slats-12ft-10ft 4, tension-band-4od 22, brace-band-4od 6, rail-end-1.66od 6, dome-cap-4od none, tie-1.66od 60, tie-2.875od 36"},
	} {
		if got := netsAsked(count(t, c.site, c.spec, nil), c.want); got != c.want {
			t.Errorf("%s:\n%s\nwant [%s]\n%s", c.name, got, c.source, c.want)
		}
	}
}

// AS-2, ASTM F567-07 5.1: 24 in and 3 in per foot over 4 ft; 4 x the diameter up
// to 4 in, 3 x above. CON-6, MIL-HDBK-1013/10: 10 in for line posts, 12 in for
// the others, 36 in deep.
func TestChainLinkHoles(t *testing.T) {
	for _, c := range []struct {
		source string
		spec   spec.Spec
		want   string // diameter and depth of a terminal hole, of a line hole
	}{
		{"AS-2", chainLinkSpec("6 ft"), "9.5 x 30 7.6 x 30"},
		{"AS-2", chainLinkSpec("8 ft"), "11.5 x 36 9.5 x 36"},
		{"AS-2", chainLinkSpec("10 ft"), "11.5 x 42 9.5 x 42"},
		{"AS-2", chainLinkSpec("12 ft"), "16 x 48 11.5 x 48"},
		{"AS-2", spec.Spec{Family: spec.ChainLink, Height: 12 * ft, Posts: spec.Posts{TerminalSize: "6.625od"}}.WithDefaults(), "19.875 x 48 11.5 x 48"},
		{"CON-6", spec.Spec{Family: spec.ChainLink, Height: 8 * ft, Holes: spec.Holes{Rules: "published-chain-link"}}.WithDefaults(), "12 x 36 10 x 36"},
	} {
		l := plan(t, site.Site{Runs: []site.Run{run("0,0 40,0")}}, c.spec)
		text := func(h layout.Hole) string {
			return fmt.Sprintf("%s x %s", strings.TrimSuffix(h.Diameter.Inches(3), " in"), strings.TrimSuffix(h.Depth.Inches(3), " in"))
		}
		if got := text(l.Posts[0].Hole) + " " + text(l.Posts[1].Hole); got != c.want {
			t.Errorf("%s of %s: %s, want %s [%s]", spec.ChainLink, c.spec.Height, got, c.want, c.source)
		}
		if crown := c.spec.Concrete.Crown; crown != measure.Must("2 in") {
			t.Errorf("concrete is crowned %s, want 2 in [AS-3]", crown.Imperial())
		}
	}
}

func TestBadChainLink(t *testing.T) {
	for _, c := range []struct {
		spec spec.Spec
		want string
	}{
		{chainLinkSpec("6 ft", "slats=true", "mesh=1 in"), "spec.details.slats: slats need a mesh of at least 1-3/4 in, found 1 in"},
		{chainLinkSpec("6 ft", "barb_arms=single", "top=none"), "spec.details.barb_arms: arms need a rail or a tension wire to hold the top of the fabric under them; found top none"},
		{chainLinkSpec("6 ft", "barb_strands=3"), "spec.details.barb_strands: strands need arms; expected barb_arms single or double"},
		{chainLinkSpec("6 ft", "barb_arms=single", "barb_strands=0"), "spec.details.barb_strands: arms without wire; expected 1 strand or more"},
		{chainLinkSpec("6 ft", "fabric_height=7 ft"), "spec.details.fabric_height: 7 ft is more than the height leaves over the ground clearance, 6 ft"},
		{chainLinkSpec("6 ft", "rail_size=2x4"), `spec.details.rail_size: rails are pipe; expected one such as 1.66od, found "2x4"`},
		{chainLinkSpec("6 ft", "bottom=both"), `spec.details.bottom: "both" is not known here; expected wire, rail, none`},
		{spec.Spec{Family: spec.ChainLink, Height: 6 * ft, Posts: spec.Posts{Size: "4x4"}}.WithDefaults(), `spec.posts.size: the bands and caps of chain link go around pipe; expected one such as 2.375od, found "4x4"`},
		{spec.Spec{Family: spec.ChainLink, Height: 6 * ft, Layout: spec.Layout{Hang: spec.Between}}.WithDefaults(), "spec.layout.hang: Chain link runs on past its posts; expected free, found between"},
		{spec.Spec{Family: spec.ChainLink, Height: 6 * ft, Extras: spec.Extras{CapBoard: "2x6", KickBoard: "2x6"}}.WithDefaults(), "spec.extras.cap_board: Chain link carries no cap board; leave it out\n  spec.extras.kick_board: Chain link carries no kick board; leave it out"},
		{spec.Spec{Family: spec.ChainLink, Height: 6 * ft, Slope: spec.Slope{Fill: spec.KickBoard}}.WithDefaults(), "spec.slope.fill: Chain link has no boards to fill a gap with; expected leave or refuse, found kick-board"},
	} {
		v := &fault.List{}
		c.spec.Validate(v.At("spec"))
		if got := fmt.Sprint(v.Err()); !strings.Contains(got, c.want) {
			t.Errorf("%s\nwant %s", got, c.want)
		}
	}
}
