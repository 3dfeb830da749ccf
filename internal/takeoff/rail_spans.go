package takeoff

import (
	"slices"

	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/spec"
)

// Rails over two bays. A piece goes past a line post where the two bays lie on
// one line: in one stretch, so never through a gate, a corner, a bend or any
// other fixed post, not stepped, and of one grade. The joints of neighbouring
// courses are staggered: from where two bays may be passed on, a course takes
// either the first pair or one bay first.
//
//	course 2   +-------|-------+-------|-------+
//	course 1   +-------+-------|-------+-------+     + joint  | passed
//	course 0   +-------|-------+-------|-------+
//	           P1      P2      P3      P4      P5

// spans is what decides which bays one piece spans.
type spans struct {
	l     *layout.Layout
	s     *spec.Spec
	pairs []measure.Length // by bay: of a rail over it and the next; 0: none goes over both
}

// spansUpTo are those of pieces that may be so long.
func spansUpTo(longest measure.Length, l *layout.Layout, s *spec.Spec) spans {
	x := spans{l, s, make([]measure.Length, len(l.Bays))}
	if s.Layout.Hang != spec.Lapped {
		return x
	}
	for i := range len(l.Bays) - 1 {
		a, b := l.Bays[i], l.Bays[i+1]
		if a.Stretch != b.Stretch || l.Stretches[a.Stretch].Stepped || !oneGrade(a, b) {
			continue
		}
		if long := cutLength(a.Rail+b.Rail-plumbCut(b, s), s); long <= longest {
			x.pairs[i] = long
		}
	}
	return x
}

// piece is a rail over one bay or two, from the bay of the given index on.
type piece struct{ first, bays int }

// oneGrade reports whether the ground of two bays rises alike, but for what
// rounding elevations to nanometres may make of it.
func oneGrade(a, b layout.Bay) bool {
	const rounded = 16
	alike, fits := measure.MulDivRound(int64(a.Rise), int64(b.Width), int64(a.Width))
	return fits && (measure.Length(alike)-b.Rise).Abs() <= rounded
}

// length is that of a piece, as it is marked.
func (x *spans) length(p piece) measure.Length {
	if p.bays == 2 {
		return x.pairs[p.first]
	}
	return cutLength(x.l.Bays[p.first].Rail, x.s)
}

// course is the pieces of one course of a stretch. Late: where pairs begin it
// takes one bay first.
func (x *spans) course(st layout.Stretch, late bool) []piece {
	all := make([]piece, 0, st.Bays)
	for i, end := st.FirstBay, st.FirstBay+st.Bays; i < end; {
		n := 1
		goesOn := x.pairs[i] > 0
		cameOn := i > st.FirstBay && x.pairs[i-1] > 0
		if goesOn && (cameOn || !late) {
			n = 2
		}
		all = append(all, piece{i, n})
		i += n
	}
	return all
}

// singles are how rails over one bay each are held.
func singles(l *layout.Layout, s *spec.Spec) held {
	var h held
	for i := range l.Bays {
		h.rail(l, piece{i, 1}, s.RailCount())
	}
	return h
}

// twoBays are the ways to hang rails over two bays: the lowest course of every
// stretch takes the first pair, or one bay first. None where no stick reaches
// over any pair.
func (g *gathered) twoBays(longest measure.Length) []way {
	x := spansUpTo(longest, g.l, g.s)
	first := g.twoBay(&x, 0)
	if !slices.ContainsFunc(first.steps, func(s Step) bool { return s.Rule == "rail.pair" }) {
		return nil
	}
	return []way{first, g.twoBay(&x, 1)}
}

// twoBay is the way in which the courses of the given parity, counted from the
// lowest, take the first pair.
func (g *gathered) twoBay(x *spans, parity int) way {
	w := way{name: "over two bays, the lowest from the first of them"}
	if parity == 1 {
		w.name = "over two bays, the lowest after one bay"
	}
	rails := g.s.RailCount()
	if counted, known := railCountStep(g.l, g.s); known {
		w.steps = append(w.steps, counted)
	}
	var h held
	var lengths [2]tally[railKind]
	for i, st := range g.l.Stretches {
		for late := range 2 {
			var courses []int
			for c := (late + parity) % 2; c < rails; c += 2 {
				courses = append(courses, c)
			}
			if len(courses) == 0 {
				continue
			}
			pieces := x.course(st, late == 1)
			posts := slices.Grow([]int(nil), len(pieces)-1)
			for k, p := range pieces {
				h.rail(g.l, p, len(courses))
				lengths[late].add(railKind{x.length(p), p.bays, len(courses)}, p.first, 1)
				if k > 0 {
					posts = append(posts, g.l.Bays[p.first].Start)
				}
			}
			for _, c := range courses {
				w.joints = append(w.joints, Joint{Stretch: i, Course: c, Posts: posts})
			}
			if len(posts) > 0 && len(w.steps) <= maxKinds {
				w.steps = append(w.steps, jointStep(g.l, i, courses, posts))
			}
			w.joined += len(courses) * len(posts)
		}
	}
	slices.SortStableFunc(w.joints, func(a, b Joint) int {
		if a.Stretch != b.Stretch {
			return a.Stretch - b.Stretch
		}
		return a.Course - b.Course
	})
	if w.joined > 0 {
		w.steps = append(w.steps, step("rail.all-joints", "").exactly(amountOf(w.joined, "joint")))
	}
	w.addSpans(x, lengths[:])
	w.addFrames(g.l, g.s, g.out.Leaves)
	w.with = g.railEnds(h)
	return w
}
