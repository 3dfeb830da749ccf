package takeoff

import (
	"strings"
	"testing"

	"pgregory.net/rapid"

	"wattle/internal/measure"
	"wattle/internal/spec"
)

// text is a boarding on one line: "18 boards, the last ripped to 2.5 in".
func (c Boarding) text() string {
	s := amountOf(c.Boards, "board")
	switch {
	case c.Opened:
		s += ", gaps opened to " + c.Gap.Inches(3)
	case c.Ripped == 1:
		s += ", the last ripped to " + c.Rip.Inches(4)
	case c.Ripped == 2:
		s += ", the last two ripped to " + c.Rip.Inches(4)
	case c.EndGap > 0:
		s += ", end gap " + c.EndGap.Inches(4)
	}
	return s
}

func TestBoard(t *testing.T) {
	for _, c := range []struct {
		name, source                 string
		width, board, gap, rip, open string
		want                         string
	}{
		{"an 8 ft bay", "LUM-4, single-family-home-remodeling.com/wood-fence.html",
			"96 in", "5.5 in", "0 in", "1.5 in", "0 in", "18 boards, the last ripped to 2.5 in"},
		{"gaps opened over 96 in", "LAY-3, hammerzone.com fence section 8: 12 boards, 11 spaces of 2.727 in",
			"96 in", "5.5 in", "2.4 in", "1.5 in", "3 in", "12 boards, gaps opened to 2.727 in"},
		{"gaps opened exactly to the largest", "common practice",
			"24.25 in", "5.5 in", "0.5 in", "1.5 in", "0.75 in", "4 boards, gaps opened to 0.75 in"},
		{"whole boards only", "common practice", "99 in", "5.5 in", "0 in", "1.5 in", "0 in", "18 boards"},
		{"a rest of just a board", "common practice", "101 in", "5 in", "1 in", "1.5 in", "0 in", "17 boards"},
		{"an end gap", "common practice", "58 in", "3.5 in", "2.5 in", "1.5 in", "0 in", "10 boards, end gap 0.5 in"},
		{"a whole last pitch", "common practice", "60 in", "3.5 in", "2.5 in", "1.5 in", "0 in", "10 boards, end gap 2.5 in"},
		{"a rip of just the least", "common practice", "95 in", "5.5 in", "0 in", "1.5 in", "0 in", "18 boards, the last ripped to 1.5 in"},
		{"a rip under the least", "common practice: (5.5 + 1)/2", "94.5 in", "5.5 in", "0 in", "1.5 in", "0 in", "18 boards, the last two ripped to 3.25 in"},
		{"gaps may not open so far", "common practice: 11 spaces of 2.727 in",
			"96 in", "5.5 in", "2.4 in", "1.5 in", "2.7 in", "13 boards, the last two ripped to 3.35 in"},
		{"one board has no gap to open", "common practice", "6 in", "5.5 in", "0 in", "1.5 in", "3 in", "2 boards, the last two ripped to 3 in"},
		{"a sliver", "common practice", "1 in", "5.5 in", "0 in", "1.5 in", "0 in", "1 board, the last ripped to 1 in"},
		{"no face", "common practice", "0 in", "5.5 in", "0 in", "1.5 in", "0 in", "0 boards"},
	} {
		t.Run(c.name, func(t *testing.T) {
			rip := measure.Must(c.rip)
			got := board(measure.Must(c.width), spec.Boards{Width: measure.Must(c.board), Gap: measure.Must(c.gap),
				MinRip: &rip, MaxGap: measure.Must(c.open)})
			if got.text() != c.want {
				t.Errorf("%s\nwant %s [%s]", got.text(), c.want, c.source)
			}
		})
	}
}

// Boards, gaps, rips and the end gap fill the face to the nanometre, and no rip
// is under the least where the rule can help it.
func TestBoardsFillTheFace(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		least := measure.Length(rapid.Int64Range(0, int64(2*measure.Inch)).Draw(t, "least rip"))
		b := spec.Boards{
			Width:  measure.Length(rapid.Int64Range(int64(4*measure.Inch), int64(12*measure.Inch)).Draw(t, "board")),
			Gap:    measure.Length(rapid.Int64Range(0, int64(3*measure.Inch)).Draw(t, "gap")),
			MinRip: &least,
		}
		b.MaxGap = b.Gap + measure.Length(rapid.Int64Range(-int64(b.Gap), int64(measure.Inch)).Draw(t, "more gap"))
		width := measure.Length(rapid.Int64Range(1, int64(100*measure.Foot)).Draw(t, "face"))
		c := board(width, b)

		n := measure.Length(c.Boards)
		filled := n*b.Width + (n-1)*c.Gap - measure.Length(c.Ripped)*(b.Width-c.Rip) + c.EndGap
		cut := width - filled // what whole nanometres could not share
		if cut < 0 || c.Ripped == 2 && cut > 1 || c.Opened && cut >= n-1 || !c.Opened && c.Ripped < 2 && cut != 0 {
			t.Fatalf("%s leave %d nm of %s", c.text(), cut, width)
		}
		if c.Ripped > 0 && (c.Rip <= 0 || c.Rip >= b.Width) {
			t.Fatalf("a rip of %s out of %s", c.Rip, b.Width)
		}
		if c.Ripped == 1 && c.Boards > 1 && c.Rip < least {
			t.Fatalf("a rip of %s is under %s", c.Rip, least)
		}
		if c.Opened && (c.Gap < b.Gap || c.Gap > b.MaxGap || c.Ripped > 0) {
			t.Fatalf("gaps opened from %s to %s of at most %s", b.Gap, c.Gap, b.MaxGap)
		}
		if c.EndGap > b.Gap {
			t.Fatalf("an end gap of %s is wider than a gap of %s", c.EndGap, b.Gap)
		}
	})
}

// Every boarding explains itself: the steps' figures are the boarding's.
func TestBoardSteps(t *testing.T) {
	rip := measure.Must("1.5 in")
	b := spec.Boards{Width: measure.Must("5.5 in"), MinRip: &rip, MaxGap: measure.Must("3 in")}
	spaced := b
	spaced.Gap = measure.Must("2.4 in")
	for _, c := range []struct {
		width string
		spec.Boards
		want string
	}{
		{"96 in", b, `Face: face 8 ft / pitch 5-1/2 in (5-1/2 in board) = 17.4545... boards, rounded up to whole boards: 18 boards.
Face: 2-1/2 in is left behind the last whole pitch, so the last board, at the finish, is ripped to 2-1/2 in.`},
		{"96 in", spaced, `Face: face 8 ft / pitch 7.9 in (5-1/2 in board + 2.4 in gap) = 12.1518... boards, rounded up to whole boards: 13 boards.
Face: a rip of 1.2 in would be under 1-1/2 in, so one board is left out, and the 11 spaces between 12 boards of 5-1/2 in open evenly to 2.7272... in, at most 3 in.`},
		{"6 in", b, `Face: face 6 in / pitch 5-1/2 in (5-1/2 in board) = 1.0909... boards, rounded up to whole boards: 2 boards.
Face: a rip of 1/2 in would be under 1-1/2 in, so the last two boards, at the finish, are ripped to (5-1/2 in + 1/2 in) / 2 = 3 in each.`},
	} {
		var d Derivation
		d.Steps = board(measure.Must(c.width), c.Boards).appendSteps(nil, "Face", "finish", c.Boards)
		if got := strings.Join(d.Sentences(), "\n"); got != c.want {
			t.Errorf("%s\nwant %s", got, c.want)
		}
	}
}
