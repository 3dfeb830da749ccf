package takeoff_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/govalues/decimal"
	"pgregory.net/rapid"

	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/spec"
	"wattle/internal/takeoff"
)

// drawHills is a planned layout whose stretches are sometimes stepped, with
// gaps of up to 3 ft under some bays.
func drawHills(t *rapid.T) (*layout.Layout, spec.Spec) {
	st, s := drawYard(t)
	s.Slope.Fill = rapid.SampledFrom([]spec.Fill{spec.LongerBoards, spec.KickBoard}).Draw(t, "fill with")
	l, err := layout.Plan(st, s)
	if err != nil {
		t.Skip(err)
	}
	for i := range l.Stretches {
		l.Stretches[i].Stepped = rapid.Bool().Draw(t, "stepped")
	}
	for i := range l.Bays {
		l.Bays[i].Fill = measure.Length(rapid.IntRange(-12, 36).Draw(t, "gap")) * measure.Inch
		l.Bays[i].Fill = max(l.Bays[i].Fill, 0)
	}
	return l, s
}

func recount(t *rapid.T, l *layout.Layout, s spec.Spec) *takeoff.Takeoff {
	k, err := takeoff.Count(l, s, nil)
	if err != nil {
		t.Fatal(err)
	}
	return k
}

// A stepped stretch has a face for each of its bays, as wide as the bay and on
// to the wall, and on level ground too its boards are those of its bays.
func TestSteppedStretchesAreBoardedByBay(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l, s := drawHills(t)
		faces := recount(t, l, s).Faces
		for i, st := range l.Stretches {
			if !st.Stepped {
				if f := faces[0]; f.Stretch != i || f.Stepped || f.Bay != 0 {
					t.Fatalf("stretch %d: %+v", i, f)
				}
				faces = faces[1:]
				continue
			}
			for j := range st.Bays {
				f, bay := faces[0], st.FirstBay+j
				faces = faces[1:]
				want := l.Bays[bay].Width
				if j == 0 {
					want += st.StartEnd.Wall
				}
				if j == st.Bays-1 {
					want += st.FinishEnd.Wall
				}
				if f.Stretch != i || !f.Stepped || f.Bay != bay || f.Width != want {
					t.Fatalf("bay %d of stretch %d, %s wide: %+v", bay, i, want, f)
				}
				pitch := s.Boards.Width + s.Boards.Gap
				if n := measure.Length(f.Boards); !f.Opened && (n*pitch < want || (n-1)*pitch >= want) {
					t.Fatalf("%d boards at %s over %s", f.Boards, pitch, want)
				}
			}
		}
		if len(faces) > 0 {
			t.Fatalf("faces of no stretch: %+v", faces)
		}
	})
}

// bought are the boards bought net, and their length, over all stocks.
func bought(t *rapid.T, k *takeoff.Takeoff) (boards int, length measure.Length) {
	for _, l := range k.Lines {
		if l.Category != takeoff.Boards {
			continue
		}
		n, _, ok := l.Net.Int64(0)
		stock, err := measure.Parse(strings.Replace(l.Item[strings.LastIndex(l.Item, "-")+1:], "ft", " ft", 1))
		if !ok || err != nil {
			t.Fatalf("%s of %s: %v", l.Net, l.Item, err)
		}
		boards += int(n)
		length += measure.Length(n) * stock
	}
	return boards, length
}

// Whatever lengths boards are bought at, they are the boards of the faces and
// the leaves; and a face lengthens no more than it has, each to where it
// reaches.
func TestBoardsOfAllLengthsAreTheFaces(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l, s := drawHills(t)
		k := recount(t, l, s)
		total := 0
		for _, f := range k.Faces {
			total += f.Boards
			longer := 0
			for _, b := range f.Longer {
				longer += b.Boards
				need := s.BoardLength() + l.Bays[b.Bay].Fill
				if b.Boards <= 0 || b.Stock < need || b.Stock >= need+measure.Foot || s.Slope.Fill != spec.LongerBoards {
					t.Fatalf("%+v for boards of %s", b, need)
				}
			}
			if longer > f.Boards {
				t.Fatalf("%d of %d boards are longer", longer, f.Boards)
			}
		}
		for _, f := range k.Leaves {
			total += f.Leaves * f.Boards
		}
		if n, _ := bought(t, k); n != total {
			t.Fatalf("%d boards are bought, the faces and leaves have %d", n, total)
		}
	})
}

// More to fill never takes fewer feet of boards, nor less of kick boards.
func TestMoreFillTakesNoLess(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l, s := drawHills(t)
		kicked := func(k *takeoff.Takeoff) (length measure.Length, proven bool) {
			if len(k.Cuts) < 2 {
				return 0, true
			}
			return k.Cuts[1].Plan.Bought, k.Cuts[1].Plan.Proven
		}
		before := recount(t, l, s)
		i := rapid.IntRange(0, len(l.Bays)-1).Draw(t, "bay")
		l.Bays[i].Fill += measure.Length(rapid.IntRange(1, 24).Draw(t, "more")) * measure.Inch
		after := recount(t, l, s)
		_, a := bought(t, before)
		_, b := bought(t, after)
		if b < a {
			t.Fatalf("%s of boards, %s with more to fill", a, b)
		}
		a, proven := kicked(before)
		if b, provenToo := kicked(after); b < a && proven && provenToo {
			t.Fatalf("%s of kick boards, %s with more to fill", a, b)
		}
	})
}

// Keeping old posts raises no quantity, and leaves caps, rails and boards alone.
func TestKeptPostsTakeNoMore(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l, s := drawHills(t)
		before := make(map[string]decimal.Decimal)
		for _, line := range recount(t, l, s).Lines {
			before[line.Item] = line.Net
		}
		kept := 0
		for i := range l.Posts {
			if rapid.Bool().Draw(t, "kept") {
				kept++
				l.Posts[i].Existing, l.Posts[i].Stock, l.Posts[i].Hole = true, 0, layout.Hole{}
			}
		}
		candidates := fmt.Sprint(takeoff.Candidates(l, s))
		posts := 0
		for _, line := range recount(t, l, s).Lines {
			was, had := before[line.Item]
			if !had || line.Net.Cmp(was) > 0 {
				t.Fatalf("%s: %s, before %s", line.Item, line.Net, was)
			}
			switch line.Category {
			case takeoff.Posts:
				n, _, _ := line.Net.Int64(0)
				posts += int(n)
			case takeoff.Concrete, takeoff.Gravel:
			default:
				if line.Net.Cmp(was) != 0 {
					t.Fatalf("%s: %s, before %s", line.Item, line.Net, was)
				}
			}
			if !strings.Contains(candidates, line.Item) {
				t.Fatalf("%s is bought and was no candidate of %s", line.Item, candidates)
			}
		}
		if posts != len(l.Posts)-kept {
			t.Fatalf("%d posts are bought, %d of %d are kept", posts, kept, len(l.Posts))
		}
	})
}
