package layout

import (
	"fmt"
	"slices"

	"wattle/internal/fault"
	"wattle/internal/measure"
	"wattle/internal/site"
	"wattle/internal/spec"
)

// fixRuns finds the fixed posts of every run and notes the ones that cannot
// stand where the site has them. Where the site is not sound, runs that are
// wrong by themselves are passed over.
func (p *planner) fixRuns(v *fault.List, siteSound bool) {
	vertices := 0
	for _, r := range p.site.Runs {
		vertices += len(r.Vertices) + 2*len(r.Gates)
	}
	p.marks = room(p.marks, vertices)
	p.legs = room(p.legs, vertices)
	p.runs = zeros(p.runs, len(p.site.Runs))
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
	f.left = int32(len(p.given.Runs[i].Vertices) - len(f.run.Vertices))
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
		f.fixLeg(k, l, gates[:n])
		gates = gates[n:]
	}
	if !f.run.Closed {
		first, last := legs[0], legs[len(legs)-1]
		p.marks[f.firstMark].tieIn(f.run.Start, first, first.Start, 1)
		p.marks[len(p.marks)-1].tieIn(f.run.End, last, last.End, -1)
	}
	p.runs[i] = fixedRun{f.firstMark, int32(len(p.marks))}
	p.overlaps(i, v, func(m *mark) measure.Length { return m.width })
}

// fixer finds the fixed posts of one run.
type fixer struct {
	*planner
	index               int32
	run                 *site.Run
	v                   *fault.List
	firstMark, firstLeg int32
	left                int32 // how many vertices of the request are left out before the first
}

// vertex appends the mark at vertex n of the run.
func (f *fixer) vertex(n int, at measure.Point, station measure.Length) {
	set := f.postAt(n)
	m := mark{
		run: f.index, node: -1, vertex: int32(n) + f.left, gateIn: -1, gateOut: -1,
		legIn: f.firstLeg + int32(n) - 1, legOut: f.firstLeg + int32(n),
		size: set.post.Size, width: set.width, turn: f.turnAt(n), chord: f.chordAt(n),
		station: station, at: at,
	}
	switch last := len(f.run.Vertices) - 1; {
	case n == 0 && f.run.Closed:
		m.legIn = f.firstLeg + int32(last)
	case n == 0:
		m.legIn = -1
	case n == last && !f.run.Closed:
		m.legOut = -1
	}
	f.marks = append(f.marks, m)
}

// turnAt is how far the run turns at vertex n, zero at its ends.
func (f *fixer) turnAt(n int) measure.Angle {
	vertices := f.run.Vertices
	last := len(vertices) - 1
	if !f.run.Closed && (n == 0 || n == last) {
		return 0
	}
	return measure.Turn(vertices[(n+last)%(last+1)], vertices[n], vertices[(n+1)%(last+1)])
}

// chordAt: vertex n lies inside an arc.
func (f *fixer) chordAt(n int) bool {
	_, chord := slices.BinarySearch(f.run.Chords, n)
	return chord
}

// postAt is the post that stands at vertex n of the run by itself: a terminal
// one at its ends, and where it turns by so much that it takes one.
func (f *fixer) postAt(n int) *setPost {
	if !f.run.Closed && (n == 0 || n == len(f.run.Vertices)-1) {
		return f.terminalPost()
	}
	if class := f.spec.Classify(f.turnAt(n)); !f.chordAt(n) && (class == spec.Turns || class == spec.Anchors) {
		return f.terminalPost()
	}
	return f.linePost()
}

// fixLeg appends the marks of the gates on leg k, in the order a walker meets
// them, and then the mark at the leg's end; the mark at its start is there
// already.
func (f *fixer) fixLeg(k int, l site.Leg, gates []int32) {
	start := f.firstMark
	if k > 0 {
		start = int32(len(f.marks) - 1)
	}
	placed := gateLeg{fixer: f, k: k, leg: l, start: start}
	for _, g := range gates {
		placed.add(g)
	}
	end := f.firstMark // of a closed run's last leg
	if !f.run.Closed || k < len(f.run.Vertices)-1 {
		end = int32(len(f.marks))
		f.vertex(k+1, l.To, l.End)
	}
	if placed.last != nil && placed.toEnd {
		m := &f.marks[end]
		m.gateIn = placed.lastIndex
		m.grow(placed.lastSet.post.Size, placed.lastSet.width)
	}
	this := &f.legs[f.firstLeg+int32(k)]
	this.from, this.to = start, end
}

// overlaps notes neighbouring marks of a run whose posts, of the given widths,
// would stand in each other.
func (p *planner) overlaps(run int, v *fault.List, width func(*mark) measure.Length) {
	marks := p.marks[p.runs[run].marks:p.runs[run].marksEnd]
	for i := range marks {
		a, b := &marks[i], &marks[(i+1)%len(marks)]
		apart := b.station - a.station
		if i == len(marks)-1 {
			if !p.site.Runs[run].Closed {
				return
			}
			apart += p.site.Runs[run].Length()
		}
		if need := (width(a) + width(b)) / 2; apart < need {
			at := v.Index(run)
			say := fmt.Sprintf("%s and %s would overlap: their centres are %s apart along the run and need %s", p.name(a), p.name(b), apart.Imperial(), need.Imperial())
			if apart < 0 {
				say = fmt.Sprintf("%s would stand %s past %s, which comes after it", p.name(a), (-apart).Imperial(), p.name(b))
			}
			switch {
			case b.vertex < 0 && b.gateOut >= 0:
				at.At("gates").Index(int(b.gateOut)).Add("station", "%s", say)
			case a.gateIn >= 0:
				at.At("gates").Index(int(a.gateIn)).Add("station", "%s", say)
			case b.gateOut >= 0:
				at.At("gates").Index(int(b.gateOut)).Add("station", "%s", say)
			case b.vertex < 0 && a.vertex < 0: // a pin, or a post that pulls
				at.Add("", "%s", say)
			default:
				at.At("vertices").Index(int(max(b.vertex, 0))).Add("", "%s", say)
			}
		}
	}
}
