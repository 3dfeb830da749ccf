package takeoff

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"

	"wattle/internal/measure"
	"wattle/internal/site"
	"wattle/internal/spec"
)

// Each leaf by hand. Frames, hinges and uprights are common practice; weights
// are lumber at 35 lb/ft3 [LUM-1w], pipe at 10.69 (D - t) t [AS-6], square tube
// at 490 lb/ft3 and wire by its gauge (from memory).
func TestGateLeaves(t *testing.T) {
	for name, want := range map[string]string{
		// 36 - 1/2 - 1/2 = 35 in; 70 in of board less two reveals of 6. 267-3/4 in
		// of 2x4 at 1.2760 = 28.47 lb; 7 boards of 5.8485 lb = 40.94.
		"wood, single": "1 of 35 in: 58 in, 3 x 28 in, brace 67.75 in; 3 hinges; fills 35 in; 69.4 lb",
		// (120 - 2 x 1/2 - 1) / 2 = 59 in. 354-3/4 in = 37.72 lb; 11 boards = 64.33.
		"wood, double": "2 of 59 in: 58 in, 3 x 52 in, brace 82.75 in; 3 hinges; fills 59 in; 102.1 lb",
		// 47 - 2 x 1.66 = 43.68 in, on a tape 43-11/16; square root of (43.68^2 + 54.68^2) = 69.98.
		// 317.04 in at 2.2748 = 60.10 lb; 9 boards = 52.64.
		"steel with boards, single": "1 of 47 in: 58 in, 3 x 43.688 in, brace 70 in; 3 hinges; fills 47 in; 112.7 lb",
		// 18 ft over an opening of 12, so of 12 ft filled in 3 panes and 6 ft of
		// tail in 2. 116 + 3 x 212 + 4 x 54 = 968 in of 2 in tube with 0.12 in of
		// wall: 490/144 x 4 x 1.88 x 0.12 = 3.0707 lb a foot = 247.70; 27 boards
		// (144 / 5.5 = 26.2) = 157.91.
		"steel with boards, sliding": "1 of 216 in: 58 in, 3 x 212 in, 4 x 54 in; 0 hinges; fills 144 in; 405.6 lb",
		// 144 + 2 x 43.68 = 231.36 in = 43.86 lb; fabric of 0.120 in wire, 12 ft of
		// it to the square foot: 10.69 x 0.06^2 x 12 = 0.4618 lb x 23.5 ft2 = 10.85.
		"chain link, single": "1 of 47 in: 72 in, 2 x 43.688 in; 3 hinges; fills 47 in; 54.7 lb",
		// (144 - 2) / 2 = 71 in, over 5 ft: an upright of 72 - 2 x 1.66 in.
		// 348.04 in = 65.98 lb; 35.5 ft2 of fabric = 16.39.
		"chain link, double": "2 of 71 in: 72 in, 2 x 67.688 in, 1 x 68.688 in; 3 hinges; fills 71 in; 82.4 lb",
		// 144 + 2 x 212.68 + 4 x 68.68 = 844.08 in = 160.01 lb; 72 ft2 = 33.25.
		"chain link, sliding": "1 of 216 in: 72 in, 2 x 212.688 in, 4 x 68.688 in; 0 hinges; fills 144 in; 193.3 lb",
		"wire, single":        "1 of 143 in: 0 in, 0 x 0 in; 2 hinges; fills 143 in; 72 lb",
	} {
		k, l := gateJobNamed(t, name).counted(t)
		f := k.Leaves[0]
		got := fmt.Sprintf("%d of %s: %s, %d x %s", f.Leaves, l.Openings[0].LeafWidth.Inches(3), f.Stile.Inches(3), f.Rails, f.Rail.Inches(3))
		if f.Brace > 0 {
			got += ", brace " + f.Brace.Inches(3)
		}
		if f.Uprights > 0 {
			got += fmt.Sprintf(", %d x %s", f.Uprights, f.Upright.Inches(3))
		}
		got += fmt.Sprintf("; %d hinges; fills %s; %s lb", f.Hinges, f.Width.Inches(3), f.Weight)
		if got != want {
			t.Errorf("%s: %s\nwant %s", name, got, want)
		}
	}
}

// gateTold are the figures that the gate's own rules add to a take-off, an item
// and its last step each.
func gateTold(k *Takeoff) map[string]string {
	told := make(map[string]string)
	for _, l := range k.Lines {
		for _, s := range l.Derivation.Steps {
			if strings.HasPrefix(s.Rule, "gate.") && s.Rule != "gate.frame" && s.Rule != "gate.spliced" {
				told[l.Default] = s.Result
			}
		}
	}
	return told
}

