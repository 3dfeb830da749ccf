package takeoff

import (
	"fmt"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/spec"
)

// N = ceil((F - o)/(b - o)), back ceil(N/2), front floor(N/2) (common practice).
func TestBoardRows(t *testing.T) {
	for _, c := range []struct {
		name, width, overlap, gap string
		want                      string
	}{
		// 95 / 4.5 = 21.1; the last begins at 94.5 in and keeps 1.5 in.
		{"board on board", "96 in", "1 in", "0 in", "11 + 11, 22 boards, the last ripped to 1.5 in"},
		{"a shadow box, its overlap (5.5 - 3.5)/2", "96 in", "", "3.5 in", "11 + 11, 22 boards, the last ripped to 1.5 in"},
		// 1 in + 4 x 4.5 in
		{"whole boards only", "19 in", "1 in", "0 in", "2 + 2, 4 boards"},
		{"a hair more, ripped under the least", "19.1 in", "1 in", "0 in", "3 + 2, 5 boards, the last two ripped to 3.3 in"}, // (5.5 + 1.1)/2
		// An overlap of 1.25 in: (96 - 1.25)/4.25 = 22.3.
		{"a shadow box of 3 in gaps", "96 in", "", "3 in", "12 + 11, 23 boards, the last ripped to 2.5 in"},
		{"one board", "5.5 in", "1 in", "0 in", "1 + 0, 1 board"},
		{"less than the overlap", "0.5 in", "1 in", "0 in", "1 + 0, 1 board, the last ripped to 0.5 in"},
		{"no face", "0 in", "1 in", "0 in", "0 + 0, 0 boards"},
	} {
		b := spec.Boards{Width: measure.Must("5.5 in"), MinRip: new(measure.Must("1.5 in")), Pattern: spec.ShadowBox, Gap: measure.Must(c.gap)}
		if c.overlap != "" {
			b.Pattern, b.Overlap = spec.BoardOnBoard, measure.Must(c.overlap)
		}
		got := board(measure.Must(c.width), b)
		if text := fmt.Sprintf("%d + %d, %s", got.Back, got.Front, got.text()); text != c.want {
			t.Errorf("%s: %s\nwant %s", c.name, text, c.want)
		}
	}
}

// Two rows cover the face: every place of it has a board, the neighbours overlap
// by no less than asked, fewer boards would not reach, and the rows take turns.
func TestRowsCoverTheFace(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := drawRows(t)
		width := measure.Length(rapid.Int64Range(1, int64(100*measure.Foot)).Draw(t, "face"))
		c := board(width, b)
		n := measure.Length(c.Boards)
		if c.Back+c.Front != c.Boards || c.Back != (c.Boards+1)/2 {
			t.Fatalf("%d behind and %d in front of %d", c.Back, c.Front, c.Boards)
		}
		// Twice, since half a gap may be half a nanometre.
		step, lap := pitchTwice(b, b.Gap), overlapTwice(b)
		if n > 1 && (n-1)*step+lap >= 2*width || n*step+lap < 2*width {
			t.Fatalf("%s are not the fewest that cover %s", c.text(), width)
		}
		filled := n*step + lap - 2*measure.Length(c.Ripped)*(b.Width-c.Rip)
		if short := 2*width - filled; short < 0 || short > 3 {
			t.Fatalf("%s leave %d half nm of %s", c.text(), short, width)
		}
		if c.Ripped > 0 && 2*c.Rip < lap && n > 1 || c.Rip >= b.Width || c.EndGap != 0 || c.Opened {
			t.Fatalf("%s that cover their neighbours by %s", c.text(), c.Overlap)
		}
		if c.Ripped == 1 && n > 1 && c.Rip < value(b.MinRip) {
			t.Fatalf("a rip of %s is under %s", c.Rip, value(b.MinRip))
		}
	})
}

