package takeoff

import (
	"testing"

	"wattle/internal/section"
	"wattle/internal/spec"
)

// Heavy on few hinges, and wide for its frame (common practice).
func TestLeafCautions(t *testing.T) {
	heavy := steelFrame("2sq")
	heavy.Gates.HingesPerLeaf = 2
	for _, c := range []struct {
		gateJob
		want string
	}{
		{gateJob{"usual", "4 ft", 1, spec.Spec{Height: 6 * ft}, ""}, ""},
		{gateJob{"wood over 5 ft", "5 ft 2 in", 1, spec.Spec{Height: 6 * ft}, ""}, "gate-leaf-wide"},
		{gateJob{"of just 5 ft", "5 ft 1 in", 1, spec.Spec{Height: 6 * ft}, ""}, ""},
		{gateJob{"steel on two hinges", "6 ft", 1, heavy, ""}, "gate-leaf-heavy"},
		{gateJob{"steel on three", "6 ft", 1, steelFrame("2sq"), ""}, ""},
		{gateJob{"one that slides hangs on none", "12 ft", 0, steelFrame("2sq"), ""}, ""},
	} {
		k, l := c.counted(t)
		got := ""
		for _, x := range k.LeafCautions(l) {
			got += x.Code
		}
		if got != c.want {
			t.Errorf("%s: %q, want %q: %v", c.name, got, c.want, k.LeafCautions(l))
		}
	}
}

// A tube whose wall is not known leaves the frame unweighed, and says so.
func TestFrameOfUnknownWall(t *testing.T) {
	k, _ := gateJob{"", "4 ft", 1, steelFrame("1.375od"), ""}.counted(t)
	f := k.Leaves[0]
	last := f.Weighing.Sentences()[len(f.Weighing.Steps)-1]
	if want := "1 leaf of 3 ft 11 in at gate way, without hardware and the frame: 52.6367... lb of boards = 52.6367... lb, rounded half up to 0.1 lb: 52.6 lb."; last != want {
		t.Errorf("%s\nwant %s", last, want)
	}
}

// Square tube weighs what its section does: 2 in with 0.120 in of wall about 3.07
// lb a foot (490 lb/ft3, common practice). Fabric of 9 gauge: 0.148 in, so
// 10.69 x 0.074^2 x 12 ft (from memory).
func TestGateWeights(t *testing.T) {
	if got := tubePounds("2sq").Fixed(2); got != "3.07" {
		t.Errorf("2 in tube: %s lb/ft", got)
	}
	if got := tubePounds("1.9od").Fixed(2); got != "2.72" { // AS-6
		t.Errorf("1.9 in pipe: %s lb/ft", got)
	}
	if tubePounds(section.Section("1.5od")).Sign() != 0 {
		t.Error("1.5 in pipe has a wall")
	}
	for _, c := range []struct{ gauge, wire, want string }{
		{"9", "0.148 in", "0.702"}, {"11", "0.12 in", "0.462"}, {"11.5", "0.113 in", "0.410"}, {"11.2", "0.12 in", "0.462"},
	} {
		pounds, wire := fabricPounds(spec.Details{"gauge": c.gauge, "mesh": "2 in"})
		if wire.Inches(3) != c.wire || pounds.Fixed(3) != c.want {
			t.Errorf("%s gauge: %s, %s lb/ft2; want %s, %s", c.gauge, wire.Inches(3), pounds.Fixed(3), c.wire, c.want)
		}
	}
}
