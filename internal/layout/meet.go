package layout

import (
	"cmp"
	"fmt"

	"wattle/internal/fault"
	"wattle/internal/measure"
	"wattle/internal/site"
	"wattle/internal/spec"
)

// node is one fixed post: one mark, or several that stand together.
type node struct {
	first, end int32 // marks: planner.members[first:end], in walking order
	kind       kind
	width      measure.Length
	role       Role
	existing   bool // an old post that is kept
	because    Because
	post       int32 // index into Layout.Posts, -1 before it is placed
}

// meet finds which marks are one post: all that stand within 1/8 in of one
// another, directly or through others, whatever the order of the runs, and those
// that a branch or a crossing joins. Posts
// that are not one and stand closer than their widths allow are noted, each
// with the first of those it overlaps.
func (p *planner) meet(v *fault.List) {
	parent := make([]int32, len(p.marks))
	for i := range parent {
		parent[i] = int32(i)
	}
	grid := newGrid(len(p.marks))
	var clashes [][2]int32
	for i := range p.marks {
		m, twin, overlaps := &p.marks[i], false, int32(-1)
		for j := range grid.near(m.at) {
			other := &p.marks[j]
			if other.at == m.at {
				join(parent, int32(i), j)
				twin = twin || other.width >= m.width
			} else if closer(m.at, other.at, together+1) {
				join(parent, int32(i), j)
			} else if closer(m.at, other.at, (m.width+other.width)/2) && !p.neighbours(j, int32(i)) && (overlaps < 0 || j < overlaps) {
				overlaps = j
			}
		}
		if overlaps >= 0 {
			clashes = append(clashes, [2]int32{int32(i), overlaps})
		}
		if !twin { // a twin finds nothing that its like has not
			grid.add(int32(i), m.at)
		}
	}

	for _, j := range p.joins {
		join(parent, j[0], j[1])
	}
	for _, c := range clashes {
		if find(parent, c[0]) == find(parent, c[1]) {
			continue // one post after all, through others between them
		}
		m, other := &p.marks[c[0]], &p.marks[c[1]]
		v.Index(int(m.run)).Add("", "%s and %s of run %q would overlap: their centres are %s apart and need %s", p.name(m), p.name(other),
			p.site.Runs[other.run].ID, m.at.DistanceTo(other.at).Imperial(), ((m.width + other.width) / 2).Imperial())
	}

	// Nodes are numbered by their first mark, so walking order is theirs too.
	p.nodes = make([]node, 0, len(p.marks))
	for i := range p.marks {
		root := find(parent, int32(i))
		if root == int32(i) {
			p.marks[i].node = int32(len(p.nodes))
			p.nodes = append(p.nodes, node{post: -1})
		} else {
			p.marks[i].node = p.marks[root].node
		}
		p.nodes[p.marks[i].node].end++
	}
	var sum int32
	for i := range p.nodes {
		n := &p.nodes[i]
		n.first, sum = sum, sum+n.end
		n.end = n.first
	}
	p.members = make([]int32, len(p.marks))
	for i := range p.marks {
		n := &p.nodes[p.marks[i].node]
		p.members[n.end] = int32(i)
		n.end++
	}
}

// closer reports whether two points that share a grid cell, or have neighbouring
// ones, are less than far apart: exact, since squares of such steps fit.
func closer(a, b measure.Point, far measure.Length) bool {
	d := a.Sub(b)
	return d.East*d.East+d.North*d.North < far*far
}

// neighbours reports that marks a and b, a first, follow one another on a run,
// which looks at its own neighbours itself.
func (p *planner) neighbours(a, b int32) bool {
	if p.marks[a].run != p.marks[b].run || p.marks[a].branched || p.marks[b].branched {
		return false
	}
	r := p.runs[p.marks[a].run]
	return b == a+1 || p.site.Runs[p.marks[a].run].Closed && a == r.marks && b == r.marksEnd-1
}

// find is the first mark, in walking order, of those joined to i.
func find(parent []int32, i int32) int32 {
	for parent[i] != i {
		parent[i] = parent[parent[i]]
		i = parent[i]
	}
	return i
}

func join(parent []int32, a, b int32) {
	a, b = find(parent, a), find(parent, b)
	parent[max(a, b)] = min(a, b)
}