// More overlap never takes fewer boards.
func TestMoreOverlapTakesNoFewer(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := drawRows(t)
		b.Pattern, b.Gap, b.Overlap = spec.BoardOnBoard, 0, overlapTwice(b)/2
		width := measure.Length(rapid.Int64Range(1, int64(100*measure.Foot)).Draw(t, "face"))
		before := board(width, b).Boards
		b.Overlap -= measure.Length(rapid.Int64Range(0, int64(b.Overlap-1)).Draw(t, "less"))
		if after := board(width, b).Boards; after > before {
			t.Fatalf("%d boards, with less overlap %d", before, after)
		}
	})
}

func drawRows(t *rapid.T) spec.Boards {
	length := func(low, high measure.Length, name string) measure.Length {
		return measure.Length(rapid.Int64Range(int64(low), int64(high)).Draw(t, name))
	}
	b := spec.Boards{Width: length(4*measure.Inch, 12*measure.Inch, "board"), Pattern: spec.ShadowBox}
	b.MinRip = new(length(0, 2*measure.Inch, "least rip"))
	b.Gap = length(1, b.Width-2, "gap")
	if rapid.Bool().Draw(t, "board on board") {
		b.Pattern, b.Gap, b.Overlap = spec.BoardOnBoard, 0, length(1, (b.Width-1)/2, "overlap")
	}
	return b
}

func TestRowsAreTold(t *testing.T) {
	box := sixFoot(func(s *spec.Spec) { s.Boards.Pattern, s.Boards.Gap = spec.ShadowBox, measure.Must("3.5 in") })
	l := hill("94.25 in, 94.25 in", gaps("8 in, 0 in"))
	k := tookOff(t, l, box, nil)
	says(t, k, "board-1x6-6ft",
		"Each board covers its neighbours by (5-1/2 in - 3-1/2 in) / 2 = 1 in.",
		"P1 to P3 (run 1, 0 in to 15 ft 8-1/2 in): 22 boards behind and 21 boards in front: (16 ft of face - 1 in overlap) / step 4-1/2 in (5-1/2 in board - 1 in overlap) = 42.4444... boards, rounded up to whole boards: 43 boards.",
		"P1 to P3 (run 1, 0 in to 15 ft 8-1/2 in): 3 in is left behind the last whole pitch, so the last board, at the finish, is ripped to 3 in.")
	says(t, k, "board-1x6-7ft",
		"P1 to P2 (run 1, 0 in to 7 ft 10-1/4 in): 8 ft of face / pitch 4-1/2 in (5-1/2 in board - 1 in overlap) = 21.3333... boards, rounded up to whole boards: 22 boards.")
	// 6 nails a board on 3 rails (common practice).
	says(t, k, "nail-8d-ring", "Boards of the fence: 43 boards x 3 rails x 2 nails at each crossing = 258 nails.")
}

// Boards of two rows that do not overlap, or by more than half, are refused and
// never counted.
func TestBadRows(t *testing.T) {
	for _, b := range []spec.Boards{
		{Pattern: spec.BoardOnBoard}, {Pattern: spec.BoardOnBoard, Overlap: measure.Must("2.75 in")},
		{Pattern: spec.BoardOnBoard, Overlap: measure.Must("5.5 in")}, // which go on by nothing
		{Pattern: spec.ShadowBox}, {Pattern: spec.ShadowBox, Gap: measure.Must("5.5 in")}, {Pattern: spec.ShadowBox, Gap: measure.Must("-5.5 in")},
	} {
		s := sixFoot(func(s *spec.Spec) { s.Boards = b })
		l := hill("8 ft")
		l.Openings = []layout.Opening{{Gate: "walk", Leaves: 1, LeafWidth: 3 * ft, Span: 3 * ft}}
		if _, err := Count(l, s, nil); err == nil || !strings.Contains(err.Error(), "spec.boards") {
			t.Errorf("%+v: %v", b, err)
		}
	}
}
