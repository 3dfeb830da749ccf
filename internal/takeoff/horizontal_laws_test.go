package takeoff_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/govalues/decimal"
	"pgregory.net/rapid"

	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/spec"
	"wattle/internal/takeoff"
)

// drawLying is a spec of boards that lie, bays of any width up to 6 ft.
func drawLying(t *rapid.T) spec.Spec {
	details := fmt.Sprintf("span=%d, rip_top=%t", rapid.IntRange(1, 2).Draw(t, "span"), rapid.Bool().Draw(t, "rip"))
	height := fmt.Sprintf("%d/16 in", rapid.IntRange(16*12, 16*96).Draw(t, "height"))
	return fenceOf(spec.HorizontalBoards, height, details, func(s *spec.Spec) {
		s.Layout.MaxBay = measure.Length(rapid.IntRange(36, 72).Draw(t, "bay")) * measure.Inch
		s.Boards.Gap = measure.Length(rapid.IntRange(0, 64).Draw(t, "gap")) * measure.Sixteenth
		s.Slope.Mode = rapid.SampledFrom([]spec.SlopeMode{spec.Racked, spec.Stepped}).Draw(t, "mode")
		s.Posts.Stock = []measure.Length{24 * ft}
	})
}

// whole is the first number of a step's result: 11 of "11 courses".
func whole(t *rapid.T, k *takeoff.Takeoff, rule, want string) int {
	for _, l := range k.Lines {
		for _, s := range l.Derivation.Steps {
			if s.Rule == rule {
				n := 0
				if _, err := fmt.Sscanf(s.Result, "%d "+want, &n); err != nil {
					t.Fatal(s.Result, err)
				}
				return n
			}
		}
	}
	return 0
}

// Courses with their gaps fit the height, and one more would not; a ripped one
// fills it; and what is cut of boards covers every course from end to end.
func TestCoursesFitTheHeight(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawLying(t)
		l, k := counted(t, drawComb(t), s, nil)
		high, pitch, gap := s.BoardLength(), s.Boards.Width+s.Boards.Gap, s.Boards.Gap
		n := whole(t, k, "horizontal.courses", "course") + whole(t, k, "horizontal.spaced-courses", "course")
		tall := measure.Length(n)*pitch - gap
		if n < 1 || tall > high || tall+pitch <= high {
			t.Fatalf("%d courses of %s on %s are %s of %s", n, s.Boards.Width, pitch, tall, high)
		}
		ripped := caution(k, "ripped-boards")
		if rip := high - tall - gap; s.Details.On("rip_top") != (ripped != "") && rip >= *s.Boards.MinRip && rip > 0 {
			t.Fatalf("%s is left, and %q", rip, ripped)
		}
		if ripped != "" {
			n++
		}
		var needed measure.Length // along the slope, from outer edge to outer edge
		for _, st := range l.Stretches {
			along := l.Along(st)
			if st.Stepped {
				along = st.Length()
			}
			needed += along
		}
		plan, pieces := k.Cuts[0].Plan, 0
		for _, p := range plan.Patterns {
			pieces += p.Times * len(p.Cuts)
		}
		// Every run here has two ends, each with half a 4x4 post; on a slope of up
		// to 20 % that is up to 2 % more.
		past := measure.Length(2*len(l.Stretches)) * measure.Must("1.75 in")
		least := measure.Length(n)*(needed+past) - measure.Length(pieces)*measure.Sixteenth
		most := measure.Length(n)*(needed+past+past/50) + measure.Length(pieces)*measure.Sixteenth
		if plan.Used < least || plan.Used > most || plan.Bought < plan.Used {
			t.Fatalf("%d courses over %s take %s of boards, bought %s", n, needed+past, plan.Used, plan.Bought)
		}
	})
}

// Boards of neighbouring courses are never joined at one post where every two
// bays lie straight and a stock reaches over them, and only at line posts.
func TestJointsAreStaggered(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawLying(t)
		s.Details["span"] = "2"
		l, k := counted(t, straight(fmt.Sprintf("%d in", rapid.IntRange(150, 900).Draw(t, "long"))), s, nil)
		joints := k.Cuts[0].Joints
		if len(joints) == 0 {
			t.Skip("boards over one bay each are cheaper")
		}
		for i, j := range joints {
			if j.Course != i {
				t.Fatalf("course %d comes as number %d", j.Course, i)
			}
			if slices.ContainsFunc(j.Posts, func(p int) bool { return l.Posts[p].Role != layout.Line }) {
				t.Fatalf("joined at %v", j.Posts)
			}
			for _, p := range j.Posts {
				if i > 0 && slices.Contains(joints[i-1].Posts, p) {
					t.Fatalf("courses %d and %d are both joined at %s: %v, %v", i-1, i, l.Posts[p].ID, joints[i-1].Posts, j.Posts)
				}
			}
		}
	})
}

// A dearer board never makes the boards cheaper, where the plans are proven.
func TestDearerLyingBoards(t *testing.T) {
	items := strings.Fields("board-1x6-8ft board-1x6-12ft board-1x6-16ft")
	rapid.Check(t, func(t *rapid.T) {
		s, st := drawLying(t), drawComb(t)
		s.Waste.Boards = new(decimal.Zero) // with it the order decides, not the plan
		offers := make(map[string]takeoff.Offer)
		for _, item := range items {
			offers[item] = takeoff.Offer{Unit: takeoff.Each, Price: decimal.MustNew(rapid.Int64Range(100, 3000).Draw(t, item), 2)}
		}
		_, before := counted(t, st, s, offers)
		dearer := rapid.SampledFrom(items).Draw(t, "dearer")
		o := offers[dearer]
		o.Price = decimal.MustNew(int64(o.Price.Coef())+rapid.Int64Range(1, 500).Draw(t, "by"), 2)
		offers[dearer] = o
		_, after := counted(t, st, s, offers)
		a, b := before.Cuts[0].Plan, after.Cuts[0].Plan
		if a.Proven && b.Proven && b.Cost.Less(a.Cost) {
			t.Fatalf("%s at %s: %s; cheaper than %s before", dearer, o.Price, b.Cost, a.Cost)
		}
	})
}
