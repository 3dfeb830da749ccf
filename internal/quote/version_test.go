package quote

import (
	"bytes"
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"wattle/internal/arc"
	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/site"
	"wattle/internal/spec"
)

// hilly is yard with every field that came with rules version 2.
func hilly() site.Site {
	s := yard()
	r := &s.Runs[0]
	r.Chords = []int{1}
	r.Ground = []site.GroundPoint{{Station: 0, Elevation: ft(1)}, {Station: ft(100), Elevation: ft(3)}}
	r.KeepOuts = []site.KeepOut{{ID: "gas", From: ft(80), To: ft(82)}}
	r.Pins = []site.Pin{{Station: ft(90), Existing: true}}
	r.Slopes = []site.SlopePart{{From: ft(100), To: ft(110), Stepped: true}}
	r.Neighbours = []site.Neighbour{{From: ft(1), To: ft(9), Side: site.Right, Gap: ft(3)}}
	r.Start, r.End = site.Terminus{LinePostOf: "other"}, site.Terminus{LinePostOf: "other"}
	s.Obstacles = []site.Obstacle{{ID: "oak", Path: []measure.Point{at(20, -40)}, Clearance: ft(2)}}
	return s
}

func TestVersionOneKnowsNothingOfTheGround(t *testing.T) {
	r := ask(t, straight(ft(24)), privacy(), Pricing{})
	r.RulesVersion, r.Site = 1, hilly()
	r.Spec.Access = new(ft(3))
	r.Spec.Curves = arc.ChainLink
	r.Spec.Alignment.PullSpacing = ft(100)
	r.Spec.Slope.Mode = spec.Stepped
	_, err := Plan(r)
	for _, field := range []string{
		"site.obstacles", "site.runs[0].chords", "site.runs[0].ground", "site.runs[0].keep_outs", "site.runs[0].pins",
		"site.runs[0].slopes", "site.runs[0].neighbours", "site.runs[0].start.line_post_of", "site.runs[0].end.line_post_of",
		"spec.curves", "spec.access", "spec.alignment", "spec.slope",
	} {
		if err == nil || !strings.Contains(err.Error(), "\n  "+field+": needs rules version 2; this quote is of version 1") {
			t.Errorf("%s is not refused in: %v", field, err)
		}
	}
}

// Every choice that came with rules version 3 is refused below it, by its path.
func TestVersionTwoKnowsNoOptions(t *testing.T) {
	for rules := 1; rules <= landVersion; rules++ {
		r := ask(t, yard(), privacy(), Pricing{})
		r.RulesVersion = rules
		r.Site.Runs[0].Gates[1].Slides = true
		r.Site.Conditions.Wind = site.Wind{Speed: 115, Exposure: "C"}
		s := &r.Spec
		s.Family, s.Details = "chain-link", spec.Details{"mesh": "2 in"}
		s.Layout.Hang, s.Layout.Insertion, s.Layout.BracketGap = spec.Between, measure.Inch, measure.Inch
		s.Posts.Size, s.Posts.TerminalSize, s.Posts.GateSize = "2.375od", "2.875od", "4od"
		s.Holes.TerminalDepth, s.Holes.TerminalDiameter = ft(4), ft(2)
		s.Concrete.Set, s.Slope.Fill, s.Rails.MaxSpan = spec.Driven, spec.LeaveOpen, 2
		s.Boards.Pattern, s.Boards.Overlap = spec.BoardOnBoard, measure.Inch
		s.Fasteners.Coating, s.Fasteners.ScrewsPerRailEnd = spec.Stainless, 2
		s.Gates.Frame, s.Gates.FrameSize = spec.SteelFrame, "2sq"
		s.Labour = spec.Labour{By: spec.ByTasks, Crew: 2, HoursPerDay: dec("8"), Equipment: []string{"auger"}}
		s.Extras = spec.Extras{CapBoard: "2x6", Trim: "1x4", TrimSides: 2, KickBoard: "2x6", Lattice: ft(1), LatticeLength: ft(8),
			Stock: []measure.Length{ft(8)}, Stain: spec.Stain{Coats: 1, Coverage: dec("150"), Sides: 1, Edges: true}}
		s.Moisture = spec.Moisture{Species: "cedar", Installed: "12 %", Service: "9 %", Temperature: new(dec("20")), Humidity: new(dec("65")), ApplyGap: true}
		_, err := Plan(r)
		for _, field := range []string{
			"site.conditions", "site.runs[0].gates[1].slides", "spec.family", "spec.details.mesh",
			"spec.layout.hang", "spec.layout.insertion", "spec.layout.bracket_gap", "spec.posts.size", "spec.posts.terminal_size",
			"spec.posts.gate_size", "spec.holes.terminal_depth", "spec.holes.terminal_diameter", "spec.concrete.set", "spec.slope.fill",
			"spec.rails.max_span", "spec.boards.pattern", "spec.boards.overlap", "spec.fasteners.coating", "spec.fasteners.screws_per_rail_end",
			"spec.gates.frame", "spec.gates.frame_size", "spec.labour.by", "spec.labour.crew", "spec.labour.hours_per_day", "spec.labour.equipment",
			"spec.extras.cap_board", "spec.extras.trim", "spec.extras.trim_sides", "spec.extras.kick_board", "spec.extras.lattice",
			"spec.extras.lattice_length", "spec.extras.stock", "spec.extras.stain.coats", "spec.extras.stain.coverage",
			"spec.extras.stain.sides", "spec.extras.stain.edges", "spec.moisture.species", "spec.moisture.installed",
			"spec.moisture.service", "spec.moisture.temperature", "spec.moisture.humidity", "spec.moisture.apply_gap",
		} {
			if want := fmt.Sprintf("\n  %s: needs rules version 3; this quote is of version %d", field, rules); err == nil || !strings.Contains(err.Error(), want) {
				t.Errorf("%s is not refused in: %v", field, err)
			}
		}
	}
}

