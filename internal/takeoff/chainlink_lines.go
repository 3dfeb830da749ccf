package takeoff

import (
	"fmt"
	"slices"

	"wattle/internal/layout"
	"wattle/internal/measure"
)

// The ends of spans are numbered: that where span i starts is 2 i, that where it
// finishes 2 i + 1.
type spanEnd int

func (e spanEnd) span() int      { return int(e) / 2 }
func (e spanEnd) other() spanEnd { return e ^ 1 }
func (e spanEnd) finishes() bool { return e&1 == 1 }

const noEnd spanEnd = -1

// mates are what each end of a span goes on as on the other side of its post,
// noEnd where it ends there.
func mates(l *layout.Layout, spans []span) []spanEnd {
	mate := slices.Repeat([]spanEnd{noEnd}, 2*len(spans))
	for _, ends := range goingOn(l, spans) {
		for len(ends) > 1 {
			a, b, rest := mateOf(l, spans, ends)
			mate[a], mate[b] = b, a
			ends = rest
		}
	}
	return mate
}

// goingOn are the ends of spans that do not end at their posts, by post.
func goingOn(l *layout.Layout, spans []span) [][]spanEnd {
	at := make([][]spanEnd, len(l.Posts))
	for i, sp := range spans {
		if !sp.startEnds {
			at[sp.start] = append(at[sp.start], spanEnd(2*i))
		}
		if !sp.finishEnds {
			at[sp.finish] = append(at[sp.finish], spanEnd(2*i+1))
		}
	}
	return at
}

// mateOf is the first of the ends at a post, what it goes on as, and the others:
// of its own run what starts where it finishes, or at a closed run's first post
// the last; of two runs that are drawn in line the other's.
func mateOf(l *layout.Layout, spans []span, ends []spanEnd) (first, mate spanEnd, rest []spanEnd) {
	of := func(e spanEnd) (run int, station measure.Length) {
		st := l.Stretches[spans[e.span()].stretch]
		if e.finishes() {
			return st.Run, st.End
		}
		return st.Run, st.Start
	}
	run, station := of(ends[0])
	at := 1
	for i, e := range ends[1:] {
		other, there := of(e)
		if other != run || e.finishes() == ends[0].finishes() {
			continue
		}
		at = i + 1
		if there == station {
			break
		}
	}
	return ends[0], ends[at], slices.Delete(slices.Clone(ends), at, at+1)[1:]
}

// crossing is a post that the fence of one run passes, and at which that of
// another ends though its run goes on.
type crossing struct{ post, passes, ends int }

// endCrossings ends fences at posts that another passes, since one post holds
// one rail: the run listed first passes.
func endCrossings(l *layout.Layout, spans []span) []crossing {
	var all []crossing
	run := func(e spanEnd) int { return l.Stretches[spans[e.span()].stretch].Run }
	for post, ends := range goingOn(l, spans) {
		if len(ends) <= 2 {
			continue
		}
		first, _, rest := mateOf(l, spans, ends)
		for _, e := range rest {
			if sp := &spans[e.span()]; e.finishes() {
				sp.finishEnds = true
			} else {
				sp.startEnds = true
			}
		}
		all = append(all, crossing{post, run(first), run(rest[0])})
	}
	return all
}

// linesOf are spans joined to what runs from one post that it ends at to the
// next, past the posts between, as a rail does; one that ends nowhere is a ring.
func linesOf(l *layout.Layout, spans []span) []span {
	mate := mates(l, spans)
	taken := make([]bool, len(spans))
	var lines []span
	for i := range spans {
		if taken[i] {
			continue
		}
		begin := spanEnd(2 * i)
		for mate[begin] != noEnd {
			if begin = mate[begin].other(); begin.span() == i {
				break
			}
		}
		line := lineFrom(l, spans, mate, begin)
		for e := begin; e != noEnd && !taken[e.span()]; e = mate[e.other()] {
			taken[e.span()] = true
		}
		lines = append(lines, line)
	}
	return lines
}

// lineFrom is the line that begins at an end of a span.
func lineFrom(l *layout.Layout, spans []span, mate []spanEnd, begin spanEnd) span {
	line := spans[begin.span()]
	line.ring = mate[begin] != noEnd
	last, onward := begin, !begin.finishes()
	for e := mate[begin.other()]; e != noEnd && e.span() != begin.span(); e = mate[e.other()] {
		before, next := l.Stretches[spans[last.span()].stretch], l.Stretches[spans[e.span()].stretch]
		onward = onward && !e.finishes() && before.Run == next.Run && before.End == next.Start
		line.plan, line.along = line.plan+spans[e.span()].plan, line.along+spans[e.span()].along
		last = e
	}
	if last == begin {
		return line
	}
	from, to := l.Stretches[spans[begin.span()].stretch], l.Stretches[spans[last.span()].stretch]
	line.start, line.startEnds = spans[begin.span()].at(begin)
	line.finish, line.finishEnds = spans[last.span()].at(last.other())
	if onward {
		line.through = stationsOf(from.Run, from.Start, to.End)
		return line
	}
	station := func(st layout.Stretch, finishes bool) string {
		if finishes {
			return st.End.Imperial()
		}
		return st.Start.Imperial()
	}
	line.through = fmt.Sprintf("(run %d from %s, to %s of run %d)", from.Run+1, station(from, begin.finishes()), station(to, !last.finishes()), to.Run+1)
	return line
}

// at is the post at one end of a span, and whether it ends there.
func (sp span) at(e spanEnd) (post int, ends bool) {
	if e.finishes() {
		return sp.finish, sp.finishEnds
	}
	return sp.start, sp.startEnds
}

// crossed tells of the posts at which a fence ends though its run goes on.
func (c chain) crossed(all []crossing) []layout.Caution {
	if len(all) == 0 {
		return nil
	}
	first := all[0]
	second := fmt.Sprintf("run %d", first.ends+1)
	if first.ends == first.passes {
		second = "what comes there again"
	}
	text := fmt.Sprintf("One post holds the rail and the fabric of one fence. Where two cross, at post %s, run %d passes and %s is counted as ending on both sides of the post",
		c.l.Posts[first.post].ID, first.passes+1, second)
	if more := len(all) - 1; more > 0 {
		text += ", and so on at " + amountOf(more, "other post")
	}
	return []layout.Caution{{Code: "fences-cross", Field: fmt.Sprintf("site.runs[%d]", first.ends), Text: text + "."}}
}
