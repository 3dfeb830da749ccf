package cutting

import "slices"

// tail looks for a plan at the bound by cutting most sticks snugly, one after
// the other, and solving what is left as a small job of its own. Snug cutting
// wastes next to nothing at first and much at the end, so it stops when its
// waste is out of proportion; then ever more of it is taken back, until the
// tail can be cut within the bound or is most of the job.
func (s *solver) tail() {
	base := 0 // the stick that weighs least for its length
	for i, st := range s.sticks {
		if lessProduct(st.weight, s.sticks[base].length, s.sticks[base].weight, st.length) {
			base = i
		}
	}
	st := s.sticks[base]
	target := s.heaviest(s.priceBound())
	total := target / st.weight // sticks that such a plan can have
	spare := total * st.length
	rest := slices.Clone(s.demand)
	for i, n := range rest {
		spare -= int64(n) * s.sizes[i]
	}
	if spare < 0 || total > maxHead {
		return
	}
	var head []pattern
	var waste int64
	for int64(len(head)) < total-minTail {
		p := s.snug(base, rest, len(head))
		waste += st.length - s.length(p)
		if p.cuts == nil || lessProduct(spare, int64(len(head)+1), waste, total) {
			break
		}
		line{p, 1}.takeFrom(rest)
		head = append(head, p)
	}
	for {
		back := (int(total)-len(head))/3 + 1
		if len(head)-back < int(total)/4 {
			return
		}
		for _, p := range head[len(head)-back:] {
			line{p, -1}.takeFrom(rest)
		}
		head = head[:len(head)-back]
		if s.finish(head, rest, target-int64(len(head))*st.weight) {
			return
		}
	}
}

// finish offers the head together with the best way to cut rest, if that
// weighs no more than limit.
func (s *solver) finish(head []pattern, rest []int, limit int64) bool {
	sub, index := s.part(rest)
	t := newSolver(sub, limit)
	defer t.release()
	t.work = s.work
	t.solve(tailNodes)
	s.nodes += t.nodes
	if t.bestWeight > limit {
		return false
	}
	lines := make([]line, 0, len(head)+len(t.best))
	for _, p := range head {
		lines = append(lines, line{p, 1})
	}
	for _, l := range t.best {
		for i := range l.cuts {
			l.cuts[i].piece = index[l.cuts[i].piece]
		}
		lines = append(lines, l)
	}
	s.offer(lines)
	return true
}
