package layout

import (
	"cmp"
	"slices"

	"wattle/internal/fault"
	"wattle/internal/measure"
	"wattle/internal/site"
	"wattle/internal/spec"
)

// byStation are the indices of gates in the order a walker meets them.
func byStation(gates []site.Gate) []int32 {
	if len(gates) == 0 {
		return nil
	}
	order := make([]int32, len(gates))
	for i := range order {
		order[i] = int32(i)
	}
	slices.SortStableFunc(order, func(a, b int32) int { return cmp.Compare(gates[a].Station, gates[b].Station) })
	return order
}

// gateLeg places the posts of the gates on one leg, gate by gate.
type gateLeg struct {
	*fixer
	k     int
	leg   site.Leg
	start int32 // the mark at the leg's start

	// The gate before, nil before the first.
	last      *site.Gate
	lastIndex int32
	lastSet   *setPost
	// toEnd: its second post is the one at the leg's end.
	toEnd bool
}

// add places gate g of the run, or notes why it cannot stand. Each of its posts
// is the one at that end of the leg where the two come together, or the last
// gate's second post, or one of its own.
func (p *gateLeg) add(g int32) {
	gate := &p.run.Gates[g]
	at := p.v.Index(int(p.index)).At("gates").Index(int(g))
	set := p.kind(kind{p.spec.GatePostSize(gate.Width, gate.Leaves), spec.GateDuty})
	w := set.width
	opens, closes := gate.Station, gate.Station+gate.Width
	at.Require(p.leaf(*gate) > 0, "width", "an opening of %s leaves nothing for a leaf beside its gaps", gate.Width)
	if gate.Width+w > p.leg.Length()+2*together {
		at.Add("width", "an opening of %s with a post of %s on either side is wider than its stretch, %s from %s to %s",
			gate.Width.Imperial(), w.Imperial(), p.leg.Length().Imperial(), p.at(int(p.index), p.leg.Start), p.at(int(p.index), p.leg.End))
		return
	}
	if p.last != nil && (opens < p.last.Station+p.last.Width || p.toEnd) {
		at.Add("station", "gate %q from %s to %s overlaps gate %q from %s to %s and its posts", gate.ID, p.at(int(p.index), opens), p.at(int(p.index), closes),
			p.last.ID, p.at(int(p.index), p.last.Station), p.at(int(p.index), p.last.Station+p.last.Width))
		return
	}

	if gate.Slides {
		p.checkSlide(at, gate, w)
	}

	// At an end of the leg a gate's post is as wide as the post that stands there
	// without it, at least.
	atStart, atEnd := max(w, p.startWidth()), max(w, p.endWidth())
	switch {
	case near(opens-atStart/2, p.startPost(atStart)):
		m := &p.marks[p.start]
		m.gateOut = g
		m.grow(set.post.Size, w)
	case !p.sharePost(g, set):
		p.ownPost(opens-w/2, set, -1, g)
	}
	p.last, p.lastIndex, p.lastSet = gate, g, set
	p.toEnd = near(closes+atEnd/2, p.endPost(atEnd))
	if !p.toEnd {
		p.ownPost(closes+w/2, set, g, -1)
	}
}

// startWidth and endWidth are those of the posts that stand at the leg's ends
// without the gate.
func (p *gateLeg) startWidth() measure.Length { return p.postAt(p.k).width }

func (p *gateLeg) endWidth() measure.Length {
	return p.postAt((p.k + 1) % len(p.run.Vertices)).width
}

// startPost is the station of a post of width w at the leg's start.
func (p *gateLeg) startPost(w measure.Length) measure.Length {
	if p.k == 0 && !p.run.Closed && p.run.Start.TieIn {
		return p.leg.Start + p.run.Start.WallGap + w/2
	}
	return p.leg.Start
}

// endPost is the station of a post of width w at the leg's end.
func (p *gateLeg) endPost(w measure.Length) measure.Length {
	if p.k == len(p.run.Vertices)-2 && !p.run.Closed && p.run.End.TieIn {
		return p.leg.End - p.run.End.WallGap - w/2
	}
	return p.leg.End
}

// sharePost hangs gate g on the second post of the gate before where the two
// openings leave room for just one, of the larger section. It stands in the
// middle between them.
func (p *gateLeg) sharePost(g int32, set *setPost) bool {
	if p.last == nil {
		return false
	}
	m := &p.marks[len(p.marks)-1]
	from, to := p.last.Station+p.last.Width, p.run.Gates[g].Station
	if !near(to-from, max(m.width, set.width)) {
		return false
	}
	m.gateOut = g
	m.grow(set.post.Size, set.width)
	m.station = (from + to) / 2
	m.at = p.leg.At(m.station)
	return true
}

// ownPost appends a gate's post within the leg.
func (p *gateLeg) ownPost(station measure.Length, set *setPost, in, out int32) {
	leg := p.firstLeg + int32(p.k)
	p.marks = append(p.marks, mark{
		run: p.index, node: -1, vertex: -1, gateIn: in, gateOut: out,
		legIn: leg, legOut: leg,
		size: set.post.Size, width: set.width,
		station: station, at: p.leg.At(station),
	})
}

// leaf is the width of each leaf of a gate.
func (p *planner) leaf(g site.Gate) measure.Length {
	gaps := p.spec.Gates
	if g.Slides {
		return slidingLeaf(g.Width)
	}
	if g.Leaves == 2 {
		return (g.Width - 2**gaps.HingeGap - *gaps.CentreGap) / 2
	}
	return g.Width - *gaps.HingeGap - *gaps.LatchGap
}

// gateStock notes post stock that is too short for a gate's hole, which is the
// same for all gates.
func (p *planner) gateStock(v *fault.List) {
	i := slices.IndexFunc(p.marks, func(m mark) bool { return m.gate() })
	if i < 0 {
		return
	}
	if pit := p.kind(kind{p.marks[i].size, spec.GateDuty}).pit; pit.Embedment > 0 && pit.Stock == 0 {
		v.At("posts").Add("stock", "at gates, %s", p.spec.Short(pit))
	}
}
