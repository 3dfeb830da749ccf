package spec

import (
	"strings"
	"testing"

	"wattle/internal/fault"
	"wattle/internal/measure"
	"wattle/internal/section"
)

// AS-2 (ASTM F567-07 5.1; city code of Byesville OH, seen): 4 x the outside
// diameter of pipe up to 4 in, 3 x above. Others by 3 x the nominal width are
// common practice; what is driven makes no hole wider than itself.
func TestHoleForSize(t *testing.T) {
	for _, c := range []struct {
		size section.Section
		set  Setting
		want string
	}{
		{"2.375od", WetSet, "9.5 in"}, {"2.875od", WetSet, "11.5 in"}, {"4.000od", WetSet, "16 in"}, {"6.625od", WetSet, "19.875 in"}, // AS-2
		{"2sq", WetSet, "6 in"}, {"5vinyl", DrySet, "15 in"}, {"4rd", NoSet, "12 in"}, // common practice
		{"tee", WetSet, "1.375 in"}, {"2.375od", Driven, "2.375 in"},
	} {
		s := sixFoot()
		s.Posts.Size, s.Concrete.Set = c.size, c.set
		s = s.WithDefaults()
		if got := s.HoleDiameter(c.size, LineDuty); got != measure.Must(c.want) {
			t.Errorf("%s, %s: %s, want %s", c.size, c.set, got, c.want)
		}
	}
}

// Pits of line, terminal and gate posts: depth x diameter, embedment, rule.
func TestPitsByDuty(t *testing.T) {
	no := false
	chain := Posts{Size: "2.375od", TerminalSize: "2.875od"}
	for _, c := range []struct {
		name                 string
		posts                Posts
		holes                Holes
		set                  Setting
		line, terminal, gate string
	}{
		// CON-6 (MIL-HDBK-1013/10 glossary, seen): terminal 12 x 36 in, line 10 x
		// 36 in; the gate's 6 in more are common practice.
		{"CON-6", chain, Holes{Rules: "published-chain-link"}, WetSet,
			"36 x 10 by minimum", "36 x 12 by minimum", "42 x 12 by minimum"},
		{"CON-6 below frost", chain, Holes{Rules: "published-chain-link", FrostDepth: 40 * in}, WetSet,
			"40 x 10 by frost", "40 x 12 by frost", "46 x 12 by frost"},
		{"CON-6, a diameter of the spec's own", chain, Holes{Rules: "published-chain-link", TerminalDiameter: 14 * in}, WetSet,
			"36 x 10 by minimum", "36 x 14 by minimum", "42 x 14 by minimum"},
		// AS-2 for a fence of 6 ft, 30 in.
		{"AS-2", chain, Holes{}, WetSet, "30 x 9.5 by height", "30 x 11.5 by height", "36 x 11.5 by height"},
		{"deep terminals", chain, Holes{TerminalDepth: 40 * in}, WetSet,
			"30 x 9.5 by height", "40 x 11.5 by terminal", "40 x 11.5 by terminal"},
		{"terminals no deeper than the rules", chain, Holes{TerminalDepth: 20 * in}, WetSet,
			"30 x 9.5 by height", "30 x 11.5 by height", "36 x 11.5 by height"},
		{"one size, wider terminal holes", Posts{}, Holes{TerminalDiameter: 16 * in}, WetSet,
			"30 x 12 by height", "30 x 16 by height", "36 x 16 by height"},
		{"one size, holes under the rule's", Posts{}, Holes{Diameter: 10 * in}, WetSet,
			"30 x 10 by height", "30 x 10 by height", "36 x 10 by height"},
		{"driven", chain, Holes{FrostDepth: 48 * in}, Driven,
			"30 x 2.375 by driven", "30 x 2.875 by driven", "30 x 2.875 by driven"},
		{"driven deeper at terminals", chain, Holes{MinDepth: 24 * in, ByHeight: &no, TerminalDepth: 40 * in}, Driven,
			"24 x 2.375 by driven", "40 x 2.875 by driven", "40 x 2.875 by driven"},
		// T posts are driven, wood ends between them set in holes.
		{"tee and wood", Posts{Size: "tee", TerminalSize: "6rd"}, Holes{MinDepth: 24 * in, ByHeight: &no, FrostDepth: 36 * in}, WetSet,
			"24 x 1.375 by driven", "36 x 18 by frost", "42 x 18 by frost"},
	} {
		s := sixFoot()
		s.Posts, s.Holes, s.Concrete.Set = c.posts, c.holes, c.set
		s = s.WithDefaults()
		terminal := s.Posts.TerminalSize
		for _, p := range []struct {
			size section.Section
			duty Duty
			want string
		}{{s.Posts.Size, LineDuty, c.line}, {terminal, TerminalDuty, c.terminal}, {terminal, GateDuty, c.gate}} {
			pit := s.Pit(p.size, p.duty)
			depth, rest, _ := strings.Cut(p.want, " x ")
			diameter, rule, _ := strings.Cut(rest, " by ")
			if pit.Depth != measure.Must(depth+" in") || pit.Diameter != measure.Must(diameter+" in") || string(pit.Rule) != rule {
				t.Errorf("%s, %s: %s x %s by %s, want %s", c.name, p.size, pit.Depth, pit.Diameter, pit.Rule, p.want)
			}
			under := 6 * in
			if pit.Driven() {
				under = 0
			}
			if pit.Depth != pit.Gravel+pit.Float+pit.Embedment || pit.Gravel+pit.Float != under {
				t.Errorf("%s, %s: %s of gravel, %s embedded of %s", c.name, p.size, pit.Gravel, pit.Embedment, pit.Depth)
			}
		}
	}
}

