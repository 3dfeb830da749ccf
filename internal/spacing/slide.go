package spacing

import "wattle/internal/measure"

// sliding finds the least of a curve over [x + least, reach(x)] as x goes up.
// Both bounds only rise. The least is at a bound or at an end of a piece
// between them; of those ends a queue holds the ones that can still be least,
// ascending in place and value.
type sliding struct {
	of     curve
	least  measure.Length
	lower  int // the first piece not wholly below the lower bound
	upper  int // the first piece not wholly below the upper bound
	queued int // pieces whose low end was queued
	queue  []end
	drawn  curve // what over draws before the departure is added
}

type end struct{ at, value measure.Length }

func (s *sliding) start(of curve, least measure.Length) {
	*s = sliding{of: of, least: least, queue: s.queue[:0], drawn: s.drawn[:0]}
}

func (s *sliding) push(at, value measure.Length) {
	for len(s.queue) > 0 && s.queue[len(s.queue)-1].value >= value {
		s.queue = s.queue[:len(s.queue)-1]
	}
	s.queue = append(s.queue, end{at, value})
}

// over appends to a curve the sliding least over the places of a ramp, the
// departure from t added. Places with nothing of the curve between their
// bounds it leaves out.
func (s *sliding) over(r ramp, t measure.Length, onto curve) curve {
	rise := measure.Length(0)
	if r.climbs {
		rise = 1
	}
	var lines [3]piece
	s.drawn = s.drawn[:0]
	for x := r.lo; x <= r.hi; {
		lo, hi := x+s.least, r.to+rise*(x-r.lo)
		if hi < lo {
			break // and so it is to the ramp's end
		}
		stay := r.hi // the last place for which all below holds
		if !r.climbs {
			stay = min(stay, x+hi-lo)
		}
		n := 0
		for s.lower < len(s.of) && s.of[s.lower].hi < lo {
			s.lower++
		}
		if s.lower < len(s.of) {
			if p := s.of[s.lower]; p.lo <= lo {
				stay = min(stay, p.hi-s.least)
				lines[n] = piece{span{x, stay}, p.value(lo), p.slope}
				n++
			} // else the queue or the upper bound tells when it comes to one
		}
		for s.upper < len(s.of) && s.of[s.upper].lo <= hi {
			p := s.of[s.upper]
			if s.queued == s.upper {
				s.push(p.lo, p.at)
				s.queued++
			}
			if hi <= p.hi {
				break
			}
			s.push(p.hi, p.value(p.hi))
			s.upper++
		}
		if s.upper < len(s.of) {
			if p := s.of[s.upper]; p.lo <= hi {
				if r.climbs {
					stay = min(stay, x+p.hi-hi)
				}
				lines[n] = piece{span{x, stay}, p.value(hi), p.slope * rise}
				n++
			} else if r.climbs {
				stay = min(stay, x+p.lo-hi-1)
			}
		}
		for len(s.queue) > 0 && s.queue[0].at < lo {
			s.queue = s.queue[1:]
		}
		if len(s.queue) > 0 {
			stay = min(stay, s.queue[0].at-s.least)
			lines[n] = piece{span{x, stay}, s.queue[0].value, 0}
			n++
		}
		s.drawn = s.drawn.drawLower(span{x, stay}, lines[:n])
		x = stay + 1
	}
	for _, p := range s.drawn {
		onto = onto.drawDeparture(p, t)
	}
	return onto
}
