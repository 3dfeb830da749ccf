package spacing

import "wattle/internal/measure"

// Where no bay can be under the least width, all that the posts before ask of
// a curve is its least up to some place. Its new lows tell that, the places at
// which it is less than at every place below: pieces that fall, or are of one
// place. Between and past them the least so far stays what it was.

// drawLow appends the new lows of p to a curve that has only new lows.
func (c curve) drawLow(p piece) curve {
	if k := len(c) - 1; k >= 0 {
		if above := p.at - c[k].value(c[k].hi); above >= 0 {
			if above+p.slope*(p.hi-p.lo) >= 0 {
				return c
			}
			p = p.from(p.lo + above/-p.slope + 1)
		}
	}
	if p.slope >= 0 {
		p.hi, p.slope = p.lo, 0
	}
	return c.draw(p)
}

// lows are the places of a curve that has only new lows.
func (c curve) lows() []span {
	apart := 0
	for i := range c {
		if i == 0 || c[i-1].hi+1 < c[i].lo {
			apart++
		}
	}
	list := make([]span, 0, apart)
	for i, p := range c {
		if i > 0 && c[i-1].hi+1 == p.lo {
			list[len(list)-1].hi = p.hi
		} else {
			list = append(list, p.span)
		}
	}
	return list
}

// rising finds the least up to reach(x) of a curve that has only new lows, as
// x goes up.
type rising struct {
	of   curve
	next int // the first piece wholly above the reach
}

// over appends the new lows of that least over the places of a ramp, the
// departure from t added. Places that reach nothing of the curve it leaves out.
func (s *rising) over(r ramp, t measure.Length, onto curve) curve {
	for x, to := r.lo, r.to; x <= r.hi; {
		for s.next < len(s.of) && s.of[s.next].lo <= to {
			s.next++
		}
		side, hi := measure.Length(1), r.hi
		if x < t {
			side, hi = -1, min(hi, t-1)
		}
		p := piece{span: span{x, hi}} // up to the last place for which all this holds
		if r.climbs && s.next < len(s.of) {
			p.hi = min(p.hi, x+s.of[s.next].lo-to-1)
		}
		if s.next > 0 {
			from := s.of[s.next-1]
			p.at = from.value(min(to, from.hi)) + side*(x-t)
			if r.climbs && to <= from.hi {
				p.hi = min(p.hi, x+from.hi-to)
				p.slope = from.slope
			}
			p.slope += side
			onto = onto.drawLow(p)
			if r.climbs {
				to += p.hi - x
				p.hi, onto = s.follow(p.hi, to, hi, side, t, onto)
			}
		}
		if x = p.hi + 1; r.climbs {
			to = r.to + x - r.lo
		}
	}
	return onto
}

// follow goes on up to hi from a place x drawn last, and its reach, with whole
// pieces that go on from one another as they do in the curve. A long curve is
// mostly made of them. It returns the last place.
func (s *rising) follow(x, to, hi, side, t measure.Length, onto curve) (measure.Length, curve) {
	shift := x - to
	last := onto[len(onto)-1]
	low := last.value(last.hi)
	for s.next < len(s.of) {
		p := s.of[s.next]
		p.at += side * (p.lo + shift - t)
		if p.lo != to+1 || p.hi+shift > hi || p.slope+side >= 0 || p.at >= low {
			break
		}
		to = p.hi
		p.lo, p.hi, p.slope = p.lo+shift, p.hi+shift, p.slope+side
		onto = append(onto, p)
		low = p.value(p.hi)
		s.next++
	}
	return to + shift, onto
}
