package spec

import (
	"testing"

	"wattle/internal/measure"
	"wattle/internal/section"
)

func filled(s Spec) *Spec { return new(s.WithDefaults()) }

// AS-2 (ASTM F567-07 5.1, seen): 24 in + 3 in per foot over 4 ft. The same for
// wood is common practice; the last two rows are its proportion for part feet.
func TestHoleDepthByHeight(t *testing.T) {
	for _, c := range []struct{ height, want measure.Length }{
		{6 * ft, 30 * in}, {8 * ft, 36 * in}, {10 * ft, 42 * in}, {12 * ft, 48 * in}, // AS-2
		{4 * ft, 24 * in}, {3 * ft, 24 * in},
		{54 * in, in * 51 / 2}, {5*ft + 4*in, 28 * in},
	} {
		if got, rule := filled(Spec{Height: c.height}).HoleDepth(); got != c.want || rule != ByHeight {
			t.Errorf("%s high: %s by %s, want %s by height", c.height, got, rule, c.want)
		}
	}
}

func TestHoleDepthGoverns(t *testing.T) {
	no := false
	for _, c := range []struct {
		name  string
		holes Holes
		want  measure.Length
		rule  HoleRule
	}{
		{"height", Holes{}, 30 * in, ByHeight},
		{"minimum over height", Holes{MinDepth: 36 * in}, 36 * in, ByMinimum},
		{"minimum as deep as height", Holes{MinDepth: 30 * in}, 30 * in, ByMinimum},
		{"minimum alone", Holes{MinDepth: 20 * in, ByHeight: &no}, 20 * in, ByMinimum},
		{"shallow frost", Holes{FrostDepth: 12 * in}, 30 * in, ByHeight}, // Lakewood WA
		{"frost", Holes{FrostDepth: 42 * in}, 42 * in, ByFrost},          // Chicago
		{"frost and margin", Holes{FrostDepth: 36 * in, FrostMargin: 6 * in}, 42 * in, ByFrost},
	} {
		s := sixFoot()
		s.Holes = c.holes
		if got, rule := filled(s).HoleDepth(); got != c.want || rule != c.rule {
			t.Errorf("%s: %s by %s, want %s by %s", c.name, got, rule, c.want, c.rule)
		}
	}
}

// Trade 4: a 6 ft fence with its post top at 6 ft, a 30 in hole and 6 in of
// gravel or float takes an 8 ft post, 24 in embedded; deeper frost pushes it to
// the next stock length (common practice).
func TestPit(t *testing.T) {
	none := measure.Length(0)
	for _, c := range []struct {
		name                    string
		holes                   Holes
		gate                    bool
		depth, embedment, stock measure.Length
		frostless               measure.Length
	}{
		{"gravel", Holes{}, false, 30 * in, 24 * in, 8 * ft, 8 * ft},
		{"float", Holes{Gravel: &none, Float: 6 * in}, false, 30 * in, 24 * in, 8 * ft, 8 * ft},
		{"neither", Holes{Gravel: &none}, false, 30 * in, 30 * in, 10 * ft, 10 * ft},
		{"frost", Holes{FrostDepth: 42 * in}, false, 42 * in, 36 * in, 10 * ft, 8 * ft},
		{"gate", Holes{}, true, 36 * in, 30 * in, 10 * ft, 10 * ft},
		{"gate in frost", Holes{FrostDepth: 54 * in}, true, 60 * in, 54 * in, 12 * ft, 10 * ft},
		{"too deep", Holes{FrostDepth: 90 * in}, false, 90 * in, 84 * in, 0, 8 * ft},
	} {
		s := sixFoot()
		s.Holes = c.holes
		duty := LineDuty
		if c.gate {
			duty = GateDuty
		}
		p := filled(s).Pit("4x4", duty)
		if p.Depth != c.depth || p.Embedment != c.embedment || p.Stock != c.stock || p.FrostlessStock != c.frostless {
			t.Errorf("%s: depth %s, embedment %s, stock %s, without frost %s", c.name, p.Depth, p.Embedment, p.Stock, p.FrostlessStock)
		}
	}
}