// classify gives every node its role and section and every mark what it is to
// the fence beside it.
func (p *planner) classify() {
	for i := range p.nodes {
		n := &p.nodes[i]
		members := p.members[n.first:n.end]
		arms, held := 0, false
		for _, j := range members {
			m := &p.marks[j]
			arms++
			if m.passes() {
				arms++
			}
			p.classifyMark(m)
			n.role = max(n.role, p.role(m))
			n.kind.gate = n.kind.gate || m.gate()
			n.existing = n.existing || m.existing
			held = held || m.held != nil
			n.because = cmp.Or(n.because, m.because)
			if m.width > n.width {
				n.width, n.kind.size = m.width, m.size
			}
		}
		switch {
		case held: // with a run that goes on
			n.role = max(n.role, Junction)
		case arms >= 3:
			n.role = max(n.role, Junction)
			if arms == len(members) {
				p.through(members)
			}
		case len(members) == 2: // two ends
			p.twoEnds(n, &p.marks[members[0]], &p.marks[members[1]])
		}
	}
}

// role is what a mark would be if it stood alone.
func (p *planner) role(m *mark) Role {
	gates := p.site.Runs[m.run].Gates
	role := Line
	if m.gateOut >= 0 {
		role = max(role, gatePostRole(gates[m.gateOut], site.HingeStart))
	}
	if m.gateIn >= 0 {
		role = max(role, gatePostRole(gates[m.gateIn], site.HingeFinish))
	}
	switch {
	case m.wall:
		return max(role, TieIn)
	case !m.passes():
		return max(role, End)
	case m.corner != NoCorner:
		return max(role, Corner)
	case m.pulls():
		return max(role, Pull)
	case m.pinned || m.existing:
		return max(role, Pinned)
	case m.vertex >= 0:
		return max(role, Bend)
	default:
		return role
	}
}

// gatePostRole is the role of the post at one end of a gate; both posts of a
// pair carry a leaf.
func gatePostRole(g site.Gate, end site.Hinge) Role {
	if g.Leaves == 2 || g.Hinge == end {
		return GateHinge
	}
	return GateLatch
}

// classifyMark sees the mark as its own run does: a junction is terminal for
// the branch that ends there and leaves the run that passes as it is.
func (p *planner) classifyMark(m *mark) {
	if m.passes() && m.vertex >= 0 && !m.chord && p.spec.Classify(m.turn) == spec.Turns {
		m.corner = cornerKind(m.turn, p.boardsLeft(m))
		// The earlier leg covers, where there is another leg's fence to cover.
		m.covers = !m.gate()
	}
	m.terminal = !m.passes() || m.gate() || m.corner != NoCorner || m.pulls()
}

// boardsLeft reports whether the boards are on the left, walking the run.
func (p *planner) boardsLeft(m *mark) bool { return p.site.Runs[m.run].Face == site.Left }

// cornerKind is inside where the turn is toward the boards. Straight back is
// toward neither side and goes as outside, whichever way it is walked.
func cornerKind(turn measure.Angle, boardsLeft bool) CornerKind {
	if turn != 180*measure.Degree && (turn > 0) == boardsLeft {
		return InsideCorner
	}
	return OutsideCorner
}

// twoEnds joins two ends to a corner or a bend. Seen from the run listed first,
// the way is along it to the post and on along the other; of one run's own two
// ends, its finish is the way in.
func (p *planner) twoEnds(n *node, a, b *mark) {
	if a.run == b.run && a.legIn < 0 {
		a, b = b, a
	}
	came, arriving := p.arm(a)
	goes, leaving := p.arm(b)
	from, to := a.at.Add(came), a.at.Add(goes)
	turn := measure.Turn(from, a.at, to)
	if class := p.spec.Classify(turn); class != spec.Turns {
		switch {
		case n.role != End || a.wall || b.wall:
		case class == spec.Anchors:
			n.role, n.because = Pull, ByAnchor
		default:
			n.role, a.terminal, b.terminal = Bend, false, false
			if class == spec.SetConcrete {
				n.because = ByConcrete
			}
		}
		return
	}
	n.role = max(n.role, Corner)
	aLeft := p.boardsLeft(a) == arriving
	bLeft := p.boardsLeft(b) != leaving
	a.corner, b.corner = cornerKind(turn, aLeft), cornerKind(turn, bLeft)
	a.covers = !a.gate() && !b.gate()
	if aLeft != bLeft {
		p.out.Cautions = append(p.out.Cautions, Caution{
			Code: "boards-change-side",
			Text: fmt.Sprintf("The boards of runs %q and %q are on different sides of the fence where the two meet, at %s of the first.",
				p.site.Runs[a.run].ID, p.site.Runs[b.run].ID, p.at(int(a.run), a.station)),
			Field: fmt.Sprintf("site.runs[%d].face", b.run),
		})
	}
}

// arm is the step from an end mark to the far vertex of its only leg, and
// whether the run finishes here.
func (p *planner) arm(m *mark) (step measure.Point, finishes bool) {
	if m.legIn >= 0 {
		l := p.legs[m.legIn]
		return l.From.Sub(l.To), true
	}
	l := p.legs[m.legOut]
	return l.To.Sub(l.From), false
}
