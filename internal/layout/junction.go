package layout

import (
	"math/big"

	"wattle/internal/fault"
	"wattle/internal/measure"
	"wattle/internal/site"
)

// mostSpots is the most spots of crossings, two each.
const mostSpots = 100_000

// joinCrossings gives runs that cross a post there that both share, and reports
// whether there is any. Where legs lie along one another, and where a fixed post
// stands so near that a post at the crossing would stand in it, there is no such
// place; that stays a matter of caution.
func (p *planner) joinCrossings(v *fault.List) (bool, error) {
	pairs, _ := p.crossings()
	var spots []spot
	for _, pair := range pairs {
		a, b := &p.legs[pair[0]], &p.legs[pair[1]]
		onA, onB, cross := crossing(a.Leg, b.Leg)
		if !cross || !p.roomAt(pair[0], onA) || !p.roomAt(pair[1], onB) {
			continue
		}
		if len(spots) >= mostSpots {
			return false, fault.New(fault.Exhausted, "LAYOUT_TOO_LARGE", "runs cross in more than %d places; divide the site into several jobs", mostSpots/2)
		}
		for i, leg := range pair {
			spots = append(spots, spot{leg: leg, station: [2]measure.Length{onA, onB}[i], pin: none, crosses: true, end: int32(len(spots) / 2)})
		}
	}
	if len(spots) == 0 {
		return false, nil
	}
	moved := p.insert(spots, v)
	for i := range p.joins {
		p.joins[i] = [2]int32{moved[p.joins[i][0]], moved[p.joins[i][1]]}
	}
	first := make([]int32, len(spots)/2) // the mark of a crossing's one spot, found before the other
	for i := range first {
		first[i] = none
	}
	for _, s := range spots {
		if first[s.end] == none {
			first[s.end] = s.mark
			continue
		}
		p.joins = append(p.joins, [2]int32{first[s.end], s.mark})
	}
	return true, nil
}

// roomAt reports whether a post fits at a station of a leg: no fixed post stands
// in its way, though one may stand there already.
func (p *planner) roomAt(leg int32, station measure.Length) bool {
	own := p.terminalPost().width
	before, after := p.around(leg, station)
	for _, m := range [...]int32{before, after} {
		if m == none {
			return false // in a wall's gap
		}
		apart := (p.stationOn(leg, m) - station).Abs()
		if apart > together && apart < (p.marks[m].width+own)/2 {
			return false
		}
	}
	return true
}

// crossing is where two legs cross, as stations of both, to the nearest
// nanometre; not where they only touch, or run side by side.
func crossing(a, b site.Leg) (onA, onB measure.Length, cross bool) {
	r, s, q := a.To.Sub(a.From), b.To.Sub(b.From), b.From.Sub(a.From)
	den := crossProduct(r, s)
	if den.Sign() == 0 {
		return 0, 0, false
	}
	onA, inA := partOf(a, crossProduct(q, s), den)
	onB, inB := partOf(b, crossProduct(q, r), den)
	return onA, onB, inA && inB
}

// partOf is the station num/den of the way along a leg, and whether it lies
// within.
func partOf(l site.Leg, num, den *big.Int) (measure.Length, bool) {
	if den.Sign() < 0 {
		num, den = num.Neg(num), new(big.Int).Neg(den)
	}
	if num.Sign() <= 0 || num.Cmp(den) >= 0 {
		return 0, false
	}
	num.Mul(num, big.NewInt(2*int64(l.Length())))
	num.Add(num, den)
	num.Div(num, new(big.Int).Lsh(den, 1))
	return l.Start + measure.Length(num.Int64()), true
}

func crossProduct(a, b measure.Point) *big.Int {
	x := new(big.Int).Mul(big.NewInt(int64(a.East)), big.NewInt(int64(b.North)))
	return x.Sub(x, new(big.Int).Mul(big.NewInt(int64(a.North)), big.NewInt(int64(b.East))))
}
