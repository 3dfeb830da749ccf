package layout

import (
	"cmp"
	"fmt"
	"slices"

	"wattle/internal/fault"
	"wattle/internal/measure"
	"wattle/internal/site"
	"wattle/internal/timber"
)

// together is how near two fixed posts stand to be one post.
const together = measure.Inch / 8

// mark is a fixed post as one run sees it; runs that share the post have a mark
// of it each.
type mark struct {
	run     int32
	node    int32 // the post, once meet has found which marks are one
	legIn   int32 // the leg that arrives here, and
	legOut  int32 // the one that leaves; the same within a leg, -1 at an end
	vertex  int32 // -1 within a leg
	gateIn  int32 // the gate of this run whose opening ends here, and
	gateOut int32 // the one whose opening begins here; -1 for fence
	tieIn   bool
	size    timber.Size
	width   measure.Length
	station measure.Length
	at      measure.Point
	turn    measure.Angle // of the run, at a vertex that it passes

	// Found by classify:
	terminal bool
	corner   CornerKind
	covers   bool // the arriving leg does or, at an end, the only one
}

// passes reports that the run goes on at both sides of the mark.
func (m *mark) passes() bool { return m.legIn >= 0 && m.legOut >= 0 }

func (m *mark) gate() bool { return m.gateIn >= 0 || m.gateOut >= 0 }

// grow gives the mark the larger of its own section and another.
func (m *mark) grow(size timber.Size, width measure.Length) {
	if width > m.width {
		m.size, m.width = size, width
	}
}

// leg is a straight side of a run and the marks at its two ends.
type leg struct {
	site.Leg
	run      int32
	from, to int32
}

// fixedRun is where a run's marks and legs are in the planner's.
type fixedRun struct {
	marks, marksEnd int32
	legs, legsEnd   int32
}

// fixRuns finds the fixed posts of every run and notes the ones that cannot
// stand where the site has them. Where the site is not sound, runs that are
// wrong by themselves are passed over.
func (p *planner) fixRuns(v *fault.List, siteSound bool) {
	vertices := 0
	for _, r := range p.site.Runs {
		vertices += len(r.Vertices) + 2*len(r.Gates)
	}
	p.marks = make([]mark, 0, vertices)
	p.legs = make([]leg, 0, vertices)
	p.runs = make([]fixedRun, len(p.site.Runs))
	for i, r := range p.site.Runs {
		if !siteSound {
			alone := new(fault.List)
			if r.Validate(alone); alone.Len() > 0 {
				continue
			}
		}
		p.fixRun(i, v)
	}
}

// fixRun appends the marks and legs of one sound run, in walking order.
func (p *planner) fixRun(i int, v *fault.List) {
	f := fixer{planner: p, index: int32(i), run: &p.site.Runs[i], v: v, firstMark: int32(len(p.marks)), firstLeg: int32(len(p.legs))}
	f.line = p.kind(kind{size: p.spec.Posts.Size})
	legs := f.run.Legs()
	for _, l := range legs {
		p.legs = append(p.legs, leg{Leg: l, run: f.index})
	}
	gates := byStation(f.run.Gates)
	f.vertex(0, legs[0].From, legs[0].Start)
	for k, l := range legs {
		n := 0
		for n < len(gates) && site.LegAt(legs, f.run.Gates[gates[n]].Station) == k {
			n++
		}
		f.fixLeg(k, l, k == len(legs)-1, gates[:n])
		gates = gates[n:]
	}
	if !f.run.Closed {
		f.tieIn(&p.marks[f.firstMark], f.run.Start, 0, legs[0], true)
		f.tieIn(&p.marks[len(p.marks)-1], f.run.End, len(legs)-1, legs[len(legs)-1], false)
	}
	p.runs[i] = fixedRun{f.firstMark, int32(len(p.marks)), f.firstLeg, int32(len(p.legs))}
	f.overlaps()
}

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

// fixer finds the fixed posts of one run.
type fixer struct {
	*planner
	index               int32
	run                 *site.Run
	line                *setPost // the ordinary post
	v                   *fault.List
	firstMark, firstLeg int32
}