// What a document leaves unsaid that is older than a field is what its rules did.
func TestAnOldDocumentReadsAsItsRulesDid(t *testing.T) {
	later := map[int][]string{
		1: {"access", "alignment", "curves", "slope", "obstacles", "ground", "barred", "most_gap", "top", "stepped"},
		2: {"details", "extras", "moisture", "overlap", "pattern", "coating", "frame", "terminal_size", "max_span", "hang", "by", "conditions", "delivery", "checks"},
		3: {"preferred_suppliers", "stale_after_days", "order_unit"},
	}
	for rules := 1; rules < RulesVersion; rules++ {
		r := ask(t, yard(), privacy(), Pricing{ProfitPercent: dec("25")})
		r.RulesVersion, r.Pricing.StaleAfterDays = rules, nil
		doc := Document(r, build(t, r))
		for last := rules; last < RulesVersion; last++ {
			for _, key := range later[last] {
				if bytes.Contains(doc, []byte(`"`+key+`":`)) {
					t.Errorf("a document of version %d has %q", rules, key)
				}
			}
		}
		back, _, err := ParseDocument(doc)
		if err != nil {
			t.Fatal(err)
		}
		if d := cmp.Diff(r.Spec, back.Spec, decimals); d != "" {
			t.Error(d)
		}
		if diff, err := Replay(doc); err != nil || len(diff) > 0 {
			t.Errorf("replay: %v %v", diff, err)
		}
	}
}

// Which supplier, which unit and how old a price may be came with version 4.
func TestVersionThreeKnowsOneRuleOfBuying(t *testing.T) {
	for rules := 1; rules <= oneUnitVersion; rules++ {
		r := ask(t, straight(ft(24)), privacy(), Pricing{PreferredSuppliers: []string{"acre"}})
		r.RulesVersion = rules
		_, err := Plan(r)
		for _, field := range []string{"pricing.preferred_suppliers", "pricing.stale_after_days"} {
			if want := fmt.Sprintf("\n  %s: needs rules version 4; this quote is of version %d", field, rules); err == nil || !strings.Contains(err.Error(), want) {
				t.Errorf("%s is not refused in: %v", field, err)
			}
		}
		// The lowest figure gets the order, whatever its unit, and then that is wrong.
		r = bargains(t, Pricing{})
		r.RulesVersion, r.Pricing.StaleAfterDays = rules, nil
		if _, err = Build(r); err == nil || !strings.Contains(err.Error(), `prices[gravel].unit: expected "ft3", found "bag"`) {
			t.Errorf("rules %d: gravel by the bag: %v", rules, err)
		}
	}
}

// A quote of version 2 over sloping ground, with something in the way, replays.
func TestVersionTwoReplays(t *testing.T) {
	s := straight(ft(100))
	s.Runs[0].Ground = []site.GroundPoint{{Station: 0, Elevation: ft(1)}, {Station: ft(100), Elevation: ft(5)}}
	s.Runs[0].KeepOuts = []site.KeepOut{{ID: "gas", From: ft(50), To: ft(51)}}
	s.Obstacles = []site.Obstacle{{ID: "oak", Path: []measure.Point{at(20, 0)}, Clearance: ft(1)}}
	f := privacy()
	f.Slope.Mode = spec.Stepped
	r := ask(t, s, f, Pricing{ProfitPercent: dec("25")})
	doc := Document(r, build(t, r))
	for _, key := range []string{"ground", "keep_outs", "obstacles", "barred", "stepped", "top", "most_gap"} {
		if !bytes.Contains(doc, []byte(`"`+key+`":`)) {
			t.Errorf("the document has no %q", key)
		}
	}
	if diff, err := Replay(doc); err != nil || len(diff) > 0 {
		t.Errorf("replay: %v %v", diff, err)
	}
	if layout.Rules > RulesVersion {
		t.Errorf("quotes are made by rules version %d, layouts by %d: a quote says which", RulesVersion, layout.Rules)
	}
}

func TestEveryIDIsNormalised(t *testing.T) {
	const loose, nfc = "e\u0301", "\u00e9"
	s := hilly()
	s.Runs[0].KeepOuts[0].ID, s.Obstacles[0].ID = loose, loose
	s.Runs[0].Start.LinePostOf, s.Runs[0].End.LinePostOf = loose, loose
	s.Conditions = site.Conditions{
		PostStrength: site.PostStrength{Species: loose, Grade: loose, Source: loose},
		Sights:       []site.Sight{{Name: loose}}, Notice: &site.Notice{Rule: loose},
	}
	got := Request{Site: s}.Normalised().Site
	for name, id := range map[string]string{
		"keep-out": got.Runs[0].KeepOuts[0].ID, "obstacle": got.Obstacles[0].ID,
		"start": got.Runs[0].Start.LinePostOf, "end": got.Runs[0].End.LinePostOf,
		"species": got.Conditions.PostStrength.Species, "grade": got.Conditions.PostStrength.Grade, "source": got.Conditions.PostStrength.Source,
		"sight": got.Conditions.Sights[0].Name, "rule": got.Conditions.Notice.Rule,
	} {
		if id != nfc {
			t.Errorf("%s: %q is not in NFC", name, id)
		}
	}
	if s.Obstacles[0].ID != loose || s.Runs[0].KeepOuts[0].ID != loose || s.Conditions.Sights[0].Name != loose || s.Conditions.Notice.Rule != loose {
		t.Error("the caller's site was changed")
	}
}
