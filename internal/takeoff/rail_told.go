package takeoff

import (
	"fmt"
	"strconv"
	"strings"

	"wattle/internal/cutting"
	"wattle/internal/layout"
	"wattle/internal/measure"
)

// railKind is what pieces have in common that are cut alike.
type railKind struct {
	length        measure.Length
	bays, courses int
}

// addSpans adds the pieces of all courses.
func (w *way) addSpans(x *spans, lengths []tally[railKind]) {
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
func (x *spans) lengthSteps(p piece, marked measure.Length) []Step {
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