func TestBadHoles(t *testing.T) {
	for _, c := range []struct {
		name   string
		change func(*Spec)
		want   string
	}{
		{"no such set", func(s *Spec) { s.Holes.Rules = "odd" }, `holes.rules: "odd" is no set of holes; expected by-size, published-chain-link`},
		{"a narrow terminal hole", func(s *Spec) { s.Posts.TerminalSize, s.Holes.TerminalDiameter = "6x6", 5*in }, "holes.terminal_diameter: a hole of 5 in takes no post of 5-1/2 in"},
		{"gravel under driven posts", func(s *Spec) { s.Concrete.Set, s.Holes.Gravel = Driven, new(6*in) }, "holes.gravel: driven posts have no hole; expected none, found 6 in"},
		{"a float under driven posts", func(s *Spec) { s.Concrete.Set, s.Holes.Float = Driven, 2*in }, "holes.float: driven posts have no hole; expected none, found 2 in"},
		{"a crown on driven posts", func(s *Spec) { s.Concrete.Set, s.Concrete.Crown = Driven, in }, "concrete.crown: driven posts have no hole; expected none, found 1 in"},
		{"no stock for terminals", func(s *Spec) { s.Holes.TerminalDepth = 90 * in }, "posts.stock: a post of 13 ft"},
		{"rails that set posts into one another", func(s *Spec) { s.Layout.Hang, s.Layout.RailStock = Between, 20*in }, "layout.rail_stock: 1 ft 8 in between two posts sets them 1 ft 11-1/2 in apart on centre; expected at least 2 ft"},
	} {
		s := sixFoot()
		c.change(&s)
		v := new(fault.List)
		new(s.WithDefaults()).Validate(v)
		if err := v.Err(); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %s", c.name, err, c.want)
		}
	}
}

// Driven posts have no hole that could be too narrow, or too shallow for the
// concrete.
func TestDrivenPostsAreSound(t *testing.T) {
	s := sixFoot()
	s.Concrete.Set, s.Concrete.StopBelowGrade, s.Holes.Gravel = Driven, 90*in, new(measure.Length)
	v := new(fault.List)
	if new(s.WithDefaults()).Validate(v); v.Err() != nil {
		t.Error(v.Err())
	}
}

func TestHoleSets(t *testing.T) {
	for _, name := range HoleSets() {
		if holeSets[name].Source == "" {
			t.Errorf("%s has no source", name)
		}
	}
}
