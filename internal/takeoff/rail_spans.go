package takeoff

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"wattle/internal/cutting"
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
	l       *layout.Layout
	s       spec.Spec
	longest measure.Length // that a piece may be
}

// piece is a rail over one bay or two, from the bay of the given index on.
type piece struct{ first, bays int }

// pair is the length of a rail over a bay and the next, as it is marked; not ok
// where none goes over both.
func (x spans) pair(i int) (long measure.Length, ok bool) {
	if i < 0 || i+1 >= len(x.l.Bays) || x.s.Layout.Hang != spec.Lapped {
		return 0, false
	}
	a, b := x.l.Bays[i], x.l.Bays[i+1]
	if a.Stretch != b.Stretch || x.l.Stretches[a.Stretch].Stepped || !oneGrade(a, b) {
		return 0, false
	}
	long = cutLength(a.Rail+b.Rail-plumbCut(b, x.s), x.s)
	return long, long <= x.longest
}

// oneGrade reports whether the ground of two bays rises alike, but for what
// rounding elevations to nanometres may make of it.
func oneGrade(a, b layout.Bay) bool {
	const rounded = 16
	alike, fits := measure.MulDivRound(int64(a.Rise), int64(b.Width), int64(a.Width))
	return fits && (measure.Length(alike)-b.Rise).Abs() <= rounded
}

// length is that of a piece, as it is marked.
func (x spans) length(p piece) measure.Length {
	if p.bays == 2 {
		long, _ := x.pair(p.first)
		return long
	}
	return cutLength(x.l.Bays[p.first].Rail, x.s)
}

// course is the pieces of one course of a stretch. Late: where pairs begin it
// takes one bay first.
func (x spans) course(st layout.Stretch, late bool) []piece {
	var all []piece
	for i, end := st.FirstBay, st.FirstBay+st.Bays; i < end; {
		n := 1
		_, goesOn := x.pair(i)
		_, cameOn := x.pair(i - 1)
		if goesOn && (cameOn || !late) {
			n = 2
		}
		all = append(all, piece{i, n})
		i += n
	}
	return all
}

// singles are how rails over one bay each are held.
func singles(l *layout.Layout, s spec.Spec) held {
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
	x := spans{g.l, g.s, longest}
	first := g.twoBay(x, 0)
	if !slices.ContainsFunc(first.steps, func(s Step) bool { return s.Rule == "rail.pair" }) {
		return nil
	}
	return []way{first, g.twoBay(x, 1)}
}

// twoBay is the way in which the courses of the given parity, counted from the
// lowest, take the first pair.
func (g *gathered) twoBay(x spans, parity int) way {
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
			var posts []int
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

// railKind is what pieces have in common that are cut alike.
type railKind struct {
	length        measure.Length
	bays, courses int
}

// addSpans adds the pieces of all courses.
func (w *way) addSpans(x spans, lengths []tally[railKind]) {
	listed, other := 0, 0
	told := make(map[measure.Length]bool)
	for _, all := range lengths {
		for i, k := range all.kinds {
			n := all.times[i]
			w.pieces = append(w.pieces, cutting.Piece{Length: k.length, Count: n * k.courses})
			if listed++; listed > maxKinds {
				other += n * k.courses
				continue
			}
			if first := all.first[i]; !told[k.length] {
				told[k.length] = true
				w.steps = append(w.steps, x.lengthSteps(piece{first, k.bays}, k.length)...)
			}
			w.steps = append(w.steps, step("rail.spans", "", count("courses", k.courses, "course"), count("rails", n, "rail"),
				count("bays", k.bays, "bay"), length("length", k.length)).exactly(amountOf(n*k.courses, "piece")))
		}
	}
	if other > 0 {
		w.steps = append(w.steps, step("rail.other-spans", "").exactly(amountOf(other, "piece")))
	}
}

// lengthSteps are how the length of a piece came about.
func (x spans) lengthSteps(p piece, marked measure.Length) []Step {
	a := x.l.Bays[p.first]
	if p.bays == 1 {
		if a.Rise == 0 || x.l.Stretches[a.Stretch].Stepped {
			return nil
		}
		return []Step{slopeStep(x.l, x.s, p.first, marked)}
	}
	b := x.l.Bays[p.first+1]
	plumb := plumbCut(b, x.s)
	subject := x.l.Posts[a.Start].ID + " to " + x.l.Posts[b.End].ID
	return []Step{step("rail.pair", subject, optional([]Input{length("first", a.Rail), length("second", b.Rail)}, "plumb", plumb)...).
		rounded(lengthText(a.Rail+b.Rail-plumb), "marked to 1/16 in", lengthText(marked))}
}

// mostJoints is how many posts a step names.
const mostJoints = 12

// jointStep says where courses of a stretch are joined.
func jointStep(l *layout.Layout, stretch int, courses, posts []int) Step {
	names := make([]string, 0, mostJoints+1)
	for i, p := range posts {
		if i == mostJoints {
			names = append(names, fmt.Sprintf("and so on to %s", l.Posts[posts[len(posts)-1]].ID))
			break
		}
		names = append(names, l.Posts[p].ID)
	}
	numbers := make([]string, len(courses))
	for i, c := range courses {
		numbers[i] = strconv.Itoa(c + 1)
	}
	noun := "course "
	if len(courses) > 1 {
		noun = "courses "
	}
	name, stations := stretchName(l, stretch)
	return step("rail.joints", name+" "+stations, Input{Name: "courses", Value: noun + strings.Join(numbers, ", ") + " from below"},
		Input{Name: "posts", Value: strings.Join(names, ", ")}).exactly(amountOf(len(posts), "joint"))
}

// cheapest is the way to make the pieces that costs least, of equal ones that
// with the fewest joints, and its plan; first is the plan of f's own way.
func (f sticks) cheapest(first CutPlan, s spec.Spec, offers map[string]Offer) (way, CutPlan, error) {
	var longest measure.Length
	for _, stock := range first.Stocks {
		longest = max(longest, stock.Length)
	}
	best, plan := f.way, first
	ways, plans := []way{f.way}, []CutPlan{first}
	for _, w := range f.others(longest) {
		other := f
		other.way = w
		p, err := other.solve(s, offers)
		if err != nil {
			return way{}, first, err
		}
		ways, plans = append(ways, w), append(plans, p)
		if c := p.Plan.Cost.Cmp(plan.Plan.Cost); c < 0 || c == 0 && w.joined < best.joined {
			best, plan = w, p
		}
	}
	if len(ways) == 1 {
		best.steps = append(slices.Clip(best.steps), step("rail.one-bay", "", length("longest", longest)).exactly("1 bay"))
		return best, plan, nil
	}
	var others []string
	for i, w := range ways {
		if w.name != best.name {
			others = append(others, w.name+" "+plans[i].figure(plans[i].Plan.Cost)+" with "+amountOf(w.joined, "joint"))
		}
	}
	best.steps = append(slices.Clip(best.steps), step("rail.choice", "", Input{Name: "choice", Value: best.name},
		Input{Name: "cost", Value: plan.figure(plan.Plan.Cost)}, Input{Name: "others", Value: strings.Join(others, ", ")}).
		exactly(amountOf(best.joined, "joint")))
	return best, plan, nil
}
