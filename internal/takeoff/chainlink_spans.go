package takeoff

import (
	"strconv"
	"strings"

	"wattle/internal/layout"
	"wattle/internal/measure"
)

// span is a piece of fence that fabric, rails and wire run through unbroken,
// between two posts that they end at or pass: a racked stretch, along the grade;
// of a stepped one each bay, level, since the next one hangs at another height.
type span struct {
	stretch, bay  int // bay is -1 for a whole stretch
	plan, along   measure.Length
	start, finish int  // posts
	ends          bool // a stepped bay: it ends at both posts whatever the stretch does
	startEnds     bool // what runs through ends at the post, else it goes on
	finishEnds    bool
	// Of a line (see linesOf): its run and stations in words where it is of more
	// than one span, and whether it comes back to where it began.
	through string
	ring    bool
}

// spansOf are the spans of a layout; what does not hang level follows the ground
// on stepped stretches too. Where a stepped stretch meets another at a post that
// rails would pass, both end there.
func spansOf(l *layout.Layout, level bool) []span {
	stepped := make([]bool, len(l.Posts))
	for _, st := range l.Stretches {
		if st.Stepped && level {
			stepped[st.StartEnd.Post], stepped[st.FinishEnd.Post] = true, true
		}
	}
	ends := func(e layout.StretchEnd) bool { return e.Terminal || stepped[e.Post] }
	var all []span
	for i, st := range l.Stretches {
		if !st.Stepped || !level {
			all = append(all, span{stretch: i, bay: -1, plan: st.Length(), along: l.Along(st), start: st.StartEnd.Post, finish: st.FinishEnd.Post,
				startEnds: ends(st.StartEnd), finishEnds: ends(st.FinishEnd)})
			continue
		}
		for j := range st.Bays {
			bay := st.FirstBay + j
			b := l.Bays[bay]
			all = append(all, span{stretch: i, bay: bay, plan: b.Width, along: b.Width, start: b.Start, finish: b.End, ends: true, startEnds: true, finishEnds: true})
		}
	}
	return all
}

// name is equal spans in words, of which sp is the first: in full, and as part
// of a sum.
func (sp span) name(l *layout.Layout, times int) (name, short string) {
	noun := "equal stretch"
	posts, stations := stretchName(l, sp.stretch)
	switch {
	case sp.bay >= 0:
		noun = "equal bay"
		posts, stations = bayName(l, sp.bay)
	case sp.through != "":
		noun = "equal line"
		posts, stations = l.Posts[sp.start].ID+" to "+l.Posts[sp.finish].ID, sp.through
	}
	name, short = posts+" "+stations, "on "+posts
	if times > 1 {
		short = "on " + amountOf(times, noun)
		name = amountOf(times, noun) + ", the first " + name
	}
	return name, short
}

// spanKinds are spans in kinds: those that are equally long.
type spanKinds struct {
	l     *layout.Layout
	spans []span
	tally[spanKind]
}

type spanKind struct {
	plan, along           measure.Length
	stepped, joined, ring bool
}

func (k spanKind) noun() string {
	switch {
	case k.stepped:
		return "bay"
	case k.joined:
		return "line"
	default:
		return "stretch"
	}
}

func kindsOf(l *layout.Layout, spans []span) spanKinds {
	k := spanKinds{l: l, spans: spans}
	for i, sp := range spans {
		k.add(spanKind{sp.plan, sp.along, sp.ends, sp.through != "", sp.ring}, i, 1)
	}
	return k
}

// each calls what is counted on each kind, with its name.
func (k spanKinds) each(f func(kind spanKind, times int, name, short string)) {
	for i, kind := range k.kinds {
		name, short := k.spans[k.first[i]].name(k.l, k.times[i])
		f(kind, k.times[i], name, short)
	}
}

// grades tell how long the sloped ones are along the ground.
func (k spanKinds) grades() []Step {
	var steps []Step
	k.each(func(kind spanKind, _ int, name, _ string) {
		if kind.plan != kind.along && len(steps) < maxKinds {
			steps = append(steps, step("chain.grade", name, length("plan", kind.plan)).exactly(lengthText(kind.along)))
		}
	})
	return steps
}

// together is the length of all spans.
func (k spanKinds) together() *lengths {
	total := new(lengths)
	k.each(func(kind spanKind, times int, _, short string) {
		total.add(short, kind.along*measure.Length(times), times)
	})
	return total
}

// lengths adds up lengths part by part, as sum does figures.
type lengths struct {
	total, rest measure.Length
	parts       []Input
	other       int
}

func (s *lengths) add(name string, part measure.Length, n int) {
	s.total += part
	if len(s.parts) == maxKinds {
		s.rest, s.other = s.rest+part, s.other+n
		return
	}
	s.parts = append(s.parts, length(name, part))
}

func (s *lengths) step(id string) Step {
	parts := s.parts
	if s.other > 0 {
		parts = append(parts, length("on the other "+strconv.Itoa(s.other), s.rest))
	}
	return step(id, "", parts...).exactly(lengthText(s.total))
}

// spaced counts what stands at most so far apart along each span, rounded up on
// each of them, on each of some lines: the ties of each rail. lines is what the
// sentence calls them: "rail".
func (k spanKinds) spaced(rule, noun string, spacing measure.Length, lines int, line string) (*sum, []Step) {
	total := newSum(noun)
	var steps []Step
	k.each(func(kind spanKind, times int, name, short string) {
		exact := quotient(kind.along, spacing)
		n := ceiling(exact, one).Mul(whole(lines * times))
		if total.open() {
			var how []string
			if !exact.IsInt() {
				how = append(how, "rounded up")
			}
			if lines > 1 {
				how = append(how, "on each of "+amountOf(lines, line))
			}
			if times > 1 {
				how = append(how, "on each of "+amountOf(times, kind.noun()))
			}
			steps = append(steps, step(rule, name, length("along", kind.along), length("spacing", spacing)).
				rounded(amount(exact, noun), strings.Join(how, ", "), amount(n, noun)))
		}
		total.add(short, n, times)
	})
	return total, steps
}

// withSum are steps and, where they are several, the sum of what they found.
func (s *sum) withSum(steps []Step, rule string) []Step {
	if len(steps) > 1 || s.other > 0 {
		return append(steps, s.step(rule))
	}
	return steps
}
