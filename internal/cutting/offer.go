package cutting

import (
	"slices"
	"sync"
)

// scratch is the memory of a solver, which the next one goes on to use.
type scratch struct {
	// The best plan, and the one before it, whose memory the next one takes.
	kept, before held
	// A plan that is offered, its cuts where they are not the offer's own, and what
	// is left to cut.
	tidied  []line
	trimmed []cut
	left    []int
	// What greedy plans use up, and what they are made of.
	uncut  []int
	filled fills
}

// held is a plan with cuts of its own.
type held struct {
	lines []line
	cuts  []cut
}

var scratches = sync.Pool{New: func() any { return new(scratch) }}

// release gives the scratch back; the best plan is not used any more.
func (s *solver) release() {
	if len(s.sizes) <= manySizes && len(s.best) <= smallPool {
		scratches.Put(s.scratch)
	}
	s.best, s.scratch = nil, nil
}

// offer takes lines, which cut at least what is demanded, as the best plan if
// they are lighter, or as light with less length. Most plans that are offered are
// no better, so they are weighed before they are kept.
//
// What is kept are lines that cut exactly what is demanded: pieces beyond the
// demand are left out and every stick becomes the cheapest one that still holds
// its pieces.
func (s *solver) offer(lines []line) {
	var weight, length, price int64
	s.left = append(s.left[:0], s.demand...)
	s.tidied, s.trimmed = s.tidied[:0], s.trimmed[:0]
	for _, l := range lines {
		for left := l.times; left > 0; {
			p := l.pattern
			n := p.repeats(s.left)
			if n == 0 {
				if p.cuts = s.within(p.cuts); len(p.cuts) == 0 {
					break
				}
				n = p.repeats(s.left)
			}
			n = min(left, n)
			left -= n
			p.stick = s.cheapest(p)
			l := line{p, n}
			l.takeFrom(s.left)
			st := &s.sticks[p.stick]
			weight += int64(n) * st.weight
			length += int64(n) * st.length
			price += int64(n) * st.price
			if weight > s.bestWeight {
				return
			}
			s.tidied = append(s.tidied, l)
		}
	}
	if weight < s.bestWeight || length < s.bestLength {
		s.keep()
		s.bestWeight, s.bestLength, s.bestPrice = weight, length, price
		s.aim()
	}
}

// within are the cuts of pieces that are left, no more of each than are left.
func (s *solver) within(cuts []cut) []cut {
	from := len(s.trimmed)
	for _, c := range cuts {
		if n := min(c.count, s.left[c.piece]); n > 0 {
			s.trimmed = append(s.trimmed, cut{c.piece, n})
		}
	}
	return s.trimmed[from:]
}

// keep makes a copy of the tidied lines the best plan, equal patterns one line.
func (s *solver) keep() {
	best := held{s.before.lines[:0], s.before.cuts[:0]}
next:
	for _, l := range s.tidied {
		for i := range best.lines {
			if b := &best.lines[i]; b.stick == l.stick && slices.Equal(b.cuts, l.cuts) {
				b.times += l.times
				continue next
			}
		}
		from := len(best.cuts)
		best.cuts = append(best.cuts, l.cuts...)
		l.cuts = best.cuts[from:len(best.cuts):len(best.cuts)]
		best.lines = append(best.lines, l)
	}
	s.best, s.kept, s.before = best.lines, best, s.kept
}

// complete offers lines together with greedy ways to cut what is left.
func (s *solver) complete(rest []int, lines []line) {
	if !slices.ContainsFunc(rest, func(n int) bool { return n > 0 }) { // there is one way
		s.offer(lines)
		return
	}
	for only := range s.sticks {
		s.uncut = append(s.uncut[:0], rest...)
		s.offer(s.greedy(s.uncut, only, lines, &s.filled))
	}
	if len(s.sticks) > 1 {
		s.uncut = append(s.uncut[:0], rest...)
		s.offer(s.greedy(s.uncut, -1, lines, &s.filled))
	}
}