// What each gate takes beside its frame, by hand (common practice; bands CHN-3,
// ties AS-4 at the trade's 12 in and 24 in).
func TestGateTakes(t *testing.T) {
	swings := "gate-hinge-box %d hinges, gate-latch 1 latch"
	slides := "gate-catch 1 catch, gate-end-stop 1 end stop, gate-roller 4 rollers"
	for name, want := range map[string]string{
		"wood, single": "gate-hinge 3 hinges, gate-latch 1 latch",
		"wood, double": "gate-drop-rod 1 drop rod, gate-hinge 6 hinges, gate-latch 1 latch",
		// 47 / 5.5 = 8.5: 9 boards, on 3 rails, 2 screws at each.
		"steel with boards, single":  "board-1x6-6ft 9 boards, " + fmt.Sprintf(swings, 3) + ", screw-board 54 screws",
		"steel with boards, sliding": "board-1x6-6ft 27 boards, " + slides + ", screw-board 162 screws",
		// 2 bars with 5 bands each; 47/24 = 1.96: 2 ties on each of 2 rails.
		"chain link, single": "carriage-bolt 10 bolts, gate-corner-1.66od 4 corners, " + fmt.Sprintf(swings, 3) +
			", tension-band-1.66od 10 bands, tension-bar-6ft 2 bars, tie-1.66od 4 ties",
		// 71/24 = 2.96: 3 ties on each of 4 rails, and 6 on each of 2 uprights.
		"chain link, double": "carriage-bolt 20 bolts, gate-corner-1.66od 8 corners, gate-drop-rod 1 drop rod, " + fmt.Sprintf(swings, 6) +
			", gate-tee-1.66od 4 tees, tension-band-1.66od 20 bands, tension-bar-6ft 4 bars, tie-1.66od 24 ties",
		// The two above together: ties 24 + 4.
		"chain link, double and single": "carriage-bolt 30 bolts, gate-corner-1.66od 12 corners, gate-drop-rod 1 drop rod, gate-hinge-box 9 hinges, gate-latch 2 latches, " +
			"gate-tee-1.66od 4 tees, tension-band-1.66od 30 bands, tension-bar-6ft 6 bars, tie-1.66od 28 ties",
		// 144/24 = 6 ties on each of 2 rails; 6 on each of the 2 uprights that stand
		// within the fabric.
		"chain link, sliding": "carriage-bolt 10 bolts, dome-cap-4od 1 cap, gate-catch 1 catch, gate-corner-1.66od 4 corners, gate-end-stop 1 end stop, " +
			"gate-roller 4 rollers, gate-tee-1.66od 8 tees, tension-band-1.66od 10 bands, tension-bar-6ft 2 bars, tie-1.66od 24 ties",
		// 70 / 5.5 = 12.7: 12 courses of 59 in on each of 2 leaves, 3 from a stick of
		// 16 ft; 2 screws at each stile.
		"horizontal boards, double": "board-1x6-16ft 24 pieces, gate-drop-rod 1 drop rod, " + fmt.Sprintf(swings, 6) + ", screw-board 96 screws",
		// (192 - 2) / 2 = 95 in of 72 in panels: 2 on each leaf; 3 rails x 2 ends x 2.
		"panels, double":     "gate-drop-rod 1 drop rod, " + fmt.Sprintf(swings, 6) + ", panel-ornamental-metal-70in-6ft 4 panels, screw-panel 24 screws",
		"split rail, single": fmt.Sprintf(swings, 2) + ", screw-board 12 screws, split-rail-cedar-11ft 3 pieces",
		"wire, single":       "gate-hinge-bolt-hook 2 hinges, gate-latch 1 latch, gate-leaf-tube-12ft 1 leaf",
		// No tube gate is made for 9 ft; the next is of 8 ft.
		"wire, of the next width": "gate-hinge-bolt-hook 2 hinges, gate-latch 1 latch, gate-leaf-tube-8ft 1 leaf",
	} {
		k, _ := gateJobNamed(t, name).counted(t)
		told := gateTold(k)
		var got []string
		for _, l := range slices.Sorted(maps.Keys(told)) {
			got = append(got, l+" "+told[l])
		}
		if text := strings.Join(got, ", "); text != want {
			t.Errorf("%s: %s\nwant %s", name, text, want)
		}
	}
}

// A gate that slides stands on a post more than one that swings, which takes a
// hole, concrete, gravel and a cap as the gate posts beside it do.
func TestRollerPost(t *testing.T) {
	slides := gateJobNamed(t, "steel with boards, sliding")
	with, s := slides.layOut(t)
	without := *with
	without.Openings = append(without.Openings[:0:0], with.Openings...)
	without.Openings[0].Roller = nil
	a, err := Count(with, s, nil)
	if err != nil {
		t.Fatal(err)
	}
	b, err := Count(&without, s, nil)
	if err != nil {
		t.Fatal(err)
	}
	for item, want := range map[string]string{
		"post-6x6-10ft": "1", "cap-6x6": "1",
		// 36 in deep, 18 in wide, 6 in of gravel: pi/4 x 18^2 x 30 in less 5.5^2 x 30
		// = 3.8927 ft3 [AS-11a], / 0.6 [CON-1].
		"concrete-80lb": "6.4878",
		"gravel":        "0.8836", // pi/4 x 18^2 x 6 in
	} {
		more, err := lineOf(t, a, item).Net.Sub(lineOf(t, b, item).Net)
		if err != nil || !strings.HasPrefix(more.String(), want) {
			t.Errorf("%s: %s more with a roller post, want %s", item, more, want)
		}
	}
}

