package spec

import (
	"slices"
	"strings"
	"testing"

	"wattle/internal/measure"
)

func TestPatternValidate(t *testing.T) {
	for _, c := range []struct {
		name string
		Boards
		want []string
	}{
		{"spaced", Boards{Pattern: Spaced, Gap: 2 * in}, nil},
		{"spaced without a gap", Boards{Pattern: Spaced}, []string{"spec.boards.gap: spaced pickets need a gap"}},
		{"board on board", Boards{Pattern: BoardOnBoard, Overlap: in}, nil},
		{"no overlap", Boards{Pattern: BoardOnBoard}, []string{"spec.boards.overlap: expected more than 0 and less than half a board of 5-1/2 in, found 0 in"}},
		{"half a board", Boards{Pattern: BoardOnBoard, Overlap: in * 11 / 4}, []string{"spec.boards.overlap: expected more than 0 and less than half"}},
		{"an overlap and a gap", Boards{Pattern: BoardOnBoard, Overlap: in, Gap: in}, []string{"spec.boards.gap: board on board has an overlap, not a gap"}},
		{"gaps of two rows do not open", Boards{Pattern: BoardOnBoard, Overlap: in, MaxGap: in}, []string{"spec.boards.max_gap: only boards in one row"}},
		{"an overlap side by side", Boards{Overlap: in}, []string{"spec.boards.overlap: only board on board has an overlap"}},
		{"shadow box", Boards{Pattern: ShadowBox, Gap: in * 7 / 2}, nil},
		{"shadow box without a gap", Boards{Pattern: ShadowBox}, []string{"spec.boards.gap: a shadow box needs a gap"}},
		{"a gap of a board", Boards{Pattern: ShadowBox, Gap: in * 11 / 2}, []string{"spec.boards.gap: a shadow box needs a gap"}},
		{"unknown", Boards{Pattern: "louvre"}, []string{`spec.boards.pattern: "louvre" is not known here; expected side-by-side, spaced, board-on-board, shadow-box`}},
	} {
		s := Spec{Height: 6 * ft, CornerAngle: 10 * measure.Degree, Boards: c.Boards}.WithDefaults()
		if got := wrong(s); !slices.EqualFunc(got, c.want, strings.HasPrefix) {
			t.Errorf("%s: got\n%s\nwant\n%s", c.name, strings.Join(got, "\n"), strings.Join(c.want, "\n"))
		}
	}
}

// The rails of a shadow box hang between the posts, if nothing else is said.
func TestShadowBoxHangsBetween(t *testing.T) {
	box := Spec{Height: 6 * ft, Boards: Boards{Pattern: ShadowBox, Gap: in}}
	if got := box.WithDefaults().Layout.Hang; got != Between {
		t.Errorf("hung %s", got)
	}
	box.Layout.Hang = Lapped
	if got := box.WithDefaults().Layout.Hang; got != Lapped {
		t.Errorf("told to lap, hung %s", got)
	}
	if got := (Spec{Height: 6 * ft}).WithDefaults().Layout.Hang; got != Lapped {
		t.Errorf("side by side hung %s", got)
	}
}

func TestFastenersValidate(t *testing.T) {
	for name, c := range map[string]struct {
		change func(*Fasteners)
		want   string
	}{
		"coating": {func(f *Fasteners) { f.Coating = "paint" }, `spec.fasteners.coating: "paint" is not known here; expected hot-dip-galvanized, stainless, bright`},
		"screws":  {func(f *Fasteners) { f.ScrewsPerRailEnd = 101 }, "spec.fasteners.screws_per_rail_end: expected between 1 and 100, found 101"},
	} {
		s := sixFoot()
		c.change(&s.Fasteners)
		if got := wrong(s); len(got) != 1 || got[0] != c.want {
			t.Errorf("%s: %q", name, got)
		}
	}
}