// vertex appends the mark at vertex n of the run.
func (f *fixer) vertex(n int, at measure.Point, station measure.Length) {
	m := mark{
		run: f.index, node: -1, vertex: int32(n), gateIn: -1, gateOut: -1,
		legIn: f.firstLeg + int32(n) - 1, legOut: f.firstLeg + int32(n),
		size: f.spec.Posts.Size, width: f.line.width,
		station: station, at: at,
	}
	vertices := f.run.Vertices
	switch last := len(vertices) - 1; {
	case n == 0 && f.run.Closed:
		m.legIn = f.firstLeg + int32(last)
		m.turn = measure.Turn(vertices[last], vertices[0], vertices[1])
	case n == 0:
		m.legIn = -1
	case n == last && !f.run.Closed:
		m.legOut = -1
	default:
		m.turn = measure.Turn(vertices[n-1], vertices[n], vertices[(n+1)%len(vertices)])
	}
	f.marks = append(f.marks, m)
}

// fixLeg appends the marks of the gates on leg k, whose first mark is there
// already, and then the mark at its end.
func (f *fixer) fixLeg(k int, l site.Leg, last bool, gates []int32) {
	start := int32(len(f.marks) - 1)
	if k == 0 {
		start = f.firstMark
	}
	f.legs[f.firstLeg+int32(k)].from = start

	// At an end a gate's post is as wide as the fence's own, at least.
	atStart := func(w measure.Length) measure.Length {
		if k == 0 && !f.run.Closed && f.run.Start.TieIn {
			return l.Start + f.run.Start.WallGap + w/2
		}
		return l.Start
	}
	atEnd := func(w measure.Length) measure.Length {
		if last && !f.run.Closed && f.run.End.TieIn {
			return l.End - f.run.End.WallGap - w/2
		}
		return l.End
	}

	ending := int32(-1) // the gate whose second post is the one at the leg's end
	var endSet *setPost
	for n, g := range gates {
		gate := f.run.Gates[g]
		at := f.v.Index(int(f.index)).At("gates").Index(int(g))
		set := f.kind(kind{size: f.spec.GatePostSize(gate.Width, gate.Leaves), gate: true})
		w, wEnd := set.width, max(set.width, f.line.width)
		opens, closes := gate.Station, gate.Station+gate.Width
		if leaf := f.leaf(gate); leaf <= 0 {
			at.Add("width", "an opening of %s leaves nothing for a leaf beside its gaps", gate.Width.Imperial())
		}
		if gate.Width+w > l.Length()+2*together {
			at.Add("width", "an opening of %s with a post of %s on either side is wider than its stretch, %s from %s to %s",
				gate.Width.Imperial(), w.Imperial(), l.Length().Imperial(), l.Start.Imperial(), l.End.Imperial())
			continue
		}
		var before *site.Gate
		if n > 0 {
			before = &f.run.Gates[gates[n-1]]
			if opens < before.Station+before.Width || ending >= 0 {
				at.Add("station", "gate %q from %s to %s overlaps gate %q from %s to %s and its posts", gate.ID, opens.Imperial(), closes.Imperial(),
					before.ID, before.Station.Imperial(), (before.Station + before.Width).Imperial())
				continue
			}
		}

		// The first post: the one at the leg's start, the one of the gate
		// before, or one of its own.
		previous := &f.marks[len(f.marks)-1]
		shared := max(previous.width, w)
		switch {
		case near(opens-wEnd/2, atStart(wEnd)):
			m := &f.marks[start]
			m.gateOut = g
			m.grow(set.post.Size, w)
		case before != nil && previous.vertex < 0 && previous.gateOut < 0 && near(opens-(before.Station+before.Width), shared):
			previous.gateOut = g
			previous.grow(set.post.Size, w)
			previous.station = (before.Station + before.Width + opens) / 2
			previous.at = l.At(previous.station)
		default:
			f.gatePost(k, l, opens-w/2, set, -1, g)
		}

		if near(closes+wEnd/2, atEnd(wEnd)) {
			ending, endSet = g, set
		} else {
			f.gatePost(k, l, closes+w/2, set, g, -1)
		}
	}

	end := f.firstMark // of a closed run's last leg
	if !last || !f.run.Closed {
		end = int32(len(f.marks))
		f.vertex(k+1, l.To, l.End)
	}
	f.legs[f.firstLeg+int32(k)].to = end
	if ending >= 0 {
		m := &f.marks[end]
		m.gateIn = ending
		m.grow(endSet.post.Size, endSet.width)
	}
}