// What a gate cannot be is said with where it stands in the request.
func TestGatesThatCannotBe(t *testing.T) {
	narrow := steelFrame("6.625od")
	narrow.Gates.HingeGap = new(measure.Must("12 in"))
	low := steelFrame("6.625od")
	low.Height, low.Rails.TopReveal, low.Rails.BottomReveal = 3*ft, new(11*measure.Inch), new(11*measure.Inch)
	for _, c := range []struct {
		gateJob
		want string
	}{
		{gateJob{"wood that slides", "8 ft", 0, spec.Spec{Height: 6 * ft}, ""},
			"1 thing(s) to put right\n  site.runs[0].gates[0]: gate way slides, and a leaf of wood does not carry itself; expected one that swings, or steel as spec.gates.frame"},
		{gateJob{"wood that slides, wide", "14 ft", 0, spec.Spec{Height: 6 * ft}, "4 ft"}, // no stick is long enough for its brace
			"1 thing(s) to put right\n  site.runs[0].gates: gate way slides, and a leaf of wood"},
		{gateJob{"a tube gate that slides", "12 ft", 0, spec.Spec{Family: spec.Wire, Height: 4 * ft}, ""},
			"site.runs[0].gates[0]: gate way: a tube gate that is bought whole swings; expected one that does not slide"},
		{gateJob{"stiles that meet", "2 ft", 1, narrow, ""},
			"site.runs[0].gates[0]: gate way: expected leaves wider than two stiles of 6-5/8 in, found a leaf of 11-1/2 in"},
		{gateJob{"rails that meet", "6 ft", 1, low, ""},
			"spec.gates.frame_size: 2 rails of 6-5/8 in leave nothing of a leaf 1 ft high"},
	} {
		l, s := c.layOut(t)
		if _, err := Count(l, s, nil); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v\nwant %s", c.name, err, c.want)
		}
	}
}

// A job without a gate takes nothing of one.
func TestNoGate(t *testing.T) {
	s := steelFrame("2sq").WithDefaults()
	k := countedAt(t, site.Site{Runs: []site.Run{{ID: "front", Vertices: []measure.Point{{}, {East: 20 * ft}}}}}, s)
	for _, l := range k.Lines {
		if l.Category == GateParts {
			t.Errorf("%s %s", l.Item, l.Net)
		}
	}
}

// The frame of a steel leaf is none of the fence's rails, whichever bays those
// span.
func TestSteelLeavesTakeNoRails(t *testing.T) {
	long := steelFrame("1.66od")
	long.Rails.MaxSpan = 2
	k, _ := gateJob{"", "4 ft", 1, long, ""}.counted(t)
	for _, c := range k.Cuts {
		for _, p := range c.Plan.Patterns {
			if strings.HasPrefix(c.Use, "rails") && slices.Contains(p.Cuts, k.Leaves[0].Stile) {
				t.Errorf("a stile of %s is cut from rails", k.Leaves[0].Stile.Imperial())
			}
		}
	}
}

// Tube gates are made in some widths; what the next one leaves open is told
// (common practice).
func TestTubeGatesLeaveOpen(t *testing.T) {
	for _, c := range []struct {
		opening string
		leaves  int
		item    string
		want    string // of the caution
	}{
		{"12 ft", 1, "gate-leaf-tube-12ft", ""},
		{"12 ft 4 in", 1, "gate-leaf-tube-12ft", ""},
		{"3 ft", 1, "gate-leaf-tube-3ft", ""},
		{"5 ft", 1, "gate-leaf-tube-4ft", "site.runs[0].gates[0]: No tube gate is made for 5 ft at gate way; one of 4 ft leaves 1 ft of it open: a narrower opening, or a fixed piece of fence beside the gate."},
		{"10 ft", 2, "gate-leaf-tube-4ft", "site.runs[0].gates[0]: No tube gate is made for 5 ft at gate way; one of 4 ft leaves 1 ft of it open: a narrower opening, or a fixed piece of fence beside the gate."},
		{"2 ft 6 in", 1, "gate-leaf-tube-29in", ""},
	} {
		k, _ := gateJob{c.opening, c.opening, c.leaves, spec.Spec{Family: spec.Wire, Height: 4 * ft}, ""}.counted(t)
		found, got := false, ""
		for _, l := range k.Lines {
			found = found || l.Default == c.item
		}
		for _, x := range k.Cautions {
			if x.Code == "gate-filler" {
				got += x.Field + ": " + x.Text
			}
		}
		if !found || got != c.want {
			t.Errorf("%s: %s is %t, %q\nwant %q", c.opening, c.item, found, got, c.want)
		}
	}
}
