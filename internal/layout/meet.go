package layout

import (
	"wattle/internal/fault"
	"wattle/internal/measure"
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
	p.joined = zeros(p.joined, len(p.marks))
	parent := p.joined
	for i := range parent {
		parent[i] = int32(i)
	}
	grid := p.grid.of(len(p.marks), gridCell)
	var clashes [][2]int32
	var near []int32
	for i := range p.marks {
		m, twin, overlaps := &p.marks[i], false, int32(-1)
		near = grid.near(m.at, near[:0])
		for _, j := range near {
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
		at, field := v.Index(int(m.run)), ""
		if m.gate() {
			at, field = at.At("gates").Index(int(max(m.gateOut, m.gateIn))), "station"
		}
		at.Add(field, "%s and %s of run %q would overlap: their centres are %s apart and need %s", p.name(m), p.name(other),
			p.site.Runs[other.run].ID, m.at.DistanceTo(other.at).Imperial(), ((m.width + other.width) / 2).Imperial())
	}

	// Nodes are numbered by their first mark, so walking order is theirs too.
	p.nodes = room(p.nodes, len(p.marks))
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
	p.members = zeros(p.members, len(p.marks))
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