func near(a, b measure.Length) bool { return (a - b).Abs() <= together }

// gatePost appends a gate's post within leg k.
func (f *fixer) gatePost(k int, l site.Leg, station measure.Length, set *setPost, in, out int32) {
	f.marks = append(f.marks, mark{
		run: f.index, node: -1, vertex: -1, gateIn: in, gateOut: out,
		legIn: f.firstLeg + int32(k), legOut: f.firstLeg + int32(k),
		size: set.post.Size, width: set.width,
		station: station, at: l.At(station),
	})
}

// tieIn moves the mark at an end that stands against a wall: the run starts at
// the wall face, the post's centre at the wall gap and half its width.
func (f *fixer) tieIn(m *mark, t site.Terminus, k int, l site.Leg, start bool) {
	if !t.TieIn {
		return
	}
	m.tieIn = true
	m.station = l.Start + t.WallGap + m.width/2
	if !start {
		m.station = l.End - t.WallGap - m.width/2
	}
	m.at = l.At(m.station)
}

// leaf is the width of each leaf of a gate.
func (p *planner) leaf(g site.Gate) measure.Length {
	gaps := p.spec.Gates
	if g.Leaves == 2 {
		return (g.Width - 2**gaps.HingeGap - *gaps.CentreGap) / 2
	}
	return g.Width - *gaps.HingeGap - *gaps.LatchGap
}

// overlaps notes neighbouring marks of the run whose posts would stand in each
// other.
func (f *fixer) overlaps() {
	marks := f.marks[f.firstMark:]
	for i := range marks {
		a, b := &marks[i], &marks[(i+1)%len(marks)]
		apart := b.station - a.station
		if i == len(marks)-1 {
			if !f.run.Closed {
				return
			}
			apart += f.run.Length()
		}
		if need := (a.width + b.width) / 2; apart < need {
			at := f.v.Index(int(f.index))
			say := fmt.Sprintf("%s and %s would overlap: their centres are %s apart along the run and need %s", f.name(a), f.name(b), apart.Imperial(), need.Imperial())
			if apart < 0 {
				say = fmt.Sprintf("%s would stand %s past %s, which comes after it", f.name(a), (-apart).Imperial(), f.name(b))
			}
			switch {
			case b.vertex < 0 && b.gateOut >= 0:
				at.At("gates").Index(int(b.gateOut)).Add("station", "%s", say)
			case a.gateIn >= 0:
				at.At("gates").Index(int(a.gateIn)).Add("station", "%s", say)
			case b.gateOut >= 0:
				at.At("gates").Index(int(b.gateOut)).Add("station", "%s", say)
			default:
				at.At("vertices").Index(int(max(b.vertex, 0))).Add("", "%s", say)
			}
		}
	}
}

// name is what a person calls the mark.
func (p *planner) name(m *mark) string {
	run := p.site.Runs[m.run]
	switch {
	case m.gateIn >= 0 && m.gateOut >= 0:
		return fmt.Sprintf("the post between gates %q and %q", run.Gates[m.gateIn].ID, run.Gates[m.gateOut].ID)
	case m.gateOut >= 0:
		return fmt.Sprintf("the first post of gate %q", run.Gates[m.gateOut].ID)
	case m.gateIn >= 0:
		return fmt.Sprintf("the second post of gate %q", run.Gates[m.gateIn].ID)
	case m.tieIn:
		return fmt.Sprintf("the post beside the wall at %s", m.station.Imperial())
	case m.passes():
		return fmt.Sprintf("the post at vertex %d", m.vertex)
	default:
		return fmt.Sprintf("the end post at %s", m.station.Imperial())
	}
}

// gateStock notes post stock that is too short for a gate's hole, which is the
// same for all gates.
func (p *planner) gateStock(v *fault.List) {
	i := slices.IndexFunc(p.marks, func(m mark) bool { return m.gate() })
	if i < 0 {
		return
	}
	if pit := p.kind(kind{size: p.marks[i].size, gate: true}).pit; pit.Embedment > 0 && pit.Stock == 0 {
		v.At("posts").Add("stock", "at gates, %s", p.spec.Short(pit))
	}
}