// 3 x the nominal width: 4x4 12 in, 6x6 18 in (common practice).
func TestHoleDiameter(t *testing.T) {
	for _, c := range []struct {
		own        measure.Length
		line, post section.Section
		want       measure.Length
	}{
		{0, "4x4", "4x4", 12 * in},
		{0, "4x4", "6x6", 18 * in},
		{0, "6x6", "6x6", 18 * in},
		{0, "6x6", "4x4", 18 * in}, // not less than the line holes'
		{10 * in, "4x4", "4x4", 10 * in},
		{10 * in, "4x4", "6x6", 18 * in},
		{20 * in, "4x4", "6x6", 20 * in},
	} {
		s := sixFoot()
		s.Posts.Size, s.Holes.Diameter = c.line, c.own
		for _, duty := range []Duty{LineDuty, TerminalDuty, GateDuty} {
			if got := filled(s).HoleDiameter(c.post, duty); got != c.want {
				t.Errorf("line %s holes of %s, post %s: %s, want %s", c.line, c.own, c.post, got, c.want)
			}
		}
	}
}

// A size up where opening / leaves is 4 ft or more (common practice).
func TestGatePostSize(t *testing.T) {
	for _, c := range []struct {
		line, own section.Section
		opening   measure.Length
		leaves    int
		want      section.Section
	}{
		{"4x4", "", 4 * ft, 1, "6x6"},
		{"4x4", "", 4*ft - 1, 1, "4x4"},
		{"4x4", "", 8 * ft, 2, "6x6"},
		{"4x4", "", 8*ft - 1, 2, "4x4"},
		{"6x6", "", 10 * ft, 2, "6x6"},
		{"6x6", "", 3 * ft, 1, "6x6"},
		{"4x4", "4x4", 6 * ft, 1, "4x4"},
		{"4x4", "6x6", 3 * ft, 1, "6x6"},
	} {
		s := sixFoot()
		s.Posts.Size, s.Posts.GateSize = c.line, c.own
		if got := filled(s).GatePostSize(c.opening, c.leaves); got != c.want {
			t.Errorf("%s posts, gate %s in %d leaves: %s, want %s", c.line, c.opening, c.leaves, got, c.want)
		}
	}
}

// No lighter than terminal posts, whatever the rule.
func TestGatePostSizeOfTerminals(t *testing.T) {
	for _, c := range []struct{ line, terminal, want section.Section }{
		{"2.375od", "2.875od", "2.875od"},
		{"4x4", "8sq", "8sq"}, // not the 6x6 of the rule
		{"4x4", "4sq", "6x6"},
		{"tee", "4rd", "4rd"},
		{"tee", "", "tee"},
	} {
		s := sixFoot()
		s.Posts.Size, s.Posts.TerminalSize = c.line, c.terminal
		if got := filled(s).GatePostSize(4*ft, 1); got != c.want {
			t.Errorf("%s posts and %s terminals: gate %s, want %s", c.line, c.terminal, got, c.want)
		}
	}
}

// Common practice, from memory.
func TestGatePostsByLeaf(t *testing.T) {
	for _, c := range []struct {
		line, terminal section.Section
		opening        string
		leaves         int
		want           section.Section
	}{
		{"1.9od", "2.375od", "3 ft 11 in", 1, "2.375od"},
		{"1.9od", "2.375od", "4 ft", 1, "2.875od"},
		{"1.9od", "2.375od", "12 ft", 2, "4od"},
		{"1.9od", "2.375od", "11 ft 11 in", 2, "2.875od"},
		{"1.9od", "2.375od", "12 ft", 1, "4od"},
		{"1.9od", "2.375od", "13 ft", 1, "6.625od"},
		{"2.375od", "8.625od", "13 ft", 1, "8.625od"},
		{"2.375od", "", "5 ft", 1, "2.875od"}, // beside wood frames too
		{"2sq", "", "3 ft", 1, "2sq"},
		{"2sq", "", "4 ft", 1, "3sq"},
		{"2sq", "", "16 ft", 2, "4sq"},
		{"6sq", "", "16 ft", 1, "6sq"},
		{"4rd", "5rd", "7 ft", 1, "5rd"},
		{"4rd", "5rd", "8 ft", 1, "7rd"},
		{"4rd", "8rd", "12 ft", 1, "8rd"},
		{"5vinyl", "", "12 ft", 1, "5vinyl"},
		{"tee", "4rd", "16 ft", 1, "7rd"},
	} {
		s := sixFoot()
		s.Posts.Size, s.Posts.TerminalSize = c.line, c.terminal
		if got := filled(s).GatePostSize(measure.Must(c.opening), c.leaves); got != c.want {
			t.Errorf("%s posts and %s terminals, %s in %d leaves: %s, want %s", c.line, c.terminal, c.opening, c.leaves, got, c.want)
		}
	}
}
